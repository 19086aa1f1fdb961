"""The line-up: in which order each crew does its visits; the times follow from it.

A visit starts at the first slot its rules allow after the crew's visit before it and
after the visits its own job waits for. Visits without a crew are fitted in as soon as
those before them are done. Crews are settled one at a time, the others standing still.
"""

from collections.abc import Iterable

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import NO_START, Plan, Spots, Tables
from scheduling.domain.tally import Tally

UNSET = -2

Snapshot = tuple[list[list[int]], list[int], list[int], list[int], list[bool]]
Change = tuple[int, int, int]  # visit, start before, end before


class Lineup:
    """Sequences by crew and, by visit, crew, start, end and place in the sequence."""

    def __init__(self, tables: Tables) -> None:
        compiled = tables.compiled
        count = len(compiled.visits)
        self.tables = tables
        self.every = masks.span(0, compiled.horizon)
        self.order: list[list[int]] = [[] for _ in compiled.shares]
        self.crew = [NOBODY if helper else UNSET for helper in tables.helper]
        self.start = [NO_START] * count
        self.end = [NO_START] * count
        self.place = [0] * count
        self.hold = [old >= 0 for old in tables.old]
        self.tallies = [Tally(plant.count) for plant in compiled.plant]
        for tally, plant in zip(self.tallies, compiled.plant, strict=True):
            for slots, pieces in plant.out:
                tally.add(slots, pieces)
        self._holding = [False] * count
        self._entangled = [len(crews) > 1 for crews in compiled.shares]
        self._busy = [0] * len(compiled.shares)
        self.heavy = any(
            n and not h for n, h in zip(tables.needs, tables.helper, strict=True)
        )
        self.job_cost = [tables.unplaced] * len(compiled.jobs)
        self.cost = sum(self.job_cost)

    # -- from and to plans

    def load(self, plan: Plan) -> "Lineup":
        """Take the order of a plan over and let every crew do it as soon as it can."""
        spots = sorted((s[2], s[0], s) for job in plan for s in job or ())
        for _, visit, (_, crew, start, halves) in spots:
            self.crew[visit], self.start[visit] = crew, start
            self.end[visit] = start + halves
            self.take_plant((visit,))
            if crew != NOBODY:
                self.order[crew].append(visit)
            # One that was pushed goes back by itself once there is room again.
            self.hold[visit] = 0 <= self.tables.old[visit] <= start
        for crew in range(len(self.order)):
            self.restore(crew, 0)
        self.price(range(len(plan)))
        for crew in range(len(self.order)):
            self._close_up(crew)
        return self

    def _close_up(self, crew: int) -> None:
        """Let a crew do everything as soon as it can, where that works out."""
        before = self.snapshot()
        touched: set[int] = set()
        if self.settle(crew, 0, len(self.order[crew]), [], touched):
            self.price(touched)
        else:  # a visit without a crew has taken plant that a later one needs
            self.recall(before)

    def plan(self) -> Plan:
        """Where everything lies."""
        return [self.spots(job) for job in range(len(self.job_cost))]

    def spots(self, job: int) -> Spots | None:
        """Where one job lies; None when it is not placed."""
        visits = self.tables.visits[job]
        if self.start[self.tables.lead[job]] < 0:
            return None
        return tuple(
            (v, self.crew[v], self.start[v], self.end[v] - self.start[v])
            for v in visits
        )

    def snapshot(self) -> Snapshot:
        """All that can change, to come back to."""
        return (
            [order[:] for order in self.order],
            self.crew[:],
            self.start[:],
            self.end[:],
            self.hold[:],
        )

    def recall(self, snapshot: Snapshot) -> None:
        """Go back to a snapshot."""
        if self.tallies:
            self.free_plant(range(len(self.crew)))
        orders, crew, start, end, hold = snapshot
        self.order = [order[:] for order in orders]
        self.crew, self.start, self.end = crew[:], start[:], end[:]
        self.hold = hold[:]
        if self.tallies:
            self.take_plant(v for v, at in enumerate(start) if at >= 0)
        for number in range(len(self.order)):
            self.restore(number, 0)
        self.price(range(len(self.job_cost)))

    # -- costs

    def price(self, jobs: Iterable[int]) -> list[tuple[int, int]]:
        """Work out the cost of these jobs anew; returns what they cost before."""
        before = []
        for job in jobs:
            cost = self.cost_of(job)
            old = self.job_cost[job]
            if cost != old:
                before.append((job, old))
                self.cost += cost - old
                self.job_cost[job] = cost
        return before

    def unprice(self, before: Iterable[tuple[int, int]]) -> None:
        """Put costs back."""
        for job, cost in before:
            self.cost += cost - self.job_cost[job]
            self.job_cost[job] = cost

    def cost_of(self, job: int) -> int:
        """What a job costs where it lies now."""
        tables = self.tables
        drive = tables.drive_by_crew[job]
        if drive is None:
            spots = self.spots(job)
            return tables.unplaced if spots is None else tables.cost(job, spots)
        lead = tables.lead[job]
        if self.start[lead] < 0:
            return tables.unplaced
        end = max([self.end[visit] for visit in tables.sinks[job]])
        price = tables.late[job][end] + drive[self.crew[lead]]
        return price + self._changes(job) if tables.known[job] else price

    def _changes(self, job: int) -> int:
        """What it costs that published visits of a job are not where they were."""
        tables, start, crew = self.tables, self.start, self.crew
        old, old_crew, price = tables.old, tables.old_crew, 0
        for visit in tables.visits[job]:
            if old[visit] >= 0:
                changes = (start[visit] != old[visit]) + (
                    crew[visit] != old_crew[visit]
                )
                price += tables.move_price[visit] * changes
        return price

    # -- times

    def settle(
        self, crew: int, first: int, last: int, log: list[Change], touched: set[int]
    ) -> bool:
        """Work out the times of a crew's visits from place ``first`` on.

        Places beyond ``last`` hold what they held before, so the work stops there once
        nothing changes any more. What changed goes into ``log`` and ``touched`` (jobs);
        False when some visit finds no start, with times left half changed.
        """
        order, place = self.order[crew], self.place
        for at in range(first, len(order)):
            place[order[at]] = at
        if self.heavy:
            last = len(order)
            self.free_plant(order[first:])
        done = self._settle_from(crew, first, last, log, touched)
        if self.heavy:
            self.take_plant(order[first:])
        if self._entangled[crew]:
            self.note_busy(crew)
        return done

    def _settle_from(  # noqa: C901, PLR0912 - the innermost loop: a call costs a fifth
        self, crew: int, first: int, last: int, log: list[Change], touched: set[int]
    ) -> bool:
        order, start, end, tables = self.order[crew], self.start, self.end, self.tables
        links, quick, job, place = (
            tables.links,
            tables.quick[crew],
            tables.job,
            self.place,
        )
        hold, old = self.hold, tables.old
        careful = self._entangled[crew] or self.heavy or tables.loose
        waiting: set[int] = set()  # helpers that stand after a visit that has moved
        free = end[order[first - 1]] if first else 0
        for at in range(first, len(order)):
            visit = order[at]
            for before, table in links[visit]:
                if (
                    waiting
                    and before in waiting
                    and not self._refit(before, waiting, log)
                ):
                    return False
                ready = table[end[before]]
                if ready > free:  # noqa: PLR1730 - twice as fast as max()
                    free = ready
            mode = quick[visit]
            if mode is None or careful:
                begin, free = self._fit(visit, crew, free)
            elif old[visit] >= free and hold[visit] and mode[1] >> old[visit] & 1:
                begin, free = old[visit], old[visit] + mode[0]
            else:
                rest = mode[1] >> free
                begin = free + (rest & -rest).bit_length() - 1 if rest else NO_START
                free = begin + mode[0]
            if begin < 0:
                return False
            if begin != start[visit] or free != end[visit]:
                log.append((visit, start[visit], end[visit]))
                start[visit], end[visit] = begin, free
                touched.add(job[visit])
                for follower in tables.crewed_after[visit]:
                    if place[follower] > last:  # noqa: PLR1730 - as above
                        last = place[follower]
                waiting.update(tables.helpers_after[visit])
            elif at >= last:
                break
            if careful and not self._suits(visit, crew):
                return False
        return all(self._refit(helper, waiting, log) for helper in sorted(waiting))

    def fit_first_helpers(self, job: int, log: list[Change]) -> bool:
        """Fit in the visits without a crew that wait for none with one."""
        tables = self.tables
        led = {
            after
            for visit in tables.crewed[job]
            for after in tables.helpers_after[visit]
        }
        first = {helper for helper in tables.helpers[job] if helper not in led}
        return all(self._refit(helper, first, log) for helper in sorted(first))

    def _fit(self, visit: int, crew: int, low: int) -> tuple[int, int]:
        """First start and end of a visit, its old start when that is to be held."""
        best = NO_START, NO_START
        old = self.tables.old[visit] if self.hold[visit] else NO_START
        for halves, starts, _ in self.tables.modes[visit][crew]:
            allowed = starts & self._room(visit, crew, halves)
            if old >= low and allowed >> old & 1:
                return old, old + halves
            start = masks.first_at(allowed, low)
            if start >= 0 and (best[0] < 0 or start + halves < best[1]):
                best = start, start + halves
        return best

    def _room(self, visit: int, crew: int, halves: int) -> int:
        """Starts for which plant and the people shared with other crews are free."""
        room = self.every
        for plant, pieces in self.tables.needs[visit]:
            left = self.tallies[plant].room_for(pieces) & self.every
            if self._holding[visit]:
                left |= masks.span(self.start[visit], self.end[visit])
            room &= masks.runs(left, halves)
        if crew != NOBODY and self._entangled[crew]:
            busy = 0
            for other in self.tables.compiled.shares[crew]:
                busy |= self._busy[other] if other != crew else 0
            room &= masks.runs(self.every & ~busy, halves)
        return room

    def _refit(self, helper: int, waiting: set[int], log: list[Change]) -> bool:
        """Fit a visit without a crew in again, after those before it."""
        if helper not in waiting:
            return True
        waiting.discard(helper)
        low = 0
        for before, table in self.tables.links[helper]:
            if before in waiting and not self._refit(before, waiting, log):
                return False
            low = max(low, table[self.end[before]])
        begin, end = self._fit(helper, NOBODY, low)
        if begin < 0:
            return False
        if begin != self.start[helper]:
            self.free_plant((helper,))
            log.append((helper, self.start[helper], self.end[helper]))
            self.start[helper], self.end[helper] = begin, end
            self.take_plant((helper,))
        return not self.tables.loose or self._suits(helper, NOBODY)

    def _suits(self, visit: int, crew: int) -> bool:
        """Book a visit's plant; whether its followers can live with where it lies."""
        self.take_plant((visit,))
        tables = self.tables
        if tables.one_crew[tables.job[visit]]:
            return True
        if any(
            self.crew[follower] == crew and self.place[follower] < self.place[visit]
            for follower in tables.crewed_after[visit]
        ):
            return False
        return all(
            self.crew[follower] in (crew, UNSET)
            or table[self.end[visit]] <= self.start[follower]
            for follower, table in tables.after[visit]
            if not tables.helper[follower]
        )

    # -- plant and people

    def take_plant(self, visits: Iterable[int]) -> None:
        """Book the plant of visits where they lie, unless it is booked."""
        self._plant(visits, taken=True)

    def free_plant(self, visits: Iterable[int]) -> None:
        """Give the plant of visits back, if they hold any."""
        self._plant(visits, taken=False)

    def _plant(self, visits: Iterable[int], *, taken: bool) -> None:
        for visit in visits:
            needs = self.tables.needs[visit]
            if not needs or self._holding[visit] == taken:
                continue
            self._holding[visit] = taken
            slots = masks.span(self.start[visit], self.end[visit])
            for plant, pieces in needs:
                tally = self.tallies[plant]
                (tally.add if taken else tally.remove)(slots, pieces)

    def restore(self, crew: int, first: int) -> None:
        """Note what follows from a sequence and times that have been put back."""
        order = self.order[crew]
        for at in range(first, len(order)):
            self.place[order[at]] = at
        if self.heavy:
            self.take_plant(order[first:])
        if self._entangled[crew]:
            self.note_busy(crew)

    def note_busy(self, crew: int) -> None:
        """Remember the slots of a crew whose people other crews share."""
        busy = 0
        for visit in self.order[crew]:
            busy |= masks.span(self.start[visit], self.end[visit])
        self._busy[crew] = busy
