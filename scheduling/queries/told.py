"""What a draft changes and who has to hear of it, as data kept once it is published.

A published draft has no differences any more: the plan is what it booked. So the words
that the office compared and calls people by are kept with the draft.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from jobs.models import Job
from scheduling.queries.differences import Difference
from scheduling.queries.telling import Rebook, telling


def told(changes: Sequence[Difference], today: date) -> dict[str, Any]:
    """The changes, and the clients, crews and loads they concern. One query."""
    found = telling(changes, today)
    return {
        "changes": [_change(change) for change in changes if not change.is_same],
        "clients": [{**_whose(job), "says": says} for job, says in found.clients],
        "crews": [{"crew": crew, "lines": list(lines)} for crew, lines in found.crews],
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
