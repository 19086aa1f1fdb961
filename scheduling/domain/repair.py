"""The published plan made possible again, by pushing what must move to the right."""

from random import Random

from scheduling.domain.board import Board
from scheduling.domain.compiled import NOBODY
from scheduling.domain.lineup import Lineup
from scheduling.domain.neighbourhood import Habits, Neighbourhood
from scheduling.domain.tables import Plan, Spot, Spots, Tables


def push_right(tables: Tables) -> Plan:
    """Published visits with their crews, in their order, none sooner than before.

    Jobs that are new, or whose crew cannot do them any more, go into the gaps left.
    """
    return _PushRight(tables).run()


def keep_published(tables: Tables) -> Plan:
    """Published jobs that nothing stands in the way of stay; the others find gaps.

    Dearer jobs choose first. Fewest people are told, at the price of waiting longer.
    """
    board = Board(tables)
    broken = []
    jobs = sorted(range(len(tables.visits)), key=lambda job: not _fixed(tables, job))
    for job in jobs:
        spots = _as_published(board, job) if tables.known[job] else None
        if spots is None and _fixed(tables, job):
            spots = board.best(job)
        if spots is None:
            broken.append(job)
        else:
            board.put(job, spots)
    weights = [job.weight for job in tables.compiled.jobs]
    for job in sorted(broken, key=lambda job: (not tables.known[job], -weights[job])):
        found = board.best(job)
        if found is not None:
            board.put(job, found)
    return board.plan


def make_room(tables: Tables, draw: Random) -> Plan:
    """Published jobs that nothing stands in the way of stay, the others push in.

    What they push goes back to its published start as soon as a gap has made up for it.
    """
    board = Board(tables)
    jobs = sorted(range(len(tables.visits)), key=lambda job: not _fixed(tables, job))
    for job in jobs:
        spots = _as_published(board, job) if tables.known[job] else None
        if spots is None and _fixed(tables, job):
            spots = board.best(job)
        if spots is not None:
            board.put(job, spots)
    line = Lineup(tables).load(board.plan)
    around = Neighbourhood(line, draw, Habits())
    for job in jobs:
        if board.plan[job] is None and job in around.jobs:
            around.insert(job)
    return line.plan()


def _as_published(board: Board, job: int) -> Spots | None:
    """The job exactly where it was, None when that is no longer possible."""
    tables = board.tables
    crews = tuple(
        (NOBODY if tables.helper[v] else _or_nobody(tables.old_crew[v]),)
        for v in tables.visits[job]
    )
    if tables.one_crew[job] and len(set(crews) - {(NOBODY,)}) > 1:
        return None
    spots = board.along(job, crews, hold=True)
    if spots is None or any(start != tables.old[v] for v, _, start, _ in spots):
        return None
    return spots


def _or_nobody(crew: int | None) -> int:
    return NOBODY if crew is None else crew


def _fixed(tables: Tables, job: int) -> bool:
    """Whether some visit of the job cannot be anywhere else."""
    return any(
        sum(starts.bit_count() for modes in found.values() for _, starts, _ in modes)
        == 1
        for found in (tables.modes[visit] for visit in tables.visits[job])
    )


class _PushRight:
    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.board = Board(tables)
        self.free = [0] * len(self.board.own)  # no crew changes its order
        self.spots: list[dict[int, Spot]] = [{} for _ in tables.visits]
        self.crew = [self._crew(job) for job in range(len(tables.visits))]

    def run(self) -> Plan:
        tables, board = self.tables, self.board
        visits = [v for v, job in enumerate(tables.job) if self.crew[job] is not None]
        when = self._times()
        for visit in sorted(visits, key=lambda visit: (when[visit], visit)):
            self._place(visit)
        for job, spots in enumerate(self.spots):
            if len(spots) == len(tables.visits[job]):
                board.plan[job] = tuple(spots[visit] for visit in tables.visits[job])
            else:
                self._drop(job)
        for job, placed in enumerate(board.plan):
            found = board.best(job) if placed is None else None
            if found is not None:
                board.put(job, found)
        return board.plan

    def _crew(self, job: int) -> int | None:
        """The crew the job was published with; None for a job to place anew."""
        tables = self.tables
        if not tables.known[job]:
            return None
        if not tables.one_crew[job]:
            return NOBODY  # every visit has its own
        crews = {tables.old_crew[v] for v in tables.crewed[job] if tables.old[v] >= 0}
        if not tables.crewed[job]:
            return NOBODY
        crew = crews.pop() if len(crews) == 1 else None
        return crew if crew in tables.crews[job] else None

    def _times(self) -> list[int]:
        """When each visit was to start; after those before it where it is new."""
        times: list[int] = []
        for visit, old in enumerate(self.tables.old):
            before = (times[link] for link, _ in self.tables.links[visit])
            times.append(old if old >= 0 else max(before, default=0))
        return times

    def _place(self, visit: int) -> None:
        tables, job = self.tables, self.tables.job[visit]
        done = self.spots[job]
        links = tables.links[visit]
        if any(before not in done for before, _ in links):
            return
        ends = (table[done[before][2] + done[before][3]] for before, table in links)
        low = max((*ends, tables.old[visit], 0))
        crew = self._crew_of(visit)
        if crew != NOBODY:
            low = max(low, self.free[crew])
        spot = self.board.soonest(visit, (crew,), low)
        if spot is not None:
            done[visit] = spot
            self.board.book(spot)
            if crew != NOBODY:
                self.free[crew] = spot[2] + spot[3]

    def _crew_of(self, visit: int) -> int:
        tables, job = self.tables, self.tables.job[visit]
        if tables.helper[visit]:
            return NOBODY
        old = tables.old_crew[visit]
        if not tables.one_crew[job] and old is not None and old in tables.modes[visit]:
            return old
        crew = self.crew[job]
        return (
            next(iter(tables.modes[visit]), NOBODY) if crew in (None, NOBODY) else crew
        )

    def _drop(self, job: int) -> None:
        for spot in self.spots[job].values():
            self.board.unbook(spot)
        self.spots[job].clear()
