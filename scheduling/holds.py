"""Holds that scheduling knows: material not on site, crews that do not fit, lost days."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.material_words import say_materials
from jobs.domain.roles import Role
from jobs.library import ticket_kinds
from jobs.models import Job
from jobs.queries import local_day
from scheduling.domain.calendar import say_day
from scheduling.domain.supply import Standing, part_words
from scheduling.models import LostDay
from scheduling.queries.crew_days import CrewDay, CrewedVisit, crewed_visits
from scheduling.queries.supply import LineSupply, line_supplies

TASKS = frozenset({Stops.TASKS})
OFFICE = frozenset({Role.OFFICE})
ON_SITE = frozenset({Role.SITE_LEAD, Role.OFFICE})


def delivery_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Material that tasks still to be done need and that is not on site. Five queries."""
    day = local_day(at)
    grouped: dict[tuple[int, Standing, int], list[LineSupply]] = defaultdict(list)
    for line in line_supplies(jobs, at):
        standing = line.supply.standing(day)
        if standing is Standing.HERE or not line.task_ids:
            continue
        if standing is Standing.SHORT:
            yield _short(line, day)
        else:
            cover = line.supply.covering()
            load = cover.delivery if cover else 0
            grouped[line.line.job_id, standing, load].append(line)
    for (_, standing, _), lines in grouped.items():
        yield _MAKERS[standing](lines, day)


def _short(line: LineSupply, day: date) -> Hold:
    load = line.supply.short_load()
    assert load is not None
    likely = line.supply.likely_here(day)
    cover = line.supply.covering()
    return _material_hold(
        [line],
        kind="short",
        says=f"{part_words(load, line.line.description, line.line.unit)}.",
        do="check the new load in when it comes."
        if cover
        else "order what is missing, and get damaged pieces credited.",
        forecast=likely.day if likely else None,
        record=("scheduling.delivery", load.delivery),
    )


def _due(lines: list[LineSupply], day: date) -> Hold:
    cover = lines[0].supply.covering()
    assert cover is not None
    when = f"due {cover.due}" if cover.due else "ordered with no day given"
    return _material_hold(
        lines,
        kind="due",
        says=f"Not on site yet: {_names(lines)}, {when}.",
        do="check the load in when it comes."
        if cover.due
        else "ask the supplier for a day, and record it.",
        forecast=cover.due.day if cover.due else None,
        record=("scheduling.delivery", cover.delivery),
    )


def _late(lines: list[LineSupply], day: date) -> Hold:
    cover = lines[0].supply.covering()
    assert cover is not None
    assert cover.due is not None
    return _material_hold(
        lines,
        kind="late",
        says=f"Late: {_names(lines)}, due on {say_day(cover.due.day)}.",
        do="ask the supplier for a new day; check the load in if it came.",
        record=("scheduling.delivery", cover.delivery),
    )


def _not_ordered(lines: list[LineSupply], day: date) -> Hold:
    return _material_hold(
        lines,
        kind="not_ordered",
        says=f"Not ordered, or not enough: {_names(lines)}.",
        do="order it, with the day it should come.",
        record=("jobs.job#deliveries", lines[0].line.job_id),
    )


_MAKERS = {
    Standing.DUE: _due,
    Standing.LATE: _late,
    Standing.NOT_ORDERED: _not_ordered,
}


def _names(lines: Sequence[LineSupply]) -> str:
    return say_materials((line.line.part, line.line.description) for line in lines)


def _material_hold(
    lines: Sequence[LineSupply],
    *,
    kind: str,
    says: str,
    do: str,
    record: tuple[str, int],
    forecast: date | None = None,
) -> Hold:
    return Hold(
        rule=f"delivery.{kind}",
        job_id=lines[0].line.job_id,
        says=says,
        stops=TASKS,
        cleared_by=ON_SITE if kind in {"due", "short"} else OFFICE,
        clear_by_doing=do,
        basis=Basis.PRACTICE,
        forecast=forecast,
        task_ids=frozenset().union(*(line.task_ids for line in lines)),
        record=record,
    )


def crew_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """Bookings, from that day on, whose crew does not fit the work. Eight queries."""
    day = local_day(at)
    leadless: set[int] = set()
    for booked in crewed_visits(jobs, day, at):
        yield from _too_few(booked)
        yield from _no_ticket(booked)
        yield from _away(booked)
        job = booked.visit.job
        if job.site_lead_id is None and job.pk not in leadless:
            leadless.add(job.pk)
            yield _no_lead(booked)
        yield from _lead_away(booked)


