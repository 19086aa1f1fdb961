"""The events of a calendar: of a crew, a person, a job or the whole firm.

A visit of several days is one event a day, at the firm's working hours: a phone then
shows the site, the address and the reminder on the morning of every day, and nights and
weekends stay free. Each day keeps its own UID (the visit's, and the number of the day), so
a visit that moves moves its events. SEQUENCE and LAST-MODIFIED move only when that day
does, is called off for weather, or is worked after all; firm or pencilled, and holds, are
read anew each time and do not. A day called off keeps its event, as CANCELLED: nobody is
to come, and the other days of the visit are events of their own.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from operator import attrgetter

from django.conf import settings

from jobs.domain.holds import Hold
from jobs.domain.material_words import say_materials
from jobs.models import Firm, Person
from jobs.queries import local_day
from scheduling.domain.calendar import Half, HalfHours
from scheduling.models import BookedDay, Crew, Delivery, FeedLink
from scheduling.queries.bookings import BookingView, booking_standing
from scheduling.queries.calendar import half_hours
from scheduling.queries.called_off import CalledOff, called_off
from scheduling.queries.feed_days import (
    BACK,
    AllDeliveries,
    Subject,
    days_of,
    deliveries_of,
)
from scheduling.queries.rosters import Roster, roster

REMINDER = timedelta(hours=13)  # six in the evening, for seven in the morning


@dataclass(frozen=True, slots=True)
class FeedEvent:
    """One event. Times are clock times of the feed's zone."""

    uid: str
    sequence: int
    changed_at: datetime
    starts: datetime
    ends: datetime
    summary: str
    description: str
    location: str
    status: str  # RFC 5545 3.8.1.11: CONFIRMED, TENTATIVE, CANCELLED
    busy: bool = True
    reminder: timedelta | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """One calendar, and the first day it may hold."""

    name: str
    zone: str
    first: date
    events: tuple[FeedEvent, ...]


@dataclass(frozen=True, slots=True)
class _Frame:
    """What all events of a calendar share."""

    today: date
    hours: HalfHours
    standing: Mapping[int, BookingView]
    people: Roster
    lengths: Mapping[int, int]  # days of each booking
    lost: CalledOff
    reminder: timedelta | None
    firm: Firm


def subject_of(link: FeedLink) -> Subject:
    """Whose calendar a link opens; None is the whole firm."""
    if link.kind == FeedLink.Kind.DELIVERIES:
        return AllDeliveries()
    return link.crew or link.person or link.job


def feed_of(subject: Subject, firm: Firm, at: datetime) -> Feed:
    """The calendar of a crew, a person, a job, all deliveries, or (None) the firm.

    The same number of queries however many bookings it holds.
    """
    today = local_day(at, firm)
    first = today - BACK
    days = days_of(subject, first)
    bookings = {day.booking_id: day.booking for day in days}
    frame = _Frame(
        today=today,
        hours=half_hours(firm),
        standing=booking_standing(bookings.values(), at),
        people=roster(first, max((d.day for d in days), default=today), at),
        lengths=Counter(day.booking_id for day in days if day.dropped_at is None),
        lost=called_off(first, None, at),
        reminder=REMINDER if isinstance(subject, Crew | Person) else None,
        firm=firm,
    )
    events = [_visit_event(day, frame) for day in days]
    events += [_load_event(row, frame) for row in deliveries_of(subject, first, days)]
    return Feed(
        name=f"{firm.name}: {subject}" if subject is not None else firm.name,
        zone=firm.time_zone,
        first=first,
        events=tuple(sorted(events, key=attrgetter("starts", "uid"))),
    )


def _visit_event(day: BookedDay, frame: _Frame) -> FeedEvent:
    visit = day.booking.visit
    job, view = visit.job, frame.standing[day.booking_id]
    closed = job.closed_at is not None and day.day > local_day(
        job.closed_at, frame.firm
    )
    lost = day.dropped_at is None and bool(frame.lost.says(job.pk, day.day))
    off = closed or lost or day.dropped_at is not None
    ahead = day.day >= frame.today
    pencilled = ahead and not view.is_firm
    said = f"{job.number} {job.title}: {visit.name}"
    return FeedEvent(
        uid=f"{visit.uid}-{day.number}@eavesline",
        sequence=day.sequence + (1 if closed else 0),
        changed_at=job.closed_at if closed and job.closed_at else day.changed_at,
        starts=datetime.combine(day.day, frame.hours.start(Half(day.first_half))),
        ends=datetime.combine(day.day, frame.hours.end(Half(day.last_half))),
        summary=_summary(said, off=off, pencilled=pencilled),
        description="\n".join(_about_visit(day, view, frame, ahead=ahead)),
        location=str(job.site),
        status=_status(off=off, pencilled=pencilled),
        busy=not off,
        reminder=None if off else frame.reminder,
    )


def _summary(said: str, *, off: bool, pencilled: bool) -> str:
    """Programs that do not show the status still show the first word."""
    if off:
        return f"Off: {said}"
    return f"Pencilled: {said}" if pencilled else said


def _status(*, off: bool, pencilled: bool) -> str:
    if off:
        return "CANCELLED"
    return "TENTATIVE" if pencilled else "CONFIRMED"


def _about_visit(
    day: BookedDay, view: BookingView, frame: _Frame, *, ahead: bool
) -> Iterator[str]:
    visit = day.booking.visit
    why_off = frame.lost.says(visit.job_id, day.day)
    if why_off and day.dropped_at is None:
        yield f"Called off: {why_off.rstrip('.')}."
    length = frame.lengths.get(day.booking_id, 0)
    if length > 1 and day.number <= length:
        yield f"Day {day.number} of {length}."
    names = [p.name for p in frame.people.present(day.crew_id, day.day)]
    yield f"{day.crew}: {', '.join(names) or 'nobody yet'}."
    lead = visit.job.site_lead
    if lead is not None:
        yield f"Site lead: {lead.name}{f', {lead.phone}' if lead.phone else ''}."
    yield f"Tasks: {'; '.join(task.name for task in visit.tasks.all())}."
    if ahead:
        yield from _holds(view.holds)
    yield f"{settings.SITE_URL}/jobs/{visit.job_id}/"


def _holds(holds: Sequence[Hold]) -> Iterator[str]:
    for hold in holds:
        yield f"HOLD: {hold.says} To clear it: {hold.clear_by_doing}"


def _load_event(delivery: Delivery, frame: _Frame) -> FeedEvent:
    assert delivery.due_on is not None
    half = Half(delivery.due_half)
    lines = [line.bom_line for line in delivery.lines.all()]
    brings = say_materials((line.part, line.description) for line in lines)
    off = delivery.cancelled_at is not None
    job = delivery.job
    said = f"Delivery for {job.number} {job.title}: {brings}"
    about = [f"From {delivery.supplier}."]
    about += [f"Reference {delivery.reference}."] if delivery.reference else []
    about += [delivery.note] if delivery.note else []
    return FeedEvent(
        uid=f"{delivery.uid}@eavesline",
        sequence=delivery.sequence,
        changed_at=delivery.changed_at,
        starts=datetime.combine(delivery.due_on, frame.hours.start(half)),
        ends=datetime.combine(delivery.due_on, frame.hours.end(half)),
        summary=f"Off: {said}" if off else said,
        description="\n".join(about),
        location=str(job.site),
        status="CANCELLED" if off else "CONFIRMED",
        busy=False,
    )
