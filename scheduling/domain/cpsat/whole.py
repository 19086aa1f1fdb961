"""The solver on all jobs at once: the best plan it finds and a floor for any plan.

It can work beside the search, on another core, in bouts: each starts from the best plan
known then, and what that plan costs cuts the model down.
"""

from concurrent.futures import Future, ThreadPoolExecutor

from ortools.sat.python import cp_model

from scheduling.domain import bounds
from scheduling.domain.board import Board
from scheduling.domain.cpsat.model import FirmModel, Limits, NoWay
from scheduling.domain.cpsat.prices import floor_by_level, solver_prices
from scheduling.domain.cpsat.solving import Effort, Outcome, new_solver, outcome
from scheduling.domain.run import Run
from scheduling.domain.solution import Origin
from scheduling.domain.tables import Plan, Spots

MOST_VISITS = 400  # beyond that the model finds nothing in the time there is


class WholePlan:
    """Bouts of the solver on the whole plan of a run."""

    def __init__(self, run: Run) -> None:
        self.job = run
        self.tables = run.tables_at(solver_prices(run.compiled))
        self.done = len(run.compiled.visits) > MOST_VISITS
        self.proven = False
        self._solver: cp_model.CpSolver | None = None
        self._bouts = 0

    def solve(self, effort: Effort, plan: Plan) -> Outcome | None:
        """One bout from a plan; None when the plan leaves a job out that could be in."""
        free = {job: spots for job, spots in enumerate(plan) if spots is not None}
        if len(free) < self._placeable():
            return None
        try:
            model = FirmModel(Board(self.tables), tuple(free), self._limits(free))
        except NoWay:
            return None
        model.hint(free)
        self._solver = new_solver(effort, probing=True)
        return outcome(self._solver, model)

    def take_in(self, found: Outcome | None) -> None:
        """Keep the plan and the floor of a bout; note when nothing is left to find."""
        if found is None or found.spots is None:
            return
        run = self.job
        plan: Plan = [found.spots.get(job) for job in range(len(run.plan))]
        run.offer(plan, Origin.MODEL)
        out = len(plan) - self._placeable()
        run.bound = max(run.bound, (out, *floor_by_level(run.compiled, found.bound)))
        self.proven = bounds.proven(run.compiled.policy, run.cost, run.bound)
        self.done = self.done or found.optimal or self.proven

    def stop(self) -> None:
        """End the bout under way; what it has found so far still counts."""
        if self._solver is not None:
            self._solver.stop_search()

    def _placeable(self) -> int:
        compiled = self.job.compiled
        return sum(bounds.placeable(compiled, job) for job in compiled.jobs)

    def _limits(self, free: dict[int, Spots]) -> Limits:
        """Room for every plan that is not dearer than the one in hand."""
        tables = self.tables
        slack = sum(
            tables.cost(job, spots) - tables.floor[job] for job, spots in free.items()
        )
        dearest = {job: tables.floor[job] + slack for job in free}
        return Limits(tables.horizon, dearest)


class Beside:
    """Bouts on another core while the caller searches. To be used in a ``with``."""

    def __init__(self, whole: WholePlan, seed: int) -> None:
        self.whole = whole
        self.seed = seed
        self._pool = ThreadPoolExecutor(max_workers=1)
        self._bout: Future[Outcome | None] | None = None

    def __enter__(self) -> "Beside":
        return self

    def __exit__(self, *_: object) -> None:
        self.whole.stop()
        self._pool.shutdown(wait=True)
        self.look()

    def begin(self, seconds: float) -> None:
        """Start a bout from the best plan, unless one is under way or all is settled."""
        if self._bout is None and not self.whole.done:
            self.seed += 1
            effort = Effort(seconds, self.seed)
            plan = list(self.whole.job.plan)
            self._bout = self._pool.submit(self.whole.solve, effort, plan)

    def look(self) -> None:
        """Take in a bout that has ended."""
        if self._bout is not None and self._bout.done():
            bout, self._bout = self._bout, None
            self.whole.take_in(bout.result())
