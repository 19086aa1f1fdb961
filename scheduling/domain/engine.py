"""Plan all open jobs without the solver: dispatch rules, then annealing."""

from collections.abc import Iterator

from scheduling.domain import bounds
from scheduling.domain.anneal import Cooling, anneal
from scheduling.domain.budget import Budget, never
from scheduling.domain.compiling import compile_problem
from scheduling.domain.dispatch import by_due, by_urgency, day_by_day, office_rule
from scheduling.domain.lineup import Lineup
from scheduling.domain.policy import DEFAULT_POLICY, Policy
from scheduling.domain.prices import Prices
from scheduling.domain.problem import Problem
from scheduling.domain.repair import push_right
from scheduling.domain.result import solution_of
from scheduling.domain.run import Run
from scheduling.domain.solution import OnProgress, Origin, ShouldStop, Solution
from scheduling.domain.tables import Plan, Tables

PATIENCE = (5, 20, 60)  # slots; look-aheads of the urgency rule that are tried
HOT_HALF_DAYS = 20  # the search begins by taking a job this much later in its stride
COOLED = 1000  # and ends this many times colder
WARM_UP = 0.2  # share of the search that is a short round of its own
DESCENT = 0.15  # share of a round that goes straight down along the true prices


def solve(
    problem: Problem,
    *,
    policy: Policy = DEFAULT_POLICY,
    seed: int = 1,
    deadline_s: float = 10.0,
    step_budget: int | None = None,
    progress: OnProgress | None = None,
    should_stop: ShouldStop = never,
) -> Solution:
    """The best plan found by the deadline; never worse than the office's rule.

    With ``step_budget`` (moves of the search) the same problem, seed and budget give the
    same plan, unless the deadline comes first; without it the clock sets the pace and no
    two runs are alike. ``ValueError`` when the records contradict each other.
    """
    compiled = compile_problem(problem, policy)
    run = Run(
        compiled=compiled,
        tables=Tables(compiled),
        budget=Budget(deadline_s, should_stop),
        seed=seed,
        step_budget=step_budget,
        progress=progress,
    )
    construct(run)
    search(run, share=1.0)
    return solution_of(run)


def construct(run: Run) -> None:
    """Every fast rule, the office's first; the best of them is where a search begins."""
    run.bound = bounds.floor(run.compiled)
    for plan, origin in _constructions(run.tables):
        run.offer(plan, origin)
        if run.budget.spent():
            break
    run.fill_up()
    run.tell("first plan", now=True)


def search(run: Run, share: float) -> None:
    """Anneal for a share of what is left: a short run, then a long one from its best."""
    Search(run, share).run()


class Search:
    """The annealing part of a solve.

    It follows soft prices; where the true ones differ, every round ends with a descent
    along those.
    """

    def __init__(
        self, run: Run, share: float, *, heat: float = 1.0, label: str = ""
    ) -> None:
        self.job = run
        self.heat = heat
        self.label = label
        self.seconds = run.budget.left() * share
        self.moves = run.step_budget and round(run.step_budget * share)
        prices = Prices.soft(run.compiled.policy)
        self.same = prices == run.compiled.prices
        self.soft = run.tables if self.same else Tables(run.compiled, prices)

    def run(self) -> None:
        """Both rounds, each from the best plan so far."""
        for label, part in (("short", WARM_UP), ("long", 1.0 - WARM_UP)):
            if self.job.budget.spent():
                return
            self._round(label, part)

    def _round(self, label: str, part: float) -> None:
        descent = 0.0 if self.same else DESCENT
        start = self.job.plan
        plan = self._anneal(self.soft, start, label, part * (1.0 - descent))
        if not self.same:
            plan = self._anneal(
                self.job.tables, plan, f"{label} descent", part * descent
            )
        self.job.offer(plan, Origin.SEARCH)
        self.job.tell("search", now=True)

    def _anneal(self, tables: Tables, plan: Plan, label: str, part: float) -> Plan:
        hot = (
            self.heat
            * HOT_HALF_DAYS
            * max(tables.prices.promised, tables.prices.wanted, 1)
        )
        if tables is not self.soft:
            hot = 1
        return anneal(
            Lineup(tables).load(plan),
            Cooling(hot, hot / COOLED, self.moves and round(self.moves * part)),
            self.job.draw(f"{self.label} {label}"),
            self.job.budget.part(self.seconds * part),
            tick=self.job.tick,
        )


def _constructions(tables: Tables) -> Iterator[tuple[Plan, Origin]]:
    yield office_rule(tables), Origin.OFFICE_RULE
    if any(tables.known):
        yield push_right(tables), Origin.PUBLISHED
    yield day_by_day(tables, by_due(tables)), Origin.DISPATCH
    for patience in PATIENCE:
        yield day_by_day(tables, by_urgency(tables, patience)), Origin.DISPATCH
