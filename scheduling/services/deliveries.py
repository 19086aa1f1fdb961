"""Order, change and cancel deliveries."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import BomLine, Job, Person
from jobs.permissions import require
from jobs.queries import local_day
from jobs.services.edits import apply_edit, plain
from scheduling.domain.calendar import say_day
from scheduling.domain.verbs import Verb
from scheduling.models import Delivery, DeliveryLine
from scheduling.models.deliveries import MOST_OF_A_LINE

# Columns whose change a calendar must hear of.
TOLD = frozenset({"due_on", "due_half", "supplier"})

Amounts = Mapping[int, float]  # how many of a bill-of-materials line (id)


@transaction.atomic
def order_delivery(
    *,
    job: Job,
    values: Mapping[str, Any],
    amounts: Amounts,
    actor: Person,
    at: datetime,
) -> Delivery:
    """Order one load for one job.

    ``values`` are columns of :class:`Delivery` (supplier, due_on, due_half, reference …).
    """
    require(actor, Can.ORDER_DELIVERIES)
    if not job.is_open:
        raise Refused("This job is closed. Open it again before you order for it.")
    delivery = Delivery(job=job, created_at=at, changed_at=at, **values)
    delivery.full_clean()
    _refuse_odd_days(delivery)
    if delivery.due_on is not None and delivery.due_on < local_day(at):
        raise Refused(
            f"{say_day(delivery.due_on)} is over. Choose a day on which the load can "
            "still come."
        )
    delivery.save(force_insert=True)
    _set_lines(delivery, amounts)
    _log(Verb.DELIVERY_ORDERED, delivery, _said(delivery), actor, at)
    return delivery


@transaction.atomic
def change_delivery(
    *,
    delivery: Delivery,
    version: int,
    values: Mapping[str, Any],
    amounts: Amounts | None = None,
    actor: Person,
    at: datetime,
) -> Delivery:
    """Change when a load comes, from whom, or what is on it."""
    require(actor, Can.ORDER_DELIVERIES)
    _refuse_cancelled(delivery)
    delivery, changes = apply_edit(delivery, version=version, values=values)
    if {"due_on", "ordered_on"} & changes.keys():
        _refuse_odd_days(delivery)
    lines = _change_lines(delivery, amounts) if amounts is not None else {}
    if lines and not changes:  # two people changing the lines must notice each other
        delivery.version += 1
        delivery.save(update_fields=["version"])
    changes |= lines
    if changes:
        _stamp(delivery, told=bool(TOLD & changes.keys()), at=at)
        _log(Verb.DELIVERY_CHANGED, delivery, changes, actor, at)
    return delivery


@transaction.atomic
def cancel_delivery(
    *, delivery: Delivery, reason: str, actor: Person, at: datetime
) -> None:
    """Call a load off. One that was checked in stays."""
    require(actor, Can.ORDER_DELIVERIES)
    delivery = Delivery.objects.select_for_update(of=("self",)).get(pk=delivery.pk)
    _refuse_cancelled(delivery)
    if delivery.receipts.exists():
        raise Refused("This load was checked in, so it cannot be cancelled any more.")
    delivery.cancelled_at = at
    delivery.save(update_fields=["cancelled_at"])
    _stamp(delivery, told=True, at=at)
    _log(Verb.DELIVERY_CANCELLED, delivery, {"reason": reason}, actor, at)


def _refuse_odd_days(delivery: Delivery) -> None:
    due, ordered = delivery.due_on, delivery.ordered_on
    if due is not None and ordered is not None and due < ordered:
        raise Refused(
            f"The load cannot come on {say_day(due)}: it was ordered on "
            f"{say_day(ordered)}. Check the two days."
        )


def _refuse_cancelled(delivery: Delivery) -> None:
    if delivery.cancelled_at is not None:
        raise Refused("This delivery was cancelled. Order a new one.")


def _stamp(delivery: Delivery, *, told: bool, at: datetime) -> None:
    """Raise the calendar's sequence when its day, supplier or standing changed."""
    if told:
        Delivery.objects.filter(pk=delivery.pk).update(
            sequence=F("sequence") + 1, changed_at=at
        )
        delivery.refresh_from_db(fields=["sequence", "changed_at"])


def _set_lines(delivery: Delivery, amounts: Amounts) -> None:
    wanted = {pk: amount for pk, amount in amounts.items() if amount > 0}
    if not wanted:
        raise Refused("Say how many of at least one line this load brings.")
    if max(wanted.values()) > MOST_OF_A_LINE:
        raise Refused(f"No load brings more than {MOST_OF_A_LINE:.0f} of a line.")
    known = BomLine.objects.filter(job=delivery.job, pk__in=wanted)
    if known.count() != len(wanted):
        raise Refused("A load can only bring lines of its own job. Choose them again.")
    DeliveryLine.objects.bulk_create(
        DeliveryLine(delivery=delivery, bom_line_id=pk, ordered=amount)
        for pk, amount in sorted(wanted.items())
    )


def _change_lines(delivery: Delivery, amounts: Amounts) -> dict[str, Any]:
    before = dict(delivery.lines.values_list("bom_line_id", "ordered"))
    wanted = {pk: amount for pk, amount in amounts.items() if amount > 0}
    if before == wanted:
        return {}
    if delivery.receipts.exists():
        raise Refused(
            "This load was checked in. Order what is missing as another delivery."
        )
    said = _lines_said(delivery)
    delivery.lines.all().delete()
    _set_lines(delivery, wanted)
    return {"lines": [said, _lines_said(delivery)]}


def _said(delivery: Delivery) -> dict[str, Any]:
    return {
        "supplier": delivery.supplier.name,
        "due": f"{plain(delivery.due_on)} {delivery.due_half}"
        if delivery.due_on
        else None,
        "reference": delivery.reference,
        "lines": _lines_said(delivery),
    }


def _lines_said(delivery: Delivery) -> dict[str, float]:
    lines = delivery.lines.select_related("bom_line")
    return {f"{line.bom_line}, line {line.pk}": line.ordered for line in lines}


def _log(
    verb: Verb,
    delivery: Delivery,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=delivery.job,
        actor=actor,
        at=at,
        verb=verb,
        subject=delivery,
        payload=payload,
    )
