"""Change the published plan by hand, one visit at a time."""

from datetime import datetime

from django.db import transaction

from jobs.domain.refusals import Refused
from jobs.domain.roles import Can
from jobs.models import Person
from jobs.permissions import require
from jobs.queries import the_firm
from scheduling.domain.calendar import Slot
from scheduling.models import Booking, Crew, Visit
from scheduling.queries.broken import broken_by
from scheduling.queries.calendar import next_slot
from scheduling.queries.placing import placing
from scheduling.queries.slots import end_of, start_of
from scheduling.services.booking_rows import Place, put_on_plan, take_off_plan
from scheduling.services.plan_head import (
    advance,
    lock_head,
    refuse_overtaken,
    take_off_closed,
)
from scheduling.services.slots import settle_working_days


class Breaks(Refused):
    """What a booking by hand would break; it may be made all the same."""


@transaction.atomic
def book_visit(
    *,
    visit: Visit,
    crew: Crew,
    start: Slot,
    pinned: bool = True,
    accept: bool = False,
    based_on: int | None = None,
    actor: Person,
    at: datetime,
) -> Booking:
    """Book a visit, or move it, in the published plan.

    ``based_on`` is the number of the plan the person looked at. Raises :class:`Breaks`
    with what the booking would break, unless ``accept``; a crew or a person in two
    places, a closed day and a half-day that has begun are refused in any case.
    """
    require(actor, Can.EDIT_SCHEDULE)
    head = lock_head()
    if based_on is not None:
        refuse_overtaken(head, based_on)
    visit = Visit.objects.select_related("job").get(pk=visit.pk)
    _refuse_gone(visit)
    _refuse_begun(visit, at)
    take_off_closed(actor=actor, at=at)
    there = placing(visit, crew, start, the_firm(), at)
    if there.refusals:
        raise Refused(there.refusals)
    breaks = broken_by(visit, crew, there, the_firm(), at)
    if breaks and not accept:
        raise Breaks(breaks)
    place = Place(crew.pk, there.start, there.last, pinned)
    placed = put_on_plan(visit, place, actor=actor, at=at, why=_why(breaks))
    settle_working_days(at=at)
    if placed.moved:
        advance(head, actor=actor, at=at)
    return placed.booking


def _refuse_gone(visit: Visit) -> None:
    if visit.dropped_at is not None:
        raise Refused("The job was cut into other visits meanwhile. Look at it anew.")
    if not visit.job.is_open:
        raise Refused("This job is closed. Open it again before you book it.")
    if visit.trade:
        raise Refused(
            f"The {visit.trade} comes for this visit; no crew is booked on it."
        )


def _refuse_begun(visit: Visit, at: datetime) -> None:
    """What is on site now moves only through a draft; its past half-days stay."""
    booking = Booking.objects.filter(visit=visit, cancelled_at__isnull=True).first()
    now = next_slot(the_firm(), at)
    if booking is not None and start_of(booking) < now <= end_of(booking):
        raise Refused("This visit has begun. Make a draft to plan the rest of it.")


def _why(breaks: tuple[str, ...]) -> str:
    return f"accepted: {' '.join(breaks)}" if breaks else "by hand"


@transaction.atomic
def cancel_booking(
    *,
    booking: Booking,
    reason: str,
    based_on: int | None = None,
    actor: Person,
    at: datetime,
) -> None:
    """Take a visit off the published plan. Half-days that have begun stay."""
    require(actor, Can.EDIT_SCHEDULE)
    head = lock_head()
    if based_on is not None:
        refuse_overtaken(head, based_on)
    if not reason.strip():
        raise Refused("Say why it comes off the plan.")
    if take_off_plan(booking.visit, why=reason, actor=actor, at=at):
        settle_working_days(at=at)
        advance(head, actor=actor, at=at)


@transaction.atomic
def pin_booking(
    *, booking: Booking, pinned: bool, actor: Person, at: datetime
) -> Booking:
    """Say whether drafts must leave a booking where it is."""
    require(actor, Can.EDIT_SCHEDULE)
    lock_head()
    booking = Booking.objects.select_related("visit__job").get(pk=booking.pk)
    if booking.cancelled_at is not None:
        raise Refused("This booking is off the plan already.")
    start, last = start_of(booking), end_of(booking)
    place = Place(booking.crew_id, start, last, pinned, booking.why)
    return put_on_plan(booking.visit, place, actor=actor, at=at).booking
