"""The published plan made possible again, by pushing what must move to the right."""

from scheduling.domain.board import Board
from scheduling.domain.compiled import NOBODY
from scheduling.domain.tables import Plan, Spot, Tables


def push_right(tables: Tables) -> Plan:
    """Published visits with their crews, in their order, none sooner than before.

    Jobs that are new, or whose crew cannot do them any more, go into the gaps left.
    """
    return _PushRight(tables).run()


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
