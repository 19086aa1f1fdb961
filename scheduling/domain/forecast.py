"""When jobs will be done, as ranges: the published plan played through many times.

Each run draws when approvals come back (:mod:`jobs.domain.survival`) and loads arrive
(:mod:`scheduling.domain.delivery_times`), how long each task really takes, and which days
are lost to rain, one sky for all jobs. A job's visits follow each other on the firm's
calendar, and each crew does its visits in the order of the plan: what one takes too long,
or starts too late, pushes the next to the right. Nothing is brought forward of where the
plan has it, and nobody is taken to change the order or the crew, so a slip that the office
would plan around is forecast gloomily. A visit that is not booked is taken to find a crew
when it may start, which is hopeful.

Sources: R. M. Van Slyke, "Monte Carlo Methods and the PERT Problem", Operations Research
11 (1963), 839-860, for playing a network through; that each resource keeps the planned
order is the "right-shift" of the literature on rescheduling (both remembered).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, exp
from operator import add
from random import Random

from jobs.domain.methods import LagKind
from jobs.domain.survival import Curve
from scheduling.domain.calendar import Half, Slot, WorkCalendar
from scheduling.domain.delivery_times import Coming
from scheduling.domain.sky import Sky

RUNS = 400  # the P80 of 400 runs is good to about two points in a hundred
SEED = 1959
HALF_SHARE, MOST_SHARE = 0.5, 0.8
# How forecasts are made, kept with each: 1, other jobs and loads stand still; 2, loads
# come late by chance and earlier visits of a crew push later ones.
METHOD = 2

Place = tuple[int, int]  # job, ordinal of the visit
Runs = list[int]  # a slot index (or a count of them) for every run


@dataclass(frozen=True, slots=True)
class TaskLeft:
    """A task still to do: minutes on the clock, and what is believed of its ratio.

    The natural logarithm of (real ÷ planned minutes) lies around ``shift`` by ``unsure``,
    which all tasks of a job share, and by ``spread``, each task its own.
    """

    minutes: float
    shift: float = 0.0
    unsure: float = 0.0
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class VisitLeft:
    """A visit still to do. ``links`` are (ordinal, hours, kind) of visits before it.

    ``crew`` and ``planned`` (slot index) say where the plan has it; without a crew it
    stands in no crew's order. ``loads`` are places in the job's loads.
    """

    ordinal: int
    tasks: tuple[TaskLeft, ...]
    not_before: int  # slot index: planned start, today
    links: tuple[tuple[int, float, LagKind], ...] = ()
    stops_in_rain: bool = False
    crew: int | None = None
    planned: int = 0
    loads: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Awaited:
    """An approval that is out: how long such take, and days it has waited (-1: none)."""

    curve: Curve
    waited: int = -1

    def back_on(self, today: date, luck: float) -> date:
        """The day it is back for that luck, 0 to 1; never today or before."""
        days = self.curve.days_for(luck, self.waited)
        waited = max(self.waited, 0)
        ahead = 1 if days is None else days - waited
        return today + timedelta(days=max(ahead, 1))


@dataclass(frozen=True, slots=True)
class JobAhead:
    """What is left of a job. Visits in an order that respects their links."""

    key: int
    visits: tuple[VisitLeft, ...]
    approvals: tuple[Awaited, ...] = ()
    loads: tuple[Coming, ...] = ()


@dataclass(frozen=True, slots=True)
class FirmAhead:
    """Jobs of a firm, and what they share.

    ``rain`` is the chance that a working day of a month is lost, January first.
    ``calendar`` begins no later than the first half-day that may still be planned.
    """

    today: date
    calendar: WorkCalendar
    minutes_per_half: float
    jobs: tuple[JobAhead, ...]
    rain: tuple[float, ...] = (0.0,) * 12


@dataclass(frozen=True, slots=True)
class Finish:
    """The days on which the runs were done, in order."""

    days: tuple[date, ...]

    def by(self, share: float) -> date:
        """The day by which that share of the runs was done."""
        return self.days[max(ceil(share * len(self.days)) - 1, 0)]

    @property
    def half(self) -> date:
        """P50."""
        return self.by(HALF_SHARE)

    @property
    def most(self) -> date:
        """P80."""
        return self.by(MOST_SHARE)

    def chance_by(self, day: date) -> float:
        """Share of the runs that were done by the evening of ``day``, 0 to 1."""
        return sum(done <= day for done in self.days) / len(self.days)


def simulate(
    firm: FirmAhead, *, runs: int = RUNS, seed: int = SEED
) -> dict[int, Finish]:
    """Play jobs through together; how each ends, by its key.

    The same jobs and seed give the same answer, and a job draws the same luck whichever
    jobs are beside it. ValueError for a job of which nothing is left.
    """
    if not all(job.visits for job in firm.jobs):
        raise ValueError("nothing is left of a job")
    play = _Play(firm, runs, seed)
    for place in in_plan_order(firm.jobs):
        play.visit(place)
    return {job.key: play.finish(job) for job in firm.jobs}


def in_plan_order(jobs: Sequence[JobAhead]) -> list[Place]:
    """All visits, each after what it waits for and after earlier ones of its crew.

    By where the plan has them; one that is booked before what it waits for stands right
    behind that.
    """
    order: dict[Place, tuple[int, int, int]] = {}
    for job in jobs:
        for at, visit in enumerate(job.visits):
            waits = [
                order[job.key, before][0]
                for before, _, _ in visit.links
                if (job.key, before) in order
            ]
            key = (max([visit.planned, *waits]), job.key, at)
            order[job.key, visit.ordinal] = key
    return sorted(order, key=order.__getitem__)


class _Luck:
    """What chance decides about one job, for every run."""

    def __init__(self, job: JobAhead, firm: FirmAhead, runs: int, seed: int) -> None:
        self._waits = Random(f"{seed}-{job.key}-waits")  # noqa: S311 - no secret
        self._work = Random(f"{seed}-{job.key}-work")  # noqa: S311 - no secret
        self._firm, self._runs = firm, runs
        self.released = [0] * runs
        for wait in job.approvals:
            self.released = list(map(max, self.released, self._back(wait)))
        self.loads = [self._here(load) for load in job.loads]
        self._shared = [self._work.gauss(0, 1) for _ in range(runs)]
        self.halves = {visit.ordinal: self._halves(visit) for visit in job.visits}

    def _back(self, wait: Awaited) -> Runs:
        days = (
            wait.back_on(self._firm.today, self._waits.random())
            for _ in range(self._runs)
        )
        return [self._firm.calendar.index_after(Slot(day, Half.PM)) for day in days]

    def _here(self, load: Coming) -> Runs:
        slots = (
            load.here(self._firm.today, self._waits.random()) for _ in range(self._runs)
        )
        return [self._firm.calendar.index_after(slot) for slot in slots]

    def _halves(self, visit: VisitLeft) -> Runs:
        took = [0.0] * self._runs
        for task in visit.tasks:
            took = list(map(add, took, self._minutes(task)))
        half = self._firm.minutes_per_half
        return [max(1, ceil(minutes / half - 1e-9)) for minutes in took]

    def _minutes(self, task: TaskLeft) -> list[float]:
        gauss, spread, unsure = self._work.gauss, task.spread, task.unsure
        usual = task.minutes * exp(task.shift)
        return [
            usual * exp(unsure * all_ + spread * gauss(0.0, 1.0))
            for all_ in self._shared
        ]


class _Play:
    """All runs side by side, visit after visit in the order of the plan."""

    def __init__(self, firm: FirmAhead, runs: int, seed: int) -> None:
        self.calendar = firm.calendar
        self.jobs = {job.key: job for job in firm.jobs}
        self.lucks = {job.key: _Luck(job, firm, runs, seed) for job in firm.jobs}
        self.visits = {(j.key, v.ordinal): v for j in firm.jobs for v in j.visits}
        self.sky = Sky(firm.calendar, firm.rain, runs, seed)
        self.runs = runs
        self._ends: dict[Place, Runs] = {}
        self._crews: dict[int, Runs] = {}  # from when each crew is free again
        self._tables: dict[tuple[float, LagKind], Sequence[int]] = {}

    def visit(self, place: Place) -> None:
        """Let a visit start as soon as all it waits for allows, and be worked."""
        visit, luck = self.visits[place], self.lucks[place[0]]
        starts = [max(visit.not_before, low) for low in luck.released]
        for low in self._lows(place[0], visit):
            starts = list(map(max, starts, low))
        ends = self._worked(starts, luck.halves[visit.ordinal], visit)
        self._ends[place] = ends
        if visit.crew is not None:
            self._crews[visit.crew] = ends

    def finish(self, job: JobAhead) -> Finish:
        """The day each run ends the job, the last day of the calendar at the latest."""
        lasts = [0] * self.runs
        for visit in job.visits:
            lasts = list(map(max, lasts, self._ends[job.key, visit.ordinal]))
        days = (self.calendar.slot(max(end - 1, 0)).day for end in lasts)
        return Finish(tuple(sorted(days)))

    def _lows(self, job: int, visit: VisitLeft) -> list[Runs]:
        """Slots before which it cannot start: visits before it, its crew, its loads."""
        lows = [self.lucks[job].loads[load] for load in visit.loads]
        if visit.crew in self._crews:
            lows.append(self._crews[visit.crew])
        for before, hours, kind in visit.links:
            if (job, before) in self._ends:
                table = self._table(hours, kind)
                lows.append([table[end] for end in self._ends[job, before]])
        return lows

    def _worked(self, starts: Runs, halves: Runs, visit: VisitLeft) -> Runs:
        if visit.stops_in_rain:
            return self.sky.worked(starts, halves)
        horizon = len(self.calendar)
        spans = zip(starts, halves, strict=True)
        return [min(start + length, horizon) for start, length in spans]

    def _table(self, hours: float, kind: LagKind) -> Sequence[int]:
        if (hours, kind) not in self._tables:
            self._tables[hours, kind] = self.calendar.lag_table(hours, kind)
        return self._tables[hours, kind]


def earlier_in_crews(jobs: Sequence[JobAhead]) -> dict[int, int]:
    """By job, how many visits of other jobs its crews do before its last with them."""
    crews = {(j.key, v.ordinal): v.crew for j in jobs for v in j.visits}
    done: Counter[int] = Counter()  # by crew
    own: Counter[tuple[int, int]] = Counter()  # by job and crew
    before: dict[tuple[int, int], int] = {}
    for place in in_plan_order(jobs):
        job, crew = place[0], crews[place]
        if crew is not None:
            before[job, crew] = done[crew] - own[job, crew]
            done[crew] += 1
            own[job, crew] += 1
    found = {job.key: 0 for job in jobs}
    for (job, _), count in before.items():
        found[job] += count
    return found
