"""Invented firms of any size, for measuring and for testing.

Two families. ``busy_firm`` has a calendar with holidays, cures in calendar time, lead
times, deliveries, tickets that expire, absences and a shared electrician.
``overloaded_firm`` is simpler and has more work than its crews can do in time. Neither
rests on real data.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, dist
from random import Random

from jobs.domain.methods import LagKind
from scheduling.domain.calendar import (
    Half,
    Slot,
    WorkCalendar,
    days_between,
    working_calendar,
)
from scheduling.domain.problem import (
    After,
    Away,
    Crew,
    Job,
    Member,
    Person,
    Plant,
    PlantNeed,
    Problem,
    Ready,
    ReadyKind,
    Ticket,
    Visit,
)

FIRST_DAY = date(2026, 1, 5)
BUSY_SIDE_KM = 20.0  # yards and sites lie on a square of this side
OVERLOADED_SIDE_KM = 40.0
HOURS_PER_HALF = 12  # of calendar time
WORKING_HOURS_PER_HALF = 4
HALVES_PER_TASK_SOLD = 13.5  # half-days of a job by which the arrivals are spread
VISITS_PER_JOB = 10  # room for keys

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class FirmSize:
    """How many jobs and crews, and how densely the jobs come in."""

    jobs: int
    crews: int
    load: float


def busy_firm(size: FirmSize, seed: int) -> Problem:
    """Three visits a job, cures, lead times, expiring tickets, absences, holidays.

    Travel is in km one way. The calendar runs far beyond the work.
    """
    draw = Random(f"busy {size.jobs} {size.crews} {size.load} {seed}")  # noqa: S311 - invented firms, no secret
    span = size.jobs * HALVES_PER_TASK_SOLD / (size.crews * size.load)
    calendar = _holiday_calendar(draw, round(2.5 * span) + 160)
    people, crews = _ticketed_crews(draw, size.crews, calendar, span)
    jobs = tuple(_busy_job(draw, n, calendar, span) for n in range(size.jobs))
    return Problem(
        calendar=calendar,
        now=calendar.slot(0),
        people=people,
        crews=crews,
        jobs=jobs,
        plant=(Plant(1, "electrician", 1 + size.crews // 4),),
        travel_min=_distances(draw, crews, jobs, BUSY_SIDE_KM),
    )


def overloaded_firm(size: FirmSize, seed: int) -> Problem:
    """One to three visits a job, their length set by the crew's size; no holidays."""
    draw = Random(f"overloaded {size.jobs} {size.crews} {size.load} {seed}")  # noqa: S311 - invented firms, no secret
    span = 7 * size.jobs / (size.crews * size.load)
    calendar = _every_day(round(span + 30 * size.jobs / size.crews) + 200)
    people, crews = _gangs(draw, size.crews)
    jobs = tuple(_gang_job(draw, n, calendar, span) for n in range(size.jobs))
    return Problem(
        calendar=calendar,
        now=calendar.slot(0),
        people=people,
        crews=crews,
        jobs=jobs,
        travel_min=_distances(draw, crews, jobs, OVERLOADED_SIDE_KM),
    )


def _holiday_calendar(draw: Random, slots: int) -> WorkCalendar:
    last = FIRST_DAY + timedelta(days=ceil(slots / 2 * 7 / 5 * 1.05))
    holidays = {
        day: "holiday"
        for day in days_between(FIRST_DAY, last)
        if day != FIRST_DAY and draw.random() < 0.03
    }
    return working_calendar(FIRST_DAY, last, holidays=holidays)


