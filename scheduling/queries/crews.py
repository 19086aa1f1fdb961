"""Crews as their pages show them."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, Q, QuerySet

from jobs.models import Person
from scheduling.models import Absence, Booking, Crew, CrewMember, LostDay
from scheduling.queries.bookings import (
    BookingView,
    booking_standing,
    bookings_between,
    live_bookings,
)
from scheduling.queries.called_off import LATE_BY


def crews_with_places(crews: QuerySet[Crew], day: date) -> QuerySet[Crew]:
    """Crews with the people who are in them on a day or later. Two queries."""
    places = CrewMember.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gte=day)
    ).select_related("person")
    return crews.prefetch_related(Prefetch("members", places, "places"))


def without_crew(day: date) -> QuerySet[Person]:
    """People who go out on sites and are in no crew on a day. One query."""
    placed = CrewMember.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gte=day), from_on__lte=day
    )
    return (
        Person.objects.filter(is_active=True)
        .filter(Q(is_crew=True) | Q(is_site_lead=True))
        .exclude(pk__in=placed.values("person"))
    )


def bookings_ahead(crew: Crew, day: date, at: datetime) -> list[BookingView]:
    """Bookings of a crew that are not over on a day, as they stand."""
    rows: QuerySet[Booking] = live_bookings().filter(crew=crew, end_on__gte=day)
    return _as_they_stand(rows, at)


@dataclass(frozen=True, slots=True)
class TimeOff:
    """Who is away from a day on, and which days are lost, or were of late."""

    absences: list[Absence]
    lost: list[LostDay]


def time_off(day: date) -> TimeOff:
    """Absences not over on a day, and days called off from two weeks before it on.

    Two queries.
    """
    absences = Absence.objects.filter(cancelled_at__isnull=True, to_on__gte=day)
    lost = LostDay.objects.filter(cancelled_at__isnull=True, day__gte=day - LATE_BY)
    return TimeOff(
        absences=list(absences.select_related("person", "crew")),
        lost=list(lost.select_related("job", "recorded_by").order_by("day", "pk")),
    )


def touched_by_absence(absence: Absence, at: datetime) -> list[BookingView]:
    """Bookings on these days of the crew, or of the crew that the person is in."""
    rows = bookings_between(absence.from_on, absence.to_on)
    if absence.crew_id is not None:
        return _as_they_stand(rows.filter(crew=absence.crew_id), at)
    places = CrewMember.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gte=absence.from_on),
        person=absence.person_id,
        from_on__lte=absence.to_on,
    )
    return _as_they_stand(rows.filter(crew__in=places.values("crew")), at)


def touched_by_lost_day(lost: LostDay, at: datetime) -> list[BookingView]:
    """Bookings on the day that was called off."""
    rows = bookings_between(lost.day, lost.day)
    if lost.job_id is not None:
        rows = rows.filter(visit__job=lost.job_id)
    return _as_they_stand(rows, at)


def _as_they_stand(rows: QuerySet[Booking], at: datetime) -> list[BookingView]:
    listed = list(rows)
    standing = booking_standing(listed, at)
    return [standing[booking.pk] for booking in listed]
