"""Which booked days and deliveries belong in whose calendar."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from jobs.models import Job, Person, Task
from scheduling.models import (
    BookedDay,
    Crew,
    CrewMember,
    Delivery,
    DeliveryLine,
    PersonSlot,
)

BACK = timedelta(days=60)  # how far back a calendar goes


@dataclass(frozen=True, slots=True)
class AllDeliveries:
    """The calendar of what comes, to whichever job."""

    def __str__(self) -> str:
        return "Deliveries"


# Whose calendar; None is the whole firm.
Subject = Crew | Person | Job | AllDeliveries | None


def days_of(subject: Subject, first: date) -> list[BookedDay]:
    """Days from ``first`` on that the calendar tells of, days off included. Two queries.

    Each event once: where a visit changed crew, the day that is still on.
    """
    if isinstance(subject, AllDeliveries):
        return []
    rows = _filtered(_rows(first), subject)
    events: dict[tuple[int, int], BookedDay] = {}
    for row in rows:
        before = events.get((row.booking_id, row.number))
        if before is None or before.dropped_at is not None:
            events[row.booking_id, row.number] = row
    return list(events.values())


def _rows(first: date) -> QuerySet[BookedDay]:
    return (
        BookedDay.objects.filter(day__gte=first)
        .select_related(
            "crew",
            "booking__crew",
            "booking__visit__job__site",
            "booking__visit__job__client",
            "booking__visit__job__site_lead",
        )
        .prefetch_related(
            Prefetch("booking__visit__tasks", Task.objects.order_by("position", "pk"))
        )
        .order_by("booking_id", "number", "sequence")
    )


def _filtered(rows: QuerySet[BookedDay], subject: Subject) -> QuerySet[BookedDay]:
    if isinstance(subject, Crew):
        return rows.filter(crew=subject)
    if isinstance(subject, Job):
        return rows.filter(booking__visit__job=subject)
    if isinstance(subject, Person):
        return rows.filter(_concerns(subject))
    return rows


def _concerns(person: Person) -> Q:
    """Days the person is booked on, and days off of a crew they were in on that day."""
    booked = PersonSlot.objects.filter(
        person=person, booking=OuterRef("booking"), day=OuterRef("day")
    )
    in_crew = CrewMember.objects.filter(
        Q(to_on__isnull=True) | Q(to_on__gte=OuterRef("day")),
        person=person,
        crew=OuterRef("crew"),
        from_on__lte=OuterRef("day"),
    )
    on, off = Q(dropped_at__isnull=True), Q(dropped_at__isnull=False)
    return (on & Exists(booked)) | (off & Exists(in_crew))


def deliveries_of(
    subject: Subject, first: date, days: Sequence[BookedDay]
) -> Iterable[Delivery]:
    """Deliveries with a day, from ``first`` on, for the jobs of the calendar. One query."""
    rows = Delivery.objects.filter(due_on__gte=first).select_related(
        "job__site", "supplier"
    )
    if isinstance(subject, Job):
        rows = rows.filter(job=subject)
    elif isinstance(subject, Crew | Person):
        jobs = {day.booking.visit.job_id for day in days if day.dropped_at is None}
        rows = rows.filter(job__in=jobs)
    lines = DeliveryLine.objects.select_related("bom_line")
    return rows.prefetch_related(Prefetch("lines", lines))
