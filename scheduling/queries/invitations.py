"""Bookings as the calendars of the people booked are told of them."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings

from jobs.models import Firm
from jobs.queries import local_day
from scheduling.domain.calendar import Half, HalfHours, say_day
from scheduling.domain.series import Span
from scheduling.models import Booking, Invitation, InvitationWish, PersonSlot
from scheduling.queries.calendar import half_hours


@dataclass(frozen=True, slots=True)
class Wanted:
    """What one person should be told of one booking: with which crew, on which days."""

    crew: str
    days: tuple[tuple[date, tuple[Half, ...]], ...]
    spans: tuple[Span, ...]  # the clock times of each day

    def told(self) -> dict[str, Any]:
        """As it is kept, to see later whether anything changed.

        A single day is kept as it was before days had times of their own, so that
        nobody is mailed what they know.
        """
        told: dict[str, Any] = {
            "starts": self.spans[0].starts.isoformat(),
            "ends": self.spans[-1].ends.isoformat(),
            "crew": self.crew,
            "days": [_day_in_words(day, halves) for day, halves in self.days],
        }
        if len(self.spans) > 1:
            told["spans"] = [
                [span.starts.isoformat(), span.ends.isoformat()] for span in self.spans
            ]
        return told


def _day_in_words(day: date, halves: Sequence[Half]) -> str:
    return say_day(day) if len(halves) > 1 else f"{say_day(day)}, {halves[0]}"


Key = tuple[int, int]  # booking, person


def wanted_invitations(firm: Firm, at: datetime) -> dict[Key, Wanted]:
    """What everybody who asked for invitations should know of days to come. Two queries."""
    today, hours = local_day(at, firm), half_hours(firm)
    people = InvitationWish.objects.filter(
        person__is_active=True, person__email__isnull=False
    ).values("person")
    live = Booking.objects.filter(
        cancelled_at__isnull=True,
        end_on__gte=today,
        visit__job__closed_at__isnull=True,
    )
    rows = (
        PersonSlot.objects.filter(person__in=people, booking__in=live)
        .order_by("booking_id", "person_id", "day", "half")
        .values_list("booking_id", "person_id", "booking__crew__name", "day", "half")
    )
    found: dict[Key, tuple[str, dict[date, list[Half]]]] = {}
    for booking, person, crew, day, half in rows:
        _, days = found.setdefault((booking, person), (crew, defaultdict(list)))
        days[day].append(Half(half))
    return {
        key: _wanted(crew, days, hours)
        for key, (crew, days) in found.items()
        if max(days) >= today
    }


def _wanted(crew: str, days: dict[date, list[Half]], hours: HalfHours) -> Wanted:
    listed = sorted(days.items())
    return Wanted(
        crew=crew,
        days=tuple((day, tuple(halves)) for day, halves in listed),
        spans=tuple(
            Span(
                datetime.combine(day, hours.start(halves[0])),
                datetime.combine(day, hours.end(halves[-1])),
            )
            for day, halves in listed
        ),
    )


@dataclass(frozen=True, slots=True)
class Message:
    """One invitation, or its withdrawal, ready to become a mail."""

    uid: str
    sequence: int
    changed_at: datetime
    spans: tuple[Span, ...]  # one a day, in order
    zone: str
    summary: str
    description: str
    location: str
    organizer: str  # address that answers go to
    organizer_name: str
    attendee: str
    attendee_name: str
    withdrawn: bool


def message_of(invitation: Invitation, firm: Firm) -> Message:
    """What the person is told; booking, job, site and person must be loaded."""
    visit, told = invitation.booking.visit, invitation.told
    job, off = visit.job, invitation.withdrawn_at is not None
    said = f"{job.number} {job.title}: {visit.name}"
    about = [
        f"With {told['crew']}.",
        *told["days"],
        f"{settings.SITE_URL}/jobs/{job.pk}/",
    ]
    return Message(
        uid=uid_of(invitation),
        sequence=invitation.sequence,
        changed_at=invitation.changed_at,
        spans=spans_of(invitation),
        zone=firm.time_zone,
        summary=f"Off: {said}" if off else said,
        description="\n".join(about),
        location=str(job.site),
        organizer=settings.CALENDAR_REPLIES,
        organizer_name=firm.name,
        attendee=invitation.sent_to,
        attendee_name=invitation.person.name,
        withdrawn=off,
    )


def spans_of(invitation: Invitation) -> tuple[Span, ...]:
    """Each day as last told; told as one span from first to last before days were."""
    told = invitation.told
    pairs = told.get("spans", [[told["starts"], told["ends"]]])
    return tuple(Span(*map(datetime.fromisoformat, pair)) for pair in pairs)


def uid_of(invitation: Invitation) -> str:
    """The invitation's name in calendars, the same for ever."""
    return f"{invitation.uid}@eavesline"


@dataclass(frozen=True, slots=True)
class Answered:
    """An invitation with what came back: of all its days, and of some otherwise."""

    invitation: Invitation
    days: tuple[tuple[date, str], ...]


def answers_of(booking: Booking) -> list[Answered]:
    """Invitations in force of a booking with what came back. One query."""
    rows = Invitation.objects.filter(booking=booking, withdrawn_at__isnull=True)
    return [
        Answered(
            row,
            tuple(
                (date.fromisoformat(day), Invitation.Answer(said["answer"]).label)
                for day, said in sorted(row.day_answers.items())
            ),
        )
        for row in rows.select_related("person").order_by("person__name")
    ]
