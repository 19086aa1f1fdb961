"""The board: what is booked so far, and where one more job fits in the gaps.

Crews and plant are held as bit masks over the working slots, changed in place.
"""

from collections.abc import Iterable

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import Plan, Spot, Spots, Tables
from scheduling.domain.tally import Tally

NO_LIMIT = 1 << 200  # dearer than any plan


class Board:
    """Bookings of crews and plant, and where every job lies on them."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        compiled = tables.compiled
        self.every = masks.span(0, compiled.horizon)
        self.plan: Plan = [None] * len(compiled.jobs)
        self.own = [0] * len(compiled.shares)
        self.tallies = [Tally(plant.count) for plant in compiled.plant]
        for tally, plant in zip(self.tallies, compiled.plant, strict=True):
            for slots, pieces in plant.out:
                tally.add(slots, pieces)
        self._shares = compiled.shares
        self._runs: list[dict[int, int]] = [{} for _ in compiled.shares]

    def put(self, job: int, spots: Spots) -> None:
        """Book a job that is not on the board."""
        self.plan[job] = spots
        for spot in spots:
            self.book(spot)

    def take(self, job: int) -> Spots:
        """Take a job off the board; returns where it was."""
        spots = self.plan[job]
        assert spots is not None
        self.plan[job] = None
        for spot in spots:
            self.unbook(spot)
        return spots

    def book(self, spot: Spot) -> None:
        """Take the crew and the plant of one visit."""
        self._turn(spot)
        for plant, pieces in self.tables.needs[spot[0]]:
            self.tallies[plant].add(_slots(spot), pieces)

    def unbook(self, spot: Spot) -> None:
        """Give the crew and the plant of one visit back."""
        self._turn(spot)
        for plant, pieces in self.tables.needs[spot[0]]:
            self.tallies[plant].remove(_slots(spot), pieces)

    def fill(self, plan: Plan) -> "Board":
        """Book every placed job of a plan."""
        for job, spots in enumerate(plan):
            if spots is not None:
                self.put(job, spots)
        return self

    def best(self, job: int, limit: int = NO_LIMIT) -> Spots | None:
        """The cheapest way to fit a job into the gaps, each visit as soon as it can.

        None when there is no way, or none below ``limit``.
        """
        best: Spots | None = None
        for spots in self.ways(job):
            cost = self.tables.cost(job, spots)
            if cost < limit:
                best, limit = spots, cost
        return best

    def ways(self, job: int) -> Iterable[Spots]:
        """One way for each crew that can do the job; the freest where it may change."""
        tables = self.tables
        if not tables.one_crew[job]:
            found = self.along(job, [list(tables.modes[v]) for v in tables.visits[job]])
            return [] if found is None else [found]
        choices = (
            [[NOBODY if tables.helper[v] else crew] for v in tables.visits[job]]
            for crew in tables.crews[job]
        )
        tried = (self.along(job, crews) for crews in choices)
        return [spots for spots in tried if spots is not None]

    def along(self, job: int, crews: list[list[int]]) -> Spots | None:
        """Every visit in turn with the crew of its list that is done with it first."""
        spots: dict[int, Spot] = {}
        for visit, choice in zip(self.tables.visits[job], crews, strict=True):
            links = self.tables.links[visit]
            ends = (table[end_of(spots[before])] for before, table in links)
            spot = self.soonest(visit, choice, max(ends, default=0))
            if spot is None:
                break
            spots[visit] = spot
            self.book(spot)  # the visits behind it find crew and plant taken
        for spot in spots.values():
            self.unbook(spot)
        whole = len(spots) == len(self.tables.visits[job])
        return tuple(spots.values()) if whole else None

    def soonest(self, visit: int, crews: Iterable[int], low: int) -> Spot | None:
        """The first end of a visit from slot ``low`` on."""
        best: Spot | None = None
        for crew in crews:
            for halves, starts, _ in self.tables.modes[visit].get(crew, ()):
                start = masks.first_at(starts & self.room(visit, crew, halves), low)
                if start >= 0 and (best is None or start + halves < end_of(best)):
                    best = (visit, crew, start, halves)
        return best

    def room(self, visit: int, crew: int, halves: int) -> int:
        """Starts for which crew and plant are free for so many half-days."""
        room = self.free(crew, halves)
        for plant, pieces in self.tables.needs[visit]:
            left = self.tallies[plant].room_for(pieces) & self.every
            room &= masks.runs(left, halves)
        return room

    def free(self, crew: int, halves: int) -> int:
        """Starts for which a crew is unbooked for so many half-days."""
        if crew == NOBODY:
            return masks.runs(self.every, halves)
        runs = self._runs[crew]
        if halves not in runs:
            busy = 0
            for other in self._shares[crew]:
                busy |= self.own[other]
            runs[halves] = masks.runs(self.every & ~busy, halves)
        return runs[halves]

    def _turn(self, spot: Spot) -> None:
        crew = spot[1]
        if crew != NOBODY:
            self.own[crew] ^= _slots(spot)
            for other in self._shares[crew]:
                self._runs[other].clear()


def end_of(spot: Spot) -> int:
    """Exclusive end of a placed visit."""
    return spot[2] + spot[3]


def _slots(spot: Spot) -> int:
    return ((1 << spot[3]) - 1) << spot[2]
