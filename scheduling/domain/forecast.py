"""When a job will be done, as a range: the plan played through many times.

Each run draws when approvals come back (:mod:`jobs.domain.survival`), how long each task
really takes, and which days are lost to rain, and lets the job's own visits follow each
other on the firm's calendar. Other jobs stay where they are: a crew is taken to come when
the visit may start, so a job that must be booked anew is forecast hopefully.

Source of the method: R. M. Van Slyke, "Monte Carlo Methods and the PERT Problem",
Operations Research 11 (1963), 839-860 (remembered).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, exp
from random import Random

from jobs.domain.methods import LagKind
from jobs.domain.survival import Curve
from scheduling.domain.calendar import Half, Slot, WorkCalendar

RUNS = 400  # the P80 of 400 runs is good to about two points in a hundred
SEED = 1959
HALF_SHARE, MOST_SHARE = 0.5, 0.8

RAIN_WORTH = 20.0  # working days that the allowance of a month is worth; our choice
RAIN_ALLOWANCE = 0.08  # share of days lost when nobody said; common practice, no source


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
    """A visit still to do. ``links`` are (ordinal, hours, kind) of visits before it."""

    ordinal: int
    tasks: tuple[TaskLeft, ...]
    not_before: int  # slot index: planned start, material, today
    links: tuple[tuple[int, float, LagKind], ...] = ()
    stops_in_rain: bool = False


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
    """What is left of a job. Visits in an order that respects their links.

    ``rain`` is the chance that a working day of a month is lost, January first.
    ``calendar`` begins no later than the first half-day that may still be planned.
    """

    today: date
    calendar: WorkCalendar
    minutes_per_half: float
    visits: tuple[VisitLeft, ...]
    approvals: tuple[Awaited, ...] = ()
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


def simulate(job: JobAhead, *, runs: int = RUNS, seed: int = SEED) -> Finish:
    """Play a job through. The same job and seed give the same answer.

    ValueError when nothing is left to do.
    """
    if not job.visits:
        raise ValueError("nothing is left of this job")
    lucks = (Random(f"{seed}-{n}") for n in range(runs))  # noqa: S311 - no secret
    return Finish(tuple(sorted(_run(job, luck) for luck in lucks)))


def _run(job: JobAhead, luck: Random) -> date:
    calendar = job.calendar
    released = _released(job, luck)
    shared = luck.gauss(0, 1)
    is_wet = _weather(job.rain, luck)
    ends: dict[int, int] = {}
    for visit in job.visits:
        start = max(
            visit.not_before,
            released,
            *(
                calendar.after_lag(ends[before], hours, kind)
                for before, hours, kind in visit.links
                if before in ends
            ),
        )
        halves = _halves(visit, job.minutes_per_half, shared, luck)
        wet = is_wet if visit.stops_in_rain else _dry
        ends[visit.ordinal] = _worked(calendar, start, halves, wet)
    last = min(max(ends.values()), len(calendar)) - 1
    return calendar.slot(max(last, 0)).day


def _released(job: JobAhead, luck: Random) -> int:
    back = [wait.back_on(job.today, luck.random()) for wait in job.approvals]
    if not back:
        return 0
    return job.calendar.index_after(Slot(max(back), Half.PM))


def _halves(
    visit: VisitLeft, minutes_per_half: float, shared: float, luck: Random
) -> int:
    took = sum(
        task.minutes
        * exp(task.shift + task.unsure * shared + task.spread * luck.gauss(0, 1))
        for task in visit.tasks
    )
    return max(1, ceil(took / minutes_per_half - 1e-9))


def _worked(
    calendar: WorkCalendar, start: int, halves: int, is_wet: Callable[[date], bool]
) -> int:
    """End (exclusive) of so many half-days of work, days lost to rain left out."""
    at = start
    while halves and at < len(calendar):
        if not is_wet(calendar.slot(at).day):
            halves -= 1
        at += 1
    return at


def _dry(_: date) -> bool:
    return False


def _weather(rain: Sequence[float], luck: Random) -> Callable[[date], bool]:
    """Rain or not, each day drawn once a run."""
    drawn: dict[date, bool] = {}

    def is_wet(day: date) -> bool:
        if day not in drawn:
            drawn[day] = luck.random() < rain[day.month - 1]
        return drawn[day]

    return is_wet


def rain_chances(
    worked: Mapping[int, int], lost: Mapping[int, int], allowed: Sequence[float]
) -> tuple[float, ...]:
    """Chance that a working day is lost to weather, January first.

    The mean of a beta distribution: the allowance of the month, worth
    :data:`RAIN_WORTH` days, and the firm's own days ``worked`` (lost ones among them) and
    ``lost`` by month. A. Gelman and others, "Bayesian Data Analysis", section 2.4
    (remembered).
    """
    return tuple(
        (RAIN_WORTH * allowed[month - 1] + lost.get(month, 0))
        / (RAIN_WORTH + max(worked.get(month, 0), lost.get(month, 0)))
        for month in range(1, 13)
    )
