"""Fast constructive schedules: the office's rule and day-by-day dispatching."""

from collections.abc import Callable, Iterable
from heapq import heapify, heappop, heappush

from scheduling.domain import masks
from scheduling.domain.board import Board
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import Plan, Spot, Spots, Tables

Rank = Callable[[int, int], float]  # job, slot at which it could go on → lower is first
NO_DATE = 1 << 30


def office_rule(tables: Tables) -> Plan:
    """Earliest promised date first, to the crew that is done with it first.

    Job by job, each into the gaps that the jobs before it have left.
    """
    board = Board(tables)
    for job in sorted(range(len(tables.visits)), key=lambda job: _turn(tables, job)):
        ways = board.ways(job)
        if ways:
            board.put(job, min(ways, key=lambda spots: (end_of(spots), spots)))
    return board.plan


def day_by_day(tables: Tables, rank: Rank) -> Plan:
    """Whenever a crew is free, the first-ranked job that can go on goes on.

    A job stays with the crew that began it. Jobs left over (their crew's tickets ran out
    on the way) are fitted into the gaps.
    """
    return _DayByDay(tables, rank).run()


def by_due(tables: Tables) -> Rank:
    """Earliest promised date first."""
    return lambda job, slot: _due(tables, job)


def by_urgency(tables: Tables, patience: float) -> Rank:
    """Weight over work, less the longer the job can still wait.

    In the manner of the apparent tardiness cost rule of A. P. J. Vepsalainen and T. E.
    Morton, "Priority Rules for Job Shops with Weighted Tardiness Costs", Management
    Science 33 (1987), 1035-1047, with a hyperbola for its exponential. ``patience`` is
    the slack, in slots, at which a job counts half.
    """
    work = [sum(_shortest(tables, v) for v in visits) for visits in tables.visits]
    weight = [job.weight for job in tables.compiled.jobs]

    def rank(job: int, slot: int) -> float:
        slack = max(0, _due(tables, job) - slot - work[job])
        return -weight[job] / work[job] / (1 + slack / patience)

    return rank


def end_of(spots: Spots) -> int:
    """Exclusive end of a placed job."""
    return max(start + halves for _, _, start, halves in spots)


class _DayByDay:
    def __init__(self, tables: Tables, rank: Rank) -> None:
        self.tables = tables
        self.rank = rank
        self.board = Board(tables)
        self.free = [0] * len(self.board.own)  # no crew goes back behind this slot
        self.spots: list[dict[int, Spot]] = [{} for _ in tables.visits]
        self.next: dict[int, Spot] = {}  # by job, what it goes on with
        self.failed: list[int] = []

    def run(self) -> Plan:
        jobs = sorted(range(len(self.spots)), key=lambda job: _turn(self.tables, job))
        queue = [turn for job in jobs if (turn := self._turn(job)) is not None]
        heapify(queue)
        while queue:
            start, rank, job = heappop(queue)
            now = self._turn(job)
            if now is not None and now <= (start, rank, job):
                self._go_on(job, self.next[job])
                now = self._turn(job)
            if now is not None:
                heappush(queue, now)
        return self._leftovers()

    def _turn(self, job: int) -> tuple[int, float, int] | None:
        """When a job's next visit could start, and its rank then; None when it is done."""
        if len(self.spots[job]) == len(self.tables.visits[job]):
            return None
        spot = self._next(job)
        if spot is None:
            self._give_up(job)
            return None
        self.next[job] = spot
        return spot[2], self.rank(job, spot[2]), job

    def _next(self, job: int) -> Spot | None:
        done, tables = self.spots[job], self.tables
        visit = tables.visits[job][len(done)]
        low = max(
            (t[_end(done[before])] for before, t in tables.links[visit]), default=0
        )
        if tables.helper[visit]:
            return self.board.soonest(visit, (NOBODY,), low)
        best: Spot | None = None
        for crew in self._crews(job, visit):
            spot = self.board.soonest(visit, (crew,), max(low, self.free[crew]))
            if spot is None or (best is not None and _first(spot) >= _first(best)):
                continue
            if done or self._can_finish(job, spot):
                best = spot
        return best

    def _crews(self, job: int, visit: int) -> Iterable[int]:
        if not self.tables.one_crew[job]:
            return self.tables.modes[visit]
        begun = [s[1] for s in self.spots[job].values() if s[1] != NOBODY]
        return begun[:1] or self.tables.crews[job]

    def _can_finish(self, job: int, spot: Spot) -> bool:
        """Whether the crew's tickets last for the rest of the job, begun there."""
        tables, crew = self.tables, spot[1]
        ends = {spot[0]: _end(spot)}
        for visit in tables.visits[job]:
            if visit in ends:
                continue
            before = [(table, ends[v]) for v, table in tables.links[visit] if v in ends]
            low = max((table[end] for table, end in before), default=0)
            who = NOBODY if tables.helper[visit] else crew
            halves, starts, _ = tables.modes[visit].get(who, ((0, 0, 0),))[0]
            start = masks.first_at(starts, low)
            if start < 0 and tables.one_crew[job]:
                return False
            ends[visit] = start + halves
        return True

    def _go_on(self, job: int, spot: Spot) -> None:
        self.board.book(spot)
        self.spots[job][spot[0]] = spot
        if spot[1] != NOBODY:
            self.free[spot[1]] = _end(spot)

    def _give_up(self, job: int) -> None:
        for spot in self.spots[job].values():
            self.board.unbook(spot)
        self.spots[job].clear()
        self.failed.append(job)

    def _leftovers(self) -> Plan:
        board = self.board
        for job, spots in enumerate(self.spots):
            if len(spots) == len(self.tables.visits[job]):
                board.plan[job] = tuple(spots.values())
        for job in self.failed:
            found = board.best(job)
            if found is not None:
                board.put(job, found)
        return board.plan


def _turn(tables: Tables, job: int) -> tuple[bool, int, int]:
    """Pinned jobs before all others, then by promised (or wanted) date."""
    pinned = any(
        mode[1].bit_count() == 1
        for visit in tables.visits[job]
        for found in tables.modes[visit].values()
        for mode in found
    )
    return not pinned, _due(tables, job), job


def _due(tables: Tables, job: int) -> int:
    record = tables.compiled.jobs[job]
    dates = (record.promised_end, record.wanted_end)
    return min((date for date in dates if date is not None), default=NO_DATE)


def _shortest(tables: Tables, visit: int) -> int:
    modes = (mode for found in tables.modes[visit].values() for mode in found)
    return min((halves for halves, _, _ in modes), default=1)


def _first(spot: Spot) -> tuple[int, int]:
    return spot[2], _end(spot)


def _end(spot: Spot) -> int:
    return spot[2] + spot[3]
