"""Which changes of a line-up are worth trying: random moves from one seeded source."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from random import Random

from scheduling.domain.lineup import UNSET, Lineup
from scheduling.domain.moves import Move


@dataclass(frozen=True, slots=True)
class Habits:
    """How often which move is drawn, and how far it goes. Measured, no theory."""

    costly: float = 0.6  # moves of the dearest job of three rather than of any
    shift: float = 0.5  # moves of one visit within its crew
    swap: float = 0.1  # two jobs change crews
    same_crew: float = 0.3  # transfers that keep the crew and only change the time
    earlier: float = 0.6  # shifts towards the front
    places: float = 3.0  # mean length of a shift, in places
    slots: float = 16.0  # spread of the time a job is moved by, in slots
    loosen: float = 0.3  # moves that let go of, or return to, the published plan


INSERT_AFTER = (0, 3, 6, 12, 24, 48, 96)  # slots behind the first start, tried in turn
INSERT_CREWS = 3  # beside the published one

Replaced = tuple[list[int], int, int]  # a sequence, first and last place that changed


class Neighbourhood:
    """Random moves of a line-up."""

    def __init__(self, line: Lineup, draw: Random, habits: Habits) -> None:
        self.line = line
        self.tables = line.tables
        self.habits = habits
        self.draw = draw
        self.random = draw.random
        jobs = range(len(line.job_cost))
        self.jobs = [job for job in jobs if self._movable(job)]
        self.known = [job for job in self.jobs if self.tables.known[job]]
        self.loosen_share = habits.loosen if self.known else 0.0

    def move(self) -> Move | None:
        """One random move, settled but not priced; None when it came to nothing."""
        job = self._pick()
        if self.line.crew[self.tables.lead[job]] == UNSET:
            return self._transfer(job)
        roll = self.random()
        if roll < self.habits.shift:
            return self._shift(job)
        if roll < self.habits.shift + self.habits.swap:
            return self._swap(job)
        if self.random() < self.loosen_share:
            return self._loosen(self._any(self.known))
        return self._transfer(job)

    def insert(self, job: int) -> bool:
        """Put a job that is not placed where it makes the plan dearer by the least.

        Others make room for it and go back as far as they were held. False when there
        is no place.
        """
        best: tuple[int, int, int] | None = None
        for crew in self._insert_crews(job):
            for offset in INSERT_AFTER:
                move = self._inserted(job, crew, offset)
                if move is None:
                    continue
                price = move.price()
                move.undo()
                if best is None or price < best[0]:
                    best = price, crew, offset
        if best is None:
            return False
        move = self._inserted(job, best[1], best[2])
        assert move is not None
        move.price()
        return True

    def _insert_crews(self, job: int) -> Sequence[int]:
        """The published crew and a few others."""
        tables = self.tables
        lead = tables.lead[job]
        crews = list(tables.crews[job])
        old = tables.old_crew[lead]
        others = [crew for crew in crews if crew != old]
        self.draw.shuffle(others)
        return [*(crew for crew in crews if crew == old), *others[:INSERT_CREWS]]

    def _inserted(self, job: int, crew: int, offset: int) -> Move | None:
        tables = self.tables
        visits = tables.crewed[job]
        at = [max(tables.early[v], tables.old[v]) + offset for v in visits]
        return self._moved(visits, crew, at)

    def _movable(self, job: int) -> bool:
        tables = self.tables
        if not tables.crewed[job]:
            return False
        if tables.one_crew[job]:
            return bool(tables.crews[job])
        return all(tables.modes[visit] for visit in tables.visits[job])

    def _pick(self) -> int:
        """A job, more often one that costs more than it would have to."""
        cost, floor = self.line.job_cost, self.tables.floor
        job = self._any(self.jobs)
        if self.random() < self.habits.costly:
            for _ in range(2):
                other = self._any(self.jobs)
                if cost[other] - floor[other] > cost[job] - floor[job]:
                    job = other
        return job

    def _any(self, among: Sequence[int]) -> int:
        return among[int(self.random() * len(among))]

    def _shift(self, job: int) -> Move | None:
        """One visit some places up or down its crew's order, within its job's order."""
        line, place = self.line, self.line.place
        visit = self._any(self.tables.crewed[job])
        crew, at = line.crew[visit], line.place[visit]
        low, high = 0, len(line.order[crew]) - 1
        for other in self.tables.crewed[job]:
            if line.crew[other] == crew and place[other] < at:
                low = max(low, place[other] + 1)
            elif line.crew[other] == crew and place[other] > at:
                high = min(high, place[other] - 1)
        step = 1 + int(-log(1.0 - self.random()) * self.habits.places)
        to = at - step if self.random() < self.habits.earlier else at + step
        to = max(low, min(high, to))
        if to == at:
            return None
        order = line.order[crew][:]
        del order[at]
        order.insert(to, visit)
        return self._made((), ((crew, order, min(at, to), max(at, to) + 1),))

    def _transfer(self, job: int) -> Move | None:
        """A job, or one visit of a job that may change crews, elsewhere in time or crew."""
        line, tables = self.line, self.tables
        visits = tables.crewed[job]
        crews: Sequence[int] = tables.crews[job]
        if not tables.one_crew[job] and line.crew[visits[0]] != UNSET:
            visits = [self._any(visits)]
            crews = tuple(tables.modes[visits[0]])
        crew = line.crew[visits[0]]
        if crew == UNSET or self.random() >= self.habits.same_crew:
            crew = self._any(crews)
        offset = int(self.draw.gauss(0.0, self.habits.slots))
        if line.job_cost[job] > tables.floor[job]:
            offset -= int(self.habits.slots / 2)
        return self._moved(visits, crew, [self._time(v) + offset for v in visits])

    def _time(self, visit: int) -> int:
        start = self.line.start[visit]
        return start if start >= 0 else self.tables.early[visit]

    def _swap(self, job: int) -> Move | None:
        """Two jobs of two crews change places."""
        line, tables = self.line, self.tables
        other = self._any(self.jobs)
        one, two = line.crew[tables.lead[job]], line.crew[tables.lead[other]]
        fits = two in tables.crews[job] and one in tables.crews[other]
        if (
            one == two
            or not fits
            or not (tables.one_crew[job] and tables.one_crew[other])
        ):
            return None
        mine, theirs = tables.crewed[job], tables.crewed[other]
        lag = line.start[theirs[0]] - line.start[mine[0]]
        mine_at = [line.start[visit] + lag for visit in mine]
        theirs_at = [line.start[visit] - lag for visit in theirs]
        rest_one, first_one, _ = self._without(one, mine)
        rest_two, first_two, _ = self._without(two, theirs)
        new_one, at_one, _ = self._with(rest_one, theirs, theirs_at)
        new_two, at_two, _ = self._with(rest_two, mine, mine_at)
        return self._made(
            ((mine, two), (theirs, one)),
            (
                (one, new_one, min(first_one, at_one), len(new_one)),
                (two, new_two, min(first_two, at_two), len(new_two)),
            ),
        )

    def _loosen(self, job: int) -> Move | None:
        """Send a visit back to where it was published, or let go of its old start."""
        line, tables = self.line, self.tables
        visit = self._any(tables.crewed[job])
        old, crew = tables.old_crew[visit], line.crew[visit]
        if crew == UNSET:
            return self._transfer(job)
        visits = tables.crewed[job] if tables.one_crew[job] else [visit]
        away = old != crew or line.start[visit] != tables.old[visit]
        if away and old is not None and old in tables.modes[visit] and line.hold[visit]:
            if tables.one_crew[job] and old not in tables.crews[job]:
                return None
            return self._moved(visits, old, [self._old_time(v) for v in visits])
        order = line.order[crew]
        at = line.place[visit]
        return self._made((), ((crew, order, at, at + 1),), turn=visit)

    def _old_time(self, visit: int) -> int:
        old = self.tables.old[visit]
        return old if old >= 0 else self._time(visit)

    def _moved(
        self, visits: Sequence[int], crew: int, at: Sequence[int]
    ) -> Move | None:
        """Visits go to a crew, in its sequence where work at those times stands."""
        line = self.line
        before = line.crew[visits[0]]
        if before == UNSET:
            order, first, last = self._with(line.order[crew], visits, at)
            job = self.tables.job[visits[0]]
            return self._made(
                ((visits, crew),), ((crew, order, first, last),), fresh=job
            )
        rest, left, after = self._without(before, visits)
        if before == crew:
            order, first, last = self._with(rest, visits, at)
            if order == line.order[crew]:
                return None
            return self._made((), ((crew, order, min(left, first), len(order)),))
        order, first, last = self._with(line.order[crew], visits, at)
        return self._made(
            ((visits, crew),),
            ((crew, order, first, last), (before, rest, left, after)),
        )

    def _without(self, crew: int, visits: Sequence[int]) -> Replaced:
        """A crew's sequence less some visits; first and last place that may change."""
        places = [self.line.place[visit] for visit in visits]
        order = [v for v in self.line.order[crew] if v not in visits]
        return order, min(places), max(places) - len(visits) + 1

    def _with(
        self, order: Sequence[int], visits: Sequence[int], at: Sequence[int]
    ) -> Replaced:
        """A sequence with visits added before the work that starts at those times."""
        start = self.line.start
        new = list(order)
        place = first = 0
        for count, (visit, time) in enumerate(zip(visits, at, strict=True)):
            place = bisect_left(new, time, lo=place, key=start.__getitem__)
            new.insert(place, visit)
            first = first if count else place
            place += 1
        return new, first, place

    def _made(
        self,
        assigned: Sequence[tuple[Sequence[int], int]],
        orders: Sequence[tuple[int, list[int], int, int]],
        turn: int | None = None,
        fresh: int | None = None,
    ) -> Move | None:
        """Settle new sequences; ``fresh`` is a job that was not placed before."""
        move = Move(self.line)
        if fresh is not None and not move.begin(fresh):
            move.undo()
            return None
        if turn is not None:
            move.turn_hold(turn)
        for visits, crew in assigned:
            move.assign(visits, crew)
        for crew, order, first, last in orders:
            if not move.reorder(crew, order, first, last):
                move.undo()
                return None
        return move
