"""When a crew can do a visit and how long it then takes: rules turned into masks."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import reduce
from math import lcm
from operator import and_, or_

from scheduling.domain import masks
from scheduling.domain.calendar import Half, Slot
from scheduling.domain.problem import Away, Crew, Job, Problem, Visit

PERCENT = 100


@dataclass(frozen=True, slots=True)
class Mode:
    """One way to do a visit: in ``halves`` slots from any slot of the mask ``starts``."""

    halves: int
    starts: int


Modes = tuple[Mode, ...]


def halves_for(halves: Mapping[int, int], people: int) -> int | None:
    """Half-days a visit takes that many people; None when they are too few."""
    fitting = [size for size in halves if size <= people]
    return halves[max(fitting)] if fitting else None


class Team:
    """One crew over the calendar: who is there, how many, who holds which ticket."""

    def __init__(self, problem: Problem, crew: Crew) -> None:
        calendar = problem.calendar
        people = {person.key: person for person in problem.people}
        self.every = masks.span(0, len(calendar))
        self.open = self.every & ~_away(problem, crew.away)
        self.present = {
            member.person: self.open
            & _dates(problem, member.since, member.until)
            & ~_away(problem, people[member.person].away)
            for member in crew.members
        }
        self.at_least = masks.counted(self.present.values(), len(self.present))
        self.at_least[0] = self.open
        self.holders: dict[str, int] = {}
        for person, there in self.present.items():
            for ticket in people[person].tickets:
                days = _dates(problem, ticket.valid_from, ticket.expires)
                held = self.holders.get(ticket.kind, 0)
                self.holders[ticket.kind] = held | (there & days)

    def able(self, visit: Visit) -> int:
        """Slots on which the crew has the people and the tickets for the visit."""
        fewest = min(visit.halves)
        if fewest >= len(self.at_least):
            return 0
        holding = (self.holders.get(kind, 0) for kind in visit.tickets)
        return reduce(and_, holding, self.at_least[fewest])

    def speeds(self, visit: Visit) -> dict[int, int]:
        """Half-days the visit takes, by the slots on which the crew is of that size."""
        able = self.able(visit)
        speeds: dict[int, int] = {}
        for people in range(len(self.at_least)):
            halves = halves_for(visit.halves, people)
            more = self.at_least[people + 1] if people + 1 < len(self.at_least) else 0
            exactly = able & self.at_least[people] & ~more
            if halves is not None and exactly:
                speeds[halves] = speeds.get(halves, 0) | exactly
        return speeds


class Abilities:
    """Which crew can do which visit from which slot, and in how many half-days."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.every = masks.span(0, len(problem.calendar))
        self.teams = {crew.key: Team(problem, crew) for crew in problem.crews}
        self._modes: dict[object, Modes] = {}
        self._months = {
            month: _month_mask(problem, month)
            for month, percent in enumerate(problem.rain_percent, start=1)
            if percent
        }

    def modes(self, crew: int | None, visit: Visit, stopped: int = 0) -> Modes:
        """Ways the crew can do the visit; ``stopped`` are slots lost to weather.

        Without a crew the visit is open to everybody at its smallest size.
        """
        stopped = stopped if visit.stops_in_rain else 0
        halves = tuple(visit.halves.items())
        key = (
            crew,
            halves,
            visit.tickets,
            visit.stops_in_rain,
            visit.rain_counted,
            stopped,
        )
        if key not in self._modes:
            self._modes[key] = self._work_out(self.speeds(crew, visit), visit, stopped)
        return self._modes[key]

    def speeds(self, crew: int | None, visit: Visit) -> dict[int, int]:
        """Half-days needed, by the slots on which that speed holds."""
        if crew is None:
            return {visit.halves[min(visit.halves)]: self.every}
        return self.teams[crew].speeds(visit)

    def stopped(self, job: Job) -> int:
        """Slots on which rain-stopped work of the job cannot go on."""
        return reduce(
            or_,
            (
                masks.between(self.problem.calendar, stop.first, stop.last)
                for stop in self.problem.stops
                if stop.jobs is None or job.key in stop.jobs
            ),
            0,
        )

    def _work_out(self, speeds: dict[int, int], visit: Visit, stopped: int) -> Modes:
        lengthened = visit.stops_in_rain and not visit.rain_counted
        seasonal = lengthened and bool(self._months)
        found: dict[int, int] = {}
        able = done = 0
        for halves, slots in speeds.items():
            able |= slots & ~stopped
            if not seasonal:  # the whole visit at one speed and in the dry
                starts = masks.runs(slots & ~stopped, halves)
                found[halves] = starts
                done |= starts
        if seasonal or stopped or len(speeds) > 1:
            self._step_by_step(found, speeds, stopped, able & ~done, rain=seasonal)
        return tuple(Mode(h, starts) for h, starts in sorted(found.items()) if starts)

    def _step_by_step(
        self,
        found: dict[int, int],
        speeds: dict[int, int],
        stopped: int,
        starts: int,
        *,
        rain: bool,
    ) -> None:
        """Count the work done slot by slot where the speed changes on the way.

        The visit keeps its crew through slots lost to weather, without progress. A
        seasonal allowance is rounded to the nearest half-day, a smaller crew is not.
        """
        whole = lcm(*speeds) if speeds else 1
        rates = {slots: whole // halves * PERCENT for halves, slots in speeds.items()}
        work = _Work(rates, stopped, whole * PERCENT)
        if rain:
            work.seasons = {
                slots: PERCENT - self.problem.rain_percent[month - 1]
                for month, slots in self._months.items()
            }
        for start in masks.bits(starts):
            halves = work.slots_needed(start, self.every.bit_length())
            if halves is not None:
                found[halves] = found.get(halves, 0) | (1 << start)


class _Work:
    """How much of a visit is done in each slot: looked up where it is needed."""

    def __init__(self, rates: dict[int, int], stopped: int, need: int) -> None:
        self.rates = rates  # by the slots on which that much is done
        self.stopped = stopped
        self.need = need
        self.seasons: dict[int, int] = {}  # percent, by the slots of a month
        self._known: dict[int, int | None] = {}

    def slots_needed(self, start: int, end: int) -> int | None:
        """Slots until all is done; None when the crew cannot stay that long.

        Under a seasonal allowance, a last slot of which less than half is used is free.
        """
        done = 0
        for at in range(start, end):
            rate = self._rate(at)
            if rate is None:
                return None
            done += rate
            if done + (rate // 2 if self.seasons else 0) >= self.need:
                return at - start + 1
        return None

    def _rate(self, slot: int) -> int | None:
        if slot not in self._known:
            rate = next(
                (r for slots, r in self.rates.items() if slots >> slot & 1), None
            )
            if rate is not None and self.stopped >> slot & 1:
                rate = 0
            for slots, percent in self.seasons.items():
                if rate and slots >> slot & 1:
                    rate = rate * percent // PERCENT
            self._known[slot] = rate
        return self._known[slot]


def _away(problem: Problem, away: Iterable[Away]) -> int:
    return reduce(
        or_,
        (masks.between(problem.calendar, a.first, a.last) for a in away),
        0,
    )


def _dates(problem: Problem, first: date | None, last: date | None) -> int:
    """Slots from one day to another, both included; None is no limit."""
    calendar = problem.calendar
    low = 0 if first is None else calendar.index_from(Slot(first, Half.AM))
    high = len(calendar) if last is None else calendar.end_of(last)
    return masks.span(low, high)


def _month_mask(problem: Problem, month: int) -> int:
    return sum(
        1 << index
        for index, slot in enumerate(problem.calendar.slots)
        if slot.day.month == month
    )