def _every_day(slots: int) -> WorkCalendar:
    week = [(weekday, half) for weekday in range(7) for half in Half]
    return working_calendar(
        FIRST_DAY, FIRST_DAY + timedelta(days=slots // 2), week=week
    )


def _ticketed_crews(
    draw: Random, count: int, calendar: WorkCalendar, span: float
) -> tuple[tuple[Person, ...], tuple[Crew, ...]]:
    """One person stands for a crew: holds its tickets, is away when the crew is."""
    people = tuple(
        Person(n, f"person {n}", _tickets(draw, n, calendar, span))
        for n in range(count)
    )
    crews = tuple(
        Crew(n, f"crew {n}", (Member(n),), _absences(draw, calendar, span))
        for n in range(count)
    )
    return people, crews


def _tickets(
    draw: Random, crew: int, calendar: WorkCalendar, span: float
) -> tuple[Ticket, ...]:
    held = []
    for kind in ("a", "b", "c"):
        if crew == 0:  # somebody can do everything, always
            held.append(Ticket(kind))
        elif draw.random() < 0.9:
            runs_out = draw.random() < 0.2
            at = min(round(span * draw.uniform(0.8, 1.8)), len(calendar) - 1)
            held.append(Ticket(kind, None, calendar.slot(at).day if runs_out else None))
    return tuple(held)


def _absences(draw: Random, calendar: WorkCalendar, span: float) -> tuple[Away, ...]:
    absences = []
    for _ in range(draw.randint(1, 3)):
        first = draw.randrange(round(span))
        last = min(first + draw.randint(2, 10) - 1, len(calendar) - 1)
        absences.append(Away(calendar.slot(first), calendar.slot(last), "leave"))
    return tuple(absences)


def _busy_job(draw: Random, n: int, calendar: WorkCalendar, span: float) -> Job:
    release = draw.uniform(0, 0.78 * span)
    lengths = [sum(draw.randint(1, 2) for _ in range(tasks)) for tasks in (4, 5, 4)]
    cure, lead = draw.choice((4, 6, 10, 14)), draw.randint(0, 30)
    sealant = draw.choice((2, 3, 4))
    electric = draw.random() < 0.5
    key = n * VISITS_PER_JOB
    measured = After(key, max(cure, lead) * HOURS_PER_HALF, why="made to measure")
    sealed = After(key + 1, sealant * HOURS_PER_HALF, why="sealant cures")
    wired = (After(key + 3),) if electric else ()
    arrives = _slot(calendar, release + draw.uniform(0, 8))
    delivery = Ready(arrives, "posts and beams arrive", ReadyKind.DELIVERY)
    approval = Ready(_slot(calendar, release), "council", ReadyKind.APPROVAL)
    visits = [
        _visit(key, lengths[0], tickets=_needed(draw), ready=(delivery,)),
        _visit(key + 1, lengths[1], tickets=_needed(draw), after=(measured,)),
        _visit(
            key + 2,
            lengths[2],
            tickets=_needed(draw),
            after=(sealed, *wired),
            not_begun=_rain(draw, calendar, release, span),
        ),
    ]
    if electric:
        visits.insert(2, _electrician(key + 3, After(key + 1)))
    slack = draw.uniform(1.8, 3.2)
    due = release + slack * (sum(lengths) + 0.7 * (max(cure, lead) + sealant))
    return Job(
        key=n,
        name=f"job {n}",
        visits=tuple(visits),
        ready=(approval,),
        promised=_slot(calendar, due).day,
        weight=draw.randint(1, 3),
    )


def _visit(
    key: int,
    halves: int,
    *,
    tickets: tuple[str, ...] = (),
    ready: tuple[Ready, ...] = (),
    after: tuple[After, ...] = (),
    not_begun: tuple[Away, ...] = (),
) -> Visit:
    return Visit(
        key=key,
        name=f"visit {key}",
        halves={1: halves},
        tickets=tickets,
        ready=ready,
        after=after,
        not_begun=not_begun,
    )


def _electrician(key: int, after: After) -> Visit:
    return Visit(
        key=key,
        name="electrician",
        halves={1: 1},
        plant=(PlantNeed(1),),
        after=(after,),
        needs_crew=False,
    )


def _needed(draw: Random) -> tuple[str, ...]:
    return (draw.choice("abc"),) if draw.random() < 0.15 else ()


def _rain(
    draw: Random, calendar: WorkCalendar, release: float, span: float
) -> tuple[Away, ...]:
    """Days on which the roof is not opened: about one half-day in twelve."""
    days = range(round(release), round(release + span), 12)
    wet = (_slot(calendar, day + draw.randrange(12)) for day in days)
    return tuple(Away(slot, slot, "rain") for slot in wet)


def _gangs(draw: Random, count: int) -> tuple[tuple[Person, ...], tuple[Crew, ...]]:
    people: list[Person] = []
    crews: list[Crew] = []
    for n in range(count):
        size = draw.choice((2, 3, 3, 4))
        kinds = [kind for kind in "abcd" if n == 0 or draw.random() < 0.75]
        first = len(people)
        people.extend(
            Person(first + m, f"person {first + m}", tuple(map(Ticket, kinds)))
            for m in range(size)
        )
        members = tuple(Member(first + m) for m in range(size))
        crews.append(Crew(n, f"crew {n}", members))
    return tuple(people), tuple(crews)


def _gang_job(draw: Random, n: int, calendar: WorkCalendar, span: float) -> Job:
    effort, parts = draw.randint(12, 60), draw.choice((1, 1, 2, 2, 3))
    tickets = tuple(draw.sample("abcd", draw.choice((0, 0, 1, 2))))
    halves = {size: ceil(effort / parts / size) for size in (2, 3, 4)}
    key = n * VISITS_PER_JOB
    visits = [
        Visit(
            key + part,
            f"visit {part + 1}",
            halves,
            tickets,
            after=_gap(draw, key, part),
        )
        for part in range(parts)
    ]
    release = draw.uniform(0, span)
    due = release + draw.uniform(6, 30)
    return Job(
        key=n,
        name=f"job {n}",
        visits=tuple(visits),
        ready=(Ready(_slot(calendar, release), "approval", ReadyKind.APPROVAL),),
        promised=_slot(calendar, due).day,
        weight=draw.choice((1, 1, 1, 3)),
    )


def _gap(draw: Random, key: int, part: int) -> tuple[After, ...]:
    if part == 0:
        return ()
    hours = draw.randint(4, 14) * WORKING_HOURS_PER_HALF
    return (After(key + part - 1, hours, LagKind.WORKING, "cure"),)


def _distances(
    draw: Random, crews: Sequence[Crew], jobs: Sequence[Job], side_km: float
) -> dict[tuple[int, int], int]:
    bases = {crew.key: _point(draw, side_km) for crew in crews}
    sites = {job.key: _point(draw, side_km) for job in jobs}
    return {
        (crew, job): round(dist(base, site))
        for crew, base in bases.items()
        for job, site in sites.items()
    }


def _point(draw: Random, side_km: float) -> Point:
    return draw.uniform(0, side_km), draw.uniform(0, side_km)


def _slot(calendar: WorkCalendar, at: float) -> Slot:
    return calendar.slot(min(round(at), len(calendar) - 1))
