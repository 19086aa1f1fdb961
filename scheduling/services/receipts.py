"""Check a load in, line by line. What a phone sends twice is kept once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction

from jobs import ledger
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused, SentBefore
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.services.uploads import take_in
from scheduling.domain.verbs import Verb
from scheduling.models import Delivery, Receipt, ReceiptLine


@dataclass(frozen=True, slots=True)
class Counted:
    """What came of one line: good, damaged and wrong pieces are counted apart."""

    good: float
    damaged: float = 0.0
    wrong: float = 0.0
    note: str = ""


@transaction.atomic
def check_in(
    *,
    delivery: Delivery,
    client_uid: UUID,
    device_at: datetime,
    counted: Mapping[int, Counted],
    note: str = "",
    photo: "UploadedFile[bytes] | None" = None,
    actor: Person,
    at: datetime,
) -> Receipt:
    """Record what came off the truck. ``counted`` is by delivery line (id).

    ``client_uid`` is made on the phone, ``device_at`` is when it was counted. The same
    count a second time answers the first receipt and changes nothing; another count
    under the same uid is refused, neither dropped nor added.
    """
    require(actor, Can.RECEIVE_DELIVERIES)
    # The lock makes the same receipt sent twice at once wait for itself.
    delivery = Delivery.objects.select_for_update(of=("self",)).get(pk=delivery.pk)
    before = Receipt.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, delivery, counted, note)
    device_at = happened_at(device_at, at)
    _refuse_nonsense(delivery, counted)
    title = f"Delivery of {delivery.supplier}"
    job = delivery.job
    picture = photo and take_in(upload=photo, title=title, job=job, actor=actor, at=at)
    try:
        receipt = Receipt.objects.create(
            delivery=delivery,
            client_uid=client_uid,
            device_at=device_at,
            received_at=at,
            received_by=actor,
            note=note,
            photo=picture or None,
        )
    except IntegrityError as error:  # the same uid for another delivery, at once
        raise Refused("This count was sent already. Open the delivery anew.") from error
    ReceiptLine.objects.bulk_create(
        ReceiptLine(
            receipt=receipt,
            line_id=pk,
            good=count.good,
            damaged=count.damaged,
            wrong=count.wrong,
            note=count.note,
        )
        for pk, count in sorted(counted.items())
    )
    _log(receipt, counted, actor, at)
    return receipt


def _same(
    receipt: Receipt, delivery: Delivery, counted: Mapping[int, Counted], note: str
) -> Receipt:
    if receipt.delivery_id != delivery.pk:
        raise Refused("This count was sent for another delivery. Open this one anew.")
    kept = {
        row.line_id: Counted(row.good, row.damaged, row.wrong, row.note)
        for row in receipt.lines.all()
    }
    if kept != dict(counted) or receipt.note != note:
        raise SentBefore(f"a count by {receipt.received_by.name}")
    return receipt


def _refuse_nonsense(delivery: Delivery, counted: Mapping[int, Counted]) -> None:
    reasons = []
    if delivery.cancelled_at is not None:
        reasons.append("This delivery was cancelled. Ask the office which one came.")
    if not counted:
        reasons.append("Count at least one line.")
    lines = set(delivery.lines.values_list("pk", flat=True))
    if not counted.keys() <= lines:
        reasons.append("A line that was counted is not on this delivery. Open it anew.")
    for count in counted.values():
        if min(count.good, count.damaged, count.wrong) < 0:
            reasons.append("A count cannot be below nothing.")
            break
    if reasons:
        raise Refused(reasons)


def _log(
    receipt: Receipt, counted: Mapping[int, Counted], actor: Person, at: datetime
) -> None:
    lines = receipt.delivery.lines.select_related("bom_line")
    names = {line.pk: line.bom_line.description for line in lines}
    ledger.append(
        chain=receipt.delivery.job,
        actor=actor,
        at=at,
        verb=Verb.DELIVERY_CHECKED_IN,
        subject=receipt,
        payload={
            "delivery": receipt.delivery_id,
            "device_at": receipt.device_at.isoformat(),
            "lines": [
                {
                    "line": names[pk],
                    "good": count.good,
                    "damaged": count.damaged,
                    "wrong": count.wrong,
                }
                for pk, count in sorted(counted.items())
            ],
            "photo": receipt.photo.sha256 if receipt.photo else None,
        },
    )
