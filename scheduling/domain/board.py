"""The board: what is booked so far, and where one more job fits in the gaps.

Crews and plant are held as bit masks over the working slots, changed in place.
"""

from collections.abc import Iterable, Iterator

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import Crews, Plan, Spot, Spots, Tables
from scheduling.domain.tally import Tally

NO_LIMIT = 1 << 200  # dearer than any plan


class Board:
    """Bookings of crews and plant, and where every job lies on them.

    With ``reserve``, what can only be in one place is booked there before it is placed.
    """

    def __init__(self, tables: Tables, *, reserve: bool = True) -> None:
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
        self._reserved: dict[int, Spot] = {}
        if reserve:
            self._reserve()

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
        """Take the crew and the plant of one visit, unless they are reserved for it."""
        if spot[0] in self._reserved:
            return
        self._turn(spot)
        for plant, pieces in self.tables.needs[spot[0]]:
            self.tallies[plant].add(_slots(spot), pieces)

    def unbook(self, spot: Spot) -> None:
        """Give the crew and the plant of one visit back."""
        if spot[0] in self._reserved:
            return
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
        if self.tables.plain[job]:
            return self._best_plain(job, limit)
        best: Spots | None = None
        for floor, crews in self.tables.choices[job]:
            if floor >= limit:
                break
            for spots in self._both(job, crews, limit):
                cost = self.tables.cost(job, spots)
                if cost < limit:
                    best, limit = spots, cost
        return best

    def _best_plain(self, job: int, limit: int) -> Spots | None:
        """The same for a plain job: most of a mending goes by in here."""
        best: Spots | None = None
        at, known = self.tables.lead_at[job], self.tables.known[job]
        for floor, crews in self.tables.choices[job]:
            if floor >= limit:
                break
            crew = crews[at][0]
            spots, cost, same = self._in_gaps(job, crew, limit, hold=known)
            if spots is not None:
                best, limit = spots, cost
            if not same:
                spots, cost, _ = self._in_gaps(job, crew, limit, hold=False)
                if spots is not None:
                    best, limit = spots, cost
        return best

    def start_of(self, job: int) -> int:
        """First slot of a placed job."""
        return min(spot[2] for spot in self.plan[job] or ())

    def crew_of(self, job: int) -> int:
        """The crew of a placed job, of its first visit that needs one."""
        spots = self.plan[job] or ()
        return next((spot[1] for spot in spots if spot[1] != NOBODY), NOBODY)

    def ways(self, job: int) -> list[Spots]:
        """One way for each crew that can do the job; the freest where it may change.

        For a published job also the way that leaves alone what can be left alone.
        """
        choices = self.tables.choices[job]
        return [spots for _, crews in choices for spots in self._both(job, crews)]

    def _both(self, job: int, crews: Crews, limit: int = NO_LIMIT) -> Iterator[Spots]:
        """As published where possible, then as soon as possible."""
        for hold in (True, False) if self.tables.known[job] else (False,):
            spots = self.along(job, crews, hold=hold, limit=limit)
            if spots is not None:
                yield spots

    def _in_gaps(
        self, job: int, crew: int, limit: int, *, hold: bool
    ) -> tuple[Spots | None, int, bool]:
        """Every visit of a plain job in turn with one crew, and what that costs.

        None when some visit finds no place or the cost reaches ``limit``. Last, whether
        it would have come to the same without ``hold``.
        """
        tables, horizon = self.tables, self.tables.horizon
        links, old, tail, late = tables.links, tables.old, tables.tail, tables.late[job]
        price, last, same = tables.least[job][crew], 0, True
        ends: dict[int, int] = {}
        spots: list[Spot] = []
        for visit in tables.visits[job]:
            low = max([table[ends[before]] for before, table in links[visit]] or (0,))
            who, halves, starts = self._open(visit, crew)
            rest = starts >> low
            if not rest:
                return None, 0, same
            start = low + (rest & -rest).bit_length() - 1
            then = old[visit]
            if hold and then > start and starts >> then & 1:
                start, same = then, False
            if then >= 0 and start != then:
                price += tables.move_price[visit]
            ends[visit] = end = start + halves
            last = max(last, end)
            if late[min(end + tail[visit], horizon)] + price >= limit:
                return None, 0, same
            spots.append((visit, who, start, halves))
        price += late[last]
        return (tuple(spots), price, same) if price < limit else (None, 0, same)

    def _open(self, visit: int, crew: int) -> tuple[int, int, int]:
        """Who does a plain job's visit, in how many half-days, and the starts left."""
        who = NOBODY if self.tables.helper[visit] else crew
        halves, starts, _ = self.tables.modes[visit][who][0]
        if who == NOBODY or visit in self._reserved:
            return who, halves, starts & self.room(visit, who, halves)
        room = self._runs[who].get(halves)
        return who, halves, starts & (self.free(who, halves) if room is None else room)

    def along(
        self, job: int, crews: Crews, *, hold: bool = False, limit: int = NO_LIMIT
    ) -> Spots | None:
        """Every visit in turn with the crew of its list that is done with it first.

        With ``hold`` a published visit stays where it was if that is possible. None when
        some visit finds no place, or the job would be so late that it costs ``limit``.
        """
        tables = self.tables
        late, chain = tables.late[job], tables.chain[job]
        spots: dict[int, Spot] = {}
        for visit, choice in zip(tables.visits[job], crews, strict=True):
            low = 0
            for before, table in tables.links[visit]:
                low = max(low, table[end_of(spots[before])])
            spot = self.as_published(visit, choice, low) if hold else None
            spot = spot or self.soonest(visit, choice, low)
            if spot is None:
                break
            last = min(end_of(spot) + tables.tail[visit], tables.horizon)
            if late[last] >= limit:
                break
            spots[visit] = spot
            if not chain:
                self.book(spot)  # the visits beside it find crew and plant taken
        for spot in () if chain else spots.values():
            self.unbook(spot)
        whole = len(spots) == len(tables.visits[job])
        return tuple(spots.values()) if whole else None

    def as_published(self, visit: int, crews: Iterable[int], low: int) -> Spot | None:
        """A visit at its published start, with its published crew if that is allowed."""
        old, crew = self.tables.old[visit], self.tables.old_crew[visit]
        if old < low:
            return None
        for who in sorted(crews, key=lambda who: who != crew):
            for halves, starts, _ in self.tables.modes[visit].get(who, ()):
                if starts & self.room(visit, who, halves) & (1 << old):
                    return visit, who, old, halves
        return None

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
        reserved = self._reserved.get(visit)
        if reserved is not None:
            same = (reserved[1], reserved[3]) == (crew, halves)
            return 1 << reserved[2] if same else 0
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

    def is_reserved(self, visit: int) -> bool:
        """Whether crew and plant are booked for the visit, placed or not."""
        return visit in self._reserved

    def _reserve(self) -> None:
        """Book what can only be in one place."""
        for visit, modes in enumerate(self.tables.modes):
            ways = [
                (visit, crew, starts.bit_length() - 1, halves)
                for crew, found in modes.items()
                for halves, starts, _ in found
                if starts.bit_count() == 1
            ]
            if len(ways) == 1 and sum(map(len, modes.values())) == 1:
                _, crew, start, halves = ways[0]
                if self.room(visit, crew, halves) >> start & 1:
                    self.book(ways[0])
                    self._reserved[visit] = ways[0]

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
