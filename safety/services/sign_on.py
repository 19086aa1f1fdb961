"""Sign on to the version of a statement that is in force."""

import json
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import transaction

from jobs import ledger
from jobs.domain.moments import happened_at
from jobs.domain.refusals import Refused, SentBefore
from jobs.domain.roles import Can
from jobs.models import Job, Person, SitePin
from jobs.permissions import require, visible_jobs
from jobs.services.pins import use_pin
from safety.domain.verbs import Verb
from safety.models import Attendance, SignOn, Statement
from safety.permissions import leads, require_lead

Stroke = list[list[int]]
_MOST_POINTS = 4000
_BOX = 1000  # strokes are points in a box of 0 to 1000 each way


@transaction.atomic
def sign_on(
    *,
    statement: Statement,
    person: Person,
    typed_name: str,
    strokes: Sequence[Stroke] = (),
    pin: str = "",
    new_pin: str = "",
    actor: Person,
    at: datetime,
    device_at: datetime | None,
    client_uid: UUID,
) -> SignOn:
    """Record that a person read a version and will follow it.

    A person signs with their own login, or on the phone of the job's lead, who then is
    the witness. Who has a PIN types it there, and draws their name or types it; without
    one the typed name is asked for. The same person signs a version once; sent again it
    stays the first.
    """
    require(actor, Can.SIGN_ON)
    locked = Statement.objects.select_for_update(of=("self",)).get(pk=statement.pk)
    before = SignOn.objects.filter(client_uid=client_uid).first()
    if before is not None:
        return _same(before, statement, person)
    own = actor.pk == person.pk
    if not own:
        require_lead(actor, locked.job)
    kept = None if own else SitePin.objects.filter(person=person).first()
    _refuse(locked, person)
    if kept is None or typed_name.strip() or not strokes:
        _refuse_name(person, typed_name)
    signed = SignOn.objects.filter(statement=locked, person=person).first()
    if signed is not None:
        return signed
    if kept is not None:
        use_pin(kept=kept, pin=pin, new_pin=new_pin, actor=actor, at=at)
    how = _how(own, kept)
    row = SignOn.objects.create(
        client_uid=client_uid,
        statement=locked,
        person=person,
        how=how,
        typed_name=" ".join(typed_name.split()),
        strokes=[list(stroke) for stroke in strokes],
        witnessed_by=None if own else actor,
        device_at=happened_at(device_at, at),
        at=at,
    )
    payload = {
        "person": person.name,
        "number": locked.number,
        "digest": locked.digest,
        "how": how.value,
        "witness": None if own else actor.name,
        "device_at": row.device_at.isoformat(),
    }
    ledger.append(
        chain=locked.job,
        actor=actor,
        at=at,
        verb=Verb.SIGNED_ON,
        subject=row,
        payload=payload,
    )
    return row


def _same(row: SignOn, statement: Statement, person: Person) -> SignOn:
    if (row.statement_id, row.person_id) != (statement.pk, person.pk):
        raise SentBefore(f"{row.person.name} signed on")
    return row


def _how(own: bool, kept: SitePin | None) -> SignOn.How:
    if own:
        return SignOn.How.OWN_LOGIN
    return SignOn.How.LEADS_PHONE if kept is None else SignOn.How.OWN_PIN


def _refuse(statement: Statement, person: Person) -> None:
    if not person.can(Can.SIGN_ON):
        raise PermissionDenied(f"{person.name} does not sign on to statements.")
    if not _belongs(person, statement.job):
        raise Refused(f"{person.name} is not booked on this job, so cannot sign on.")
    if statement.state != Statement.State.ISSUED:
        raise Refused(
            f"Version {statement.number} is not the one in force. "
            "Open the job and sign on to the newest version."
        )


def _refuse_name(person: Person, typed_name: str) -> None:
    if _letters(typed_name) != _letters(person.name):
        raise Refused(f"Type the full name as it is kept here: {person.name}.")


def _belongs(person: Person, job: Job) -> bool:
    if visible_jobs(person).filter(pk=job.pk).exists() or leads(person, job):
        return True
    return Attendance.objects.filter(job=job, person=person).exists()


def _letters(name: str) -> str:
    return " ".join(name.split()).casefold()


def read_strokes(text: str) -> list[Stroke]:
    """Strokes of a drawn signature from the page's JSON. Refused when they are none."""
    if not text:
        return []
    try:
        strokes = json.loads(text)
        points = [point for stroke in strokes for point in stroke]
        inside = all(
            len(point) == 2 and all(-_BOX <= int(n) <= 2 * _BOX for n in point)
            for point in points
        )
    except (ValueError, TypeError) as error:
        raise Refused(
            "The drawn signature did not come through. Draw it again."
        ) from error
    if not inside or len(points) > _MOST_POINTS:
        raise Refused("The drawn signature is too long. Clear it and draw it again.")
    return [[[int(x), int(y)] for x, y in stroke] for stroke in strokes]
