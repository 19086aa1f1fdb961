"""What a draft changes and who has to hear of it, as data kept once it is published.

A published draft has no differences any more: the plan is what it booked. So the words
that the office compared and calls people by are kept with the draft.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from jobs.models import Job
from scheduling.queries.differences import Difference
from scheduling.queries.other_trades import OtherTrade
from scheduling.queries.telling import Rebook, telling


def told(
    changes: Sequence[Difference], others: Sequence[OtherTrade], today: date
) -> dict[str, Any]:
    """The changes, and the clients, crews, trades and loads they concern. One query."""
    found = telling(changes, today)
    return {
        "changes": [
            *(_change(change) for change in changes if not change.is_same),
            *(_change_of_trade(other) for other in others),
        ],
        "clients": [{**_whose(job), "says": says} for job, says in found.clients],
        "crews": [{"crew": crew, "lines": list(lines)} for crew, lines in found.crews],
        "trades": [
            {"trade": one.visit.trade, "job": str(one.visit.job), "says": one.says}
            for one in others
        ],
        "loads": [_load(one) for one in found.rebook],
    }


def _change(change: Difference) -> dict[str, Any]:
    return {
        **_whose(change.job),
        "visit": change.visit.name,
        "says": change.says,
        "before": str(change.before) if change.before else "",
        "after": str(change.after) if change.after else "",
        "why": change.why,
    }


def _change_of_trade(other: OtherTrade) -> dict[str, Any]:
    trade = other.visit.trade
    return {
        **_whose(other.visit.job),
        "visit": other.visit.name,
        "says": f"{trade} {'moves' if other.before else 'to book'}".capitalize(),
        "before": f"{other.before}, {trade}" if other.before else "",
        "after": f"{other.after}, {trade}",
        "why": "",
    }


def _whose(job: Job) -> dict[str, Any]:
    return {
        "job_id": job.pk,
        "job": str(job),
        "client": str(job.client),
        "phone": job.client.phone,
    }


def _load(one: Rebook) -> dict[str, Any]:
    delivery = one.delivery
    return {
        "delivery_id": delivery.pk,
        "supplier": str(delivery.supplier),
        "phone": delivery.supplier.phone,
        "job": str(delivery.job),
        "says": one.says,
    }