@dataclass(frozen=True, slots=True)
class _Lack:
    """What a crew lacks on some days of a visit, and how it is put right."""

    rule: str
    says: str
    do: str
    basis: Basis


def _too_few(booked: CrewedVisit) -> Iterator[Hold]:
    need = booked.visit.crew_min
    days = [day for day in booked.days if len(day.present) < need]
    if days:
        have = min(len(day.present) for day in days)
        says = (
            f"{booked.booking.crew} has {have} of the {need} people that "
            f"“{booked.visit.name}” needs on {_days_in_words(days)}."
        )
        do = "put more people in the crew, or book another crew."
        yield _crew_hold(booked, _Lack("too_few", says, do, Basis.PRACTICE))


def _no_ticket(booked: CrewedVisit) -> Iterator[Hold]:
    for kind in booked.visit.tickets:
        days = [d for d in booked.days if d.present and not booked.holder(kind, d)]
        if days:
            known = ticket_kinds().get(kind)
            name = known.name if known else kind
            says = (
                f"Nobody in {booked.booking.crew} holds “{name}” "
                f"on {_days_in_words(days)}, and “{booked.visit.name}” needs it."
            )
            do = "record the ticket, or book somebody who holds it."
            yield _crew_hold(booked, _Lack(f"ticket.{kind}", says, do, Basis.LAW))


def _away(booked: CrewedVisit) -> Iterator[Hold]:
    """The whole crew away; single people count in the other rules."""
    days = [day for day in booked.days if day.away and not day.present]
    if days:
        says = f"{booked.booking.crew} is away on {_days_in_words(days)}: {days[0].away[0][1]}."
        do = "book another crew or another day."
        yield _crew_hold(booked, _Lack("away", says, do, Basis.FIRM))


def _no_lead(booked: CrewedVisit) -> Hold:
    says = "The job is booked but nobody leads the site."
    do = "name the site lead on the job."
    return _crew_hold(booked, _Lack("no_lead", says, do, Basis.FIRM))


def _lead_away(booked: CrewedVisit) -> Iterator[Hold]:
    days = [day for day in booked.days if day.lead_away]
    if days:
        lead = booked.visit.job.site_lead
        says = f"{lead}, who leads the site, is away on {_days_in_words(days)}."
        do = "name another site lead, or book other days."
        yield _crew_hold(booked, _Lack("lead_away", says, do, Basis.FIRM))


def _crew_hold(booked: CrewedVisit, lack: _Lack) -> Hold:
    return Hold(
        rule=f"crew.{lack.rule}",
        job_id=booked.visit.job_id,
        says=lack.says,
        stops=TASKS,
        cleared_by=OFFICE,
        clear_by_doing=lack.do,
        basis=lack.basis,
        since=booked.booking.changed_at,
        task_ids=booked.open_tasks,
        record=("scheduling.booking", booked.booking.pk),
    )


def _days_in_words(days: Sequence[CrewDay]) -> str:
    first = say_day(days[0].day)
    return first if len(days) == 1 else f"{first} and {len(days) - 1} more"


def lost_day_holds(jobs: Sequence[Job], at: datetime) -> Iterator[Hold]:
    """The day called off for weather, for one job or for all. Two queries."""
    day = local_day(at)
    rows = LostDay.objects.filter(
        Q(cancelled_at__isnull=True) | Q(cancelled_at__gt=at),
        Q(job__isnull=True) | Q(job__in=jobs),
        day=day,
        recorded_at__lte=at,
    ).order_by("pk")
    by_job = {row.job_id: row for row in rows}
    for job in jobs:
        lost = by_job.get(job.pk) or by_job.get(None)
        if lost is not None:
            yield Hold(
                rule="weather.lost_day",
                job_id=job.pk,
                says=f"{say_day(day)} is called off: {lost.reason}.",
                stops=frozenset({Stops.WORK}),
                cleared_by=ON_SITE,
                clear_by_doing="wait; work goes on when the day is over.",
                basis=Basis.FIRM,
                since=lost.recorded_at,
                forecast=day,
                record=("scheduling.lostday", lost.pk),
            )
