"""Whether the solver finds a way for a job to start somewhere: a check on explanations.

The rules reach the solver by another road than they reach the explainer: as domains and
intervals around a board, not as one rule after another.
"""

from collections.abc import Iterable

from scheduling.domain.board import Board
from scheduling.domain.compiled import NOBODY
from scheduling.domain.compiling import compile_problem
from scheduling.domain.cpsat.model import FirmModel, Limits, NoWay
from scheduling.domain.cpsat.solving import Effort, new_solver, outcome
from scheduling.domain.explain import plan_of
from scheduling.domain.problem import Problem
from scheduling.domain.solution import Booking
from scheduling.domain.tables import Tables

LONG_ENOUGH = Effort(seconds=10.0, seed=1)


class Verdict:
    """Yes or no about one plan, all jobs but the one asked about standing still."""

    def __init__(self, problem: Problem, bookings: Iterable[Booking]) -> None:
        compiled = compile_problem(problem)
        self.tables = Tables(compiled)
        self.board = Board(self.tables, reserve=False)
        self.board.fill(plan_of(problem, bookings))
        self.jobs = {job.key: job.index for job in compiled.jobs}
        self.crews = {crew.key: index for index, crew in enumerate(problem.crews)}

    def may_start(self, job: int, crew: int | None, start: int) -> bool:
        """Whether a job's first visit may start in a slot, one crew doing it all.

        ``job`` and ``crew`` are keys; ``crew`` None when any will do, as the first visit
        needs none.
        """
        index = self.jobs[job]
        placed = self.board.plan[index] is not None
        before = self.board.take(index) if placed else ()
        crews = self.crews.values() if crew is None else (self.crews[crew],)
        try:
            return any(self._may_start(index, who, start) for who in crews)
        finally:
            if placed:
                self.board.put(index, before)

    def _may_start(self, job: int, crew: int, start: int) -> bool:
        try:
            firm = FirmModel(self.board, (job,), Limits(self.tables.horizon, {}))
        except NoWay:
            return False
        visits = [firm.visits[visit] for visit in self.tables.visits[job]]
        firm.model.add(visits[0].start == start)
        for visit in visits:
            if all(way.crew != NOBODY for way in visit.ways):
                mine = (way.literal for way in visit.ways if way.crew == crew)
                firm.model.add(sum(mine) == 1)
        firm.model.minimize(0)
        return outcome(new_solver(LONG_ENOUGH), firm).spots is not None
