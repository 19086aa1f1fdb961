"""Days called off for weather."""

from datetime import date, datetime

from django.core.exceptions import PermissionDenied
from django.db import transaction

from jobs import ledger
from jobs.domain.refusals import Refused
from jobs.models import Job, Person
from jobs.queries import local_day, the_firm
from jobs.services.edits import plain
from scheduling.domain.calendar import say_day
from scheduling.domain.verbs import Verb
from scheduling.models import CrewSlot, Draft, LostDay
from scheduling.permissions import may_lose_day, may_undo_lost_day
from scheduling.queries.calendar import calendar_between
from scheduling.queries.called_off import LATE_BY, standing_on
from scheduling.services.booked_days import retell_day
from scheduling.services.drafts import suggest_draft
from scheduling.services.plan_head import lock_head


@transaction.atomic
def record_lost_day(
    *, day: date, job: Job | None, reason: str, actor: Person, at: datetime
) -> LostDay:
    """Call a day off for one job, or for all of them when ``job`` is None.

    Refused for a day on which there is nothing to call off, and when it is too late.
    """
    if not may_lose_day(actor, job):
        raise PermissionDenied("Only the office, or the lead of the job, may do this.")
    lock_head()  # calendars are told of it: nobody may move the day meanwhile
    before = standing_on(day)
    if (day, job.pk if job else None) in before.rows:
        raise Refused("That day is called off already.")
    _refuse_needless(day, job, at)
    lost = LostDay.objects.create(
        day=day, job=job, reason=reason, recorded_at=at, recorded_by=actor
    )
    retell_day(day, before, standing_on(day), at)
    _log(Verb.LOST_DAY_RECORDED, lost, actor, at)
    return lost


def _refuse_needless(day: date, job: Job | None, at: datetime) -> None:
    """Only a working day with something booked, not long gone, can be called off."""
    firm, said = the_firm(), say_day(day)
    if day < local_day(at, firm) - LATE_BY:
        raise Refused(
            f"{said} is too long ago: a day can be called off "
            f"up to {LATE_BY.days} days later."
        )
    week = calendar_between(firm, day, day)
    if not len(week):
        why = f": {week.off[day]}" if day in week.off else ""
        raise Refused(f"The firm does not work on {said}{why}. Choose another day.")
    booked = CrewSlot.objects.filter(day=day, booking__cancelled_at__isnull=True)
    if job is not None:
        booked = booked.filter(booking__visit__job=job)
    if not booked.exists():
        what = f"for {job} " if job is not None else ""
        raise Refused(
            f"Nothing is booked {what}on {said}: there is nothing to call off."
        )


@transaction.atomic
def call_off_on_site(
    *, day: date, job: Job, reason: str, actor: Person, at: datetime
) -> tuple[LostDay, Draft | None]:
    """Call a day off as the lead of the job, and suggest a plan around it to the office.

    Nothing is published by it. Without a draft where none is worth making, or one is
    being worked out already.
    """
    lost = record_lost_day(day=day, job=job, reason=reason, actor=actor, at=at)
    return lost, suggest_draft(lost=lost, actor=actor, at=at)


@transaction.atomic
def cancel_lost_day(*, lost: LostDay, actor: Person, at: datetime) -> None:
    """The day is worked after all."""
    if not may_undo_lost_day(actor, lost):
        raise PermissionDenied(
            "Only the office, or the lead who called the day off, may do this."
        )
    lock_head()
    lost = LostDay.objects.select_for_update(of=("self",)).get(pk=lost.pk)
    if lost.cancelled_at is None:
        before = standing_on(lost.day)
        lost.cancelled_at = at
        lost.save(update_fields=["cancelled_at"])
        retell_day(lost.day, before, standing_on(lost.day), at)
        _log(Verb.LOST_DAY_CANCELLED, lost, actor, at)


def _log(verb: Verb, lost: LostDay, actor: Person, at: datetime) -> None:
    ledger.append(
        chain=lost.job or ledger.FIRM_CHAIN,
        actor=actor,
        at=at,
        verb=verb,
        subject=lost,
        payload={"day": plain(lost.day), "reason": lost.reason},
    )
