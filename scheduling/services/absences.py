"""Days on which a person, a crew or the whole firm is away."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import models, transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.services.edits import plain
from scheduling.domain.verbs import Verb
from scheduling.models import Absence, Closure, Crew
from scheduling.services.periods import refuse_odd_days
from scheduling.services.slots import settle_people, settle_working_days


@transaction.atomic
def record_absence(
    *,
    person: Person | None = None,
    crew: Crew | None = None,
    from_on: date,
    to_on: date,
    reason: str,
    actor: Person,
    at: datetime,
) -> Absence:
    """Record that a person or a whole crew is away; both days are included."""
    require(actor, Can.EDIT_SCHEDULE)
    if (person is None) == (crew is None):
        raise Refused("Choose a person or a crew, one of the two.")
    refuse_odd_days(from_on, to_on)
    absence = Absence.objects.create(
        person=person,
        crew=crew,
        from_on=from_on,
        to_on=to_on,
        reason=reason,
        recorded_at=at,
    )
    # The reason may be about somebody's health: it stays out of the ledger.
    payload = {
        "who": str(person or crew),
        "from_on": plain(from_on),
        "to_on": plain(to_on),
    }
    _log(Verb.ABSENCE_RECORDED, absence, payload, actor, at)
    settle_people(at=at)
    return absence


@transaction.atomic
def cancel_absence(*, absence: Absence, actor: Person, at: datetime) -> None:
    """They will be there after all."""
    require(actor, Can.EDIT_SCHEDULE)
    absence = Absence.objects.select_for_update(of=("self",)).get(pk=absence.pk)
    if absence.cancelled_at is not None:
        return
    absence.cancelled_at = at
    absence.save(update_fields=["cancelled_at"])
    payload = {"who": str(absence.person or absence.crew)}
    _log(Verb.ABSENCE_CANCELLED, absence, payload, actor, at)
    settle_people(at=at)


@transaction.atomic
def add_closure(
    *, from_on: date, to_on: date, reason: str, actor: Person, at: datetime
) -> Closure:
    """Shut the firm for some days. Bookings on them lose those days."""
    require(actor, Can.EDIT_SCHEDULE)
    refuse_odd_days(from_on, to_on)
    closure = Closure(from_on=from_on, to_on=to_on, reason=reason)
    closure.full_clean()
    closure.save(force_insert=True)
    payload = {"from_on": plain(from_on), "to_on": plain(to_on), "reason": reason}
    _log(Verb.CLOSURE_ADDED, closure, payload, actor, at)
    settle_working_days(at=at)
    return closure


@transaction.atomic
def remove_closure(*, closure: Closure, actor: Person, at: datetime) -> None:
    """Open the firm again on days it was to be shut."""
    require(actor, Can.EDIT_SCHEDULE)
    payload = {
        "from_on": plain(closure.from_on),
        "to_on": plain(closure.to_on),
        "reason": closure.reason,
    }
    _log(Verb.CLOSURE_REMOVED, closure, payload, actor, at)
    closure.delete()
    settle_working_days(at=at)


def _log(
    verb: Verb,
    subject: models.Model,
    payload: Mapping[str, Any],
    actor: Person,
    at: datetime,
) -> None:
    ledger.append(
        chain=ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=subject,
        payload=payload,
    )
