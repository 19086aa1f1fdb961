"""The board: what is placed so far, and the best place for one more job.

Crews and plant are held as bit masks over the working slots. Everything here changes in
place, and plain tuples stand for records: a search makes and unmakes thousands of
placements a second.
"""

from dataclasses import dataclass

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY, Compiled, CVisit, LagTable
from scheduling.domain.tally import Tally

Spot = tuple[int, int, int, int]  # visit, crew, start, halves
# A mode as (halves, starts, price of the driving).
PricedMode = tuple[int, int, int]
# A visit done by one crew: visit, crew, modes, links as (place in the job, table),
# plant needs, old start (-1: none), price of moving, price of this crew.
Step = tuple[
    int,
    int,
    tuple[PricedMode, ...],
    tuple[tuple[int, LagTable], ...],
    tuple[tuple[int, int], ...],
    int,
    int,
    int,
]
# A job done by one crew: the least it can cost, then its steps.
Way = tuple[int, tuple[Step, ...]]


@dataclass(frozen=True, slots=True)
class Placement:
    """Where every visit of one job lies, and what that costs."""

    cost: int
    spots: tuple[Spot, ...]


class Board:
    """Bookings of crews and plant, and the placement of every job on them."""

    def __init__(self, compiled: Compiled) -> None:
        self.compiled = compiled
        self.every = masks.span(0, compiled.horizon)
        self.placed: list[Placement | None] = [None] * len(compiled.jobs)
        self.cost = compiled.prices.unplaced * len(compiled.jobs)
        self.own = [0] * len(compiled.shares)
        self.tallies = [Tally(plant.count) for plant in compiled.plant]
        for tally, plant in zip(self.tallies, compiled.plant, strict=True):
            for slots, pieces in plant.out:
                tally.add(slots, pieces)
        self._runs: list[dict[int, int]] = [{} for _ in compiled.shares]
        self._shares = compiled.shares
        self._needs = [visit.needs for visit in compiled.visits]
        self.late = [
            [compiled.late_price(job.index, end) for end in range(compiled.horizon + 1)]
            for job in compiled.jobs
        ]
        self.ways = [
            _ways(compiled, job, self.late[job]) for job in range(len(self.placed))
        ]

    def put(self, job: int, placement: Placement) -> None:
        """Book a job that is not on the board."""
        self.placed[job] = placement
        self.cost += placement.cost - self.compiled.prices.unplaced
        for visit, crew, start, halves in placement.spots:
            slots = ((1 << halves) - 1) << start
            if crew != NOBODY:
                self.own[crew] ^= slots
                for other in self._shares[crew]:
                    self._runs[other].clear()
            for plant, pieces in self._needs[visit]:
                self.tallies[plant].add(slots, pieces)

    def take(self, job: int) -> Placement:
        """Take a job off the board; returns where it was."""
        placement = self.placed[job]
        assert placement is not None
        self.placed[job] = None
        self.cost += self.compiled.prices.unplaced - placement.cost
        for visit, crew, start, halves in placement.spots:
            slots = ((1 << halves) - 1) << start
            if crew != NOBODY:
                self.own[crew] ^= slots
                for other in self._shares[crew]:
                    self._runs[other].clear()
            for plant, pieces in self._needs[visit]:
                self.tallies[plant].remove(slots, pieces)
        return placement

    def best(self, job: int, limit: int) -> Placement | None:
        """The cheapest placement of a job in the gaps, None at ``limit`` or above."""
        best: Placement | None = None
        for floor, steps in self.ways[job]:
            if floor >= limit:
                break
            found = self._along(job, steps, limit)
            if found is not None:
                best, limit = found, found.cost
        return best

    def free(self, crew: int, halves: int) -> int:
        """Slots from which a crew is unbooked for so many half-days."""
        if crew == NOBODY:
            return self.every
        runs = self._runs[crew]
        found = runs.get(halves)
        if found is None:
            busy = 0
            for other in self._shares[crew]:
                busy |= self.own[other]
            found = runs[halves] = masks.runs(self.every & ~busy, halves)
        return found

    def _along(self, job: int, steps: tuple[Step, ...], limit: int) -> Placement | None:
        """Every visit as soon as it fits."""
        late, cost, last = self.late[job], 0, 0
        ends: list[int] = []
        spots: list[Spot] = []
        for visit, crew, modes, links, needs, old, move_price, crew_price in steps:
            low = 0
            for place, table in links:
                if table[ends[place]] > low:
                    low = table[ends[place]]
            end = -1
            for halves, starts, driving in modes:
                rest = (self.free(crew, halves) & starts) >> low
                if needs:
                    rest &= self._room(needs, halves) >> low
                if rest:
                    start = low + (rest & -rest).bit_length() - 1
                    if end < 0 or start + halves < end:
                        end, spot, drive = (
                            start + halves,
                            (visit, crew, start, halves),
                            driving,
                        )
            if end < 0:
                return None
            cost += drive + crew_price
            if old >= 0 and spot[2] != old:
                cost += move_price
            if end > last:
                last = end
            if cost + late[last] >= limit:
                return None
            ends.append(end)
            spots.append(spot)
        return Placement(cost + late[last], tuple(spots))

    def _room(self, needs: tuple[tuple[int, int], ...], halves: int) -> int:
        room = self.every
        for plant, pieces in needs:
            room &= self.tallies[plant].room_for(pieces)
        return masks.runs(room, halves)


def _ways(compiled: Compiled, job: int, late: list[int]) -> tuple[Way, ...]:
    record = compiled.jobs[job]
    ways = []
    for crew in record.crews:
        steps = tuple(
            _step(compiled, compiled.visits[v], crew, record.visits)
            for v in record.visits
        )
        floor = _floor(steps, late)
        if floor is not None:
            ways.append((floor, steps))
    return tuple(sorted(ways, key=lambda way: way[0]))


def _step(
    compiled: Compiled, visit: CVisit, crew: int, visits: tuple[int, ...]
) -> Step:
    who = NOBODY if NOBODY in visit.modes else crew
    prices = compiled.prices
    changed = visit.old_start is not None and who != visit.old_crew
    return (
        visit.index,
        who,
        tuple(
            (
                mode.halves,
                mode.starts,
                prices.travel * compiled.drive(visit.job, who, mode.halves),
            )
            for mode in visit.modes[who]
        ),
        tuple((visits.index(link.before), link.table) for link in visit.links),
        visit.needs,
        -1 if visit.old_start is None else visit.old_start,
        prices.changes * visit.nearness,
        prices.changes * visit.nearness * int(changed),
    )


def _floor(steps: tuple[Step, ...], late: list[int]) -> int | None:
    """The least this way can cost on an empty board; None when it cannot be done."""
    cost, ends = 0, []
    for _, _, modes, links, _, _, _, crew_price in steps:
        low = max((table[ends[place]] for place, table in links), default=0)
        fits = [
            (masks.first_at(starts, low) + halves, drive)
            for halves, starts, drive in modes
            if starts >> low
        ]
        if not fits:
            return None
        ends.append(min(end for end, _ in fits))
        cost += min(drive for _, drive in fits) + crew_price
    return cost + late[max(ends)]
