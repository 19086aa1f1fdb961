"""Noise and vibration in a day as the page of a plan shows them: as booked, if booked."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count

from jobs.models import Firm, Job
from safety.domain.day_table import day_table, higher_than
from safety.domain.exposures.days import BookedVisit, Room, booked_days, planned_days
from safety.queries.plans import Draft, place_of
from scheduling.models import CrewSlot, PersonSlot
from scheduling.queries.calendar import minutes_of_day
from scheduling.queries.visits import current_visits


@dataclass(frozen=True, slots=True)
class DaysShown:
    """The table, None without noise or vibration, and whether bookings make it worse."""

    table: dict[str, Any] | None
    higher: str = ""


def days_shown(found: Draft, firm: Firm) -> DaysShown:
    """The days of a job as booked, or as its plan counts with them. Four queries."""
    visits = booked_visits(found.job, firm)
    if not visits:
        return DaysShown(found.content["days"])
    book = found.rules.book(place_of(found.facts))
    booked = booked_days(found.facts.tasks, visits, book.bench.hours)
    planned = planned_days(found.facts.tasks, book.bench.hours)
    return DaysShown(
        day_table(booked, book.bench, book.pack, found.on),
        higher_than(planned, booked, book.bench),
    )


def booked_visits(job: Job, firm: Firm) -> tuple[BookedVisit, ...]:
    """The visits of a job that are booked, in order, with their days. Four queries."""
    visits = list(current_visits([job]))
    halves, people = _halves(job), _people(job)
    half = minutes_of_day(firm) / 2
    return tuple(
        BookedVisit(
            frozenset(task.key for task in visit.tasks.all()),
            tuple(
                Room(count * half, people[visit.pk, day] or visit.crew_min, day)
                for day, count in sorted(halves[visit.pk].items())
            ),
        )
        for visit in visits
        if visit.pk in halves
    )


def _halves(job: Job) -> dict[int, Counter[date]]:
    """How many half-days of a day are booked, by visit."""
    rows = CrewSlot.objects.filter(
        booking__visit__job=job, booking__cancelled_at__isnull=True
    )
    found: dict[int, Counter[date]] = defaultdict(Counter)
    for visit, day in rows.values_list("booking__visit_id", "day"):
        found[visit][day] += 1
    return found


def _people(job: Job) -> Counter[tuple[int, date]]:
    """How many people are booked, by visit and day."""
    rows = PersonSlot.objects.filter(
        booking__visit__job=job, booking__cancelled_at__isnull=True
    ).values_list("booking__visit_id", "day")
    counted = rows.annotate(people=Count("person", distinct=True))
    return Counter({(visit, day): people for visit, day, people in counted})
