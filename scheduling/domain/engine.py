"""Plan all open jobs without the solver: dispatch rules, then annealing."""

from collections.abc import Iterator

from scheduling.domain import bounds
from scheduling.domain.budget import Budget, never
from scheduling.domain.compiling import compile_problem
from scheduling.domain.dispatch import by_due, by_urgency, day_by_day, office_rule
from scheduling.domain.policy import DEFAULT_POLICY, Policy
from scheduling.domain.problem import Problem
from scheduling.domain.repair import keep_published, make_room, push_right
from scheduling.domain.result import solution_of
from scheduling.domain.run import Run
from scheduling.domain.search import Search, mostly_published
from scheduling.domain.solution import OnProgress, Origin, ShouldStop, Solution
from scheduling.domain.tables import Plan, Tables

HURRY_S = 5.0  # with less time to mend a plan no rule is followed for comparison only
PATIENCE = (5, 20, 60)  # slots; look-aheads of the urgency rule that are tried


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
    """The best plan found by the deadline; never worse than the office's rules.

    With ``step_budget`` (moves of the search) the same problem, seed and budget give the
    same plan, unless the deadline comes first; without it the clock sets the pace and no
    two runs are alike. ``ValueError`` when the records contradict each other.
    """
    budget = Budget(deadline_s, should_stop)
    compiled = compile_problem(problem, policy)
    tables = Tables(compiled)
    budget.reserve()  # for putting the plan into words
    run = Run(
        compiled=compiled,
        tables=tables,
        budget=budget,
        seed=seed,
        step_budget=step_budget,
        progress=progress,
    )
    construct(run)
    Search(run, share=1.0).run()
    run.offer_aside()
    return solution_of(run)


def construct(run: Run) -> None:
    """Every fast rule, the office's first; the best of them is where a search begins.

    Where a plan is mended the search begins from what is published: one made from
    nothing moves everybody. The others' are laid aside and compared with in the
    end; when there is little time, only the office's.
    """
    run.bound = bounds.floor(run.compiled)
    mending = mostly_published(run.tables)
    hurried = mending and run.budget.seconds < HURRY_S
    for plan, origin in _constructions(run, mending=mending, hurried=hurried):
        if mending and origin is not Origin.PUBLISHED:
            run.lay_aside(plan, origin)
        else:
            run.offer(plan, origin)
        if run.cost and run.budget.spent():
            break
    run.fill_up()
    run.tell("first plan", now=True)


def _constructions(
    run: Run, *, mending: bool, hurried: bool
) -> Iterator[tuple[Plan, Origin]]:
    tables = run.tables
    yield office_rule(tables), Origin.OFFICE_RULE
    if any(tables.known):
        yield keep_published(tables), Origin.PUBLISHED
        yield push_right(tables), Origin.PUBLISHED
        yield make_room(tables, run.draw("make room")), Origin.PUBLISHED
    if not hurried:
        yield day_by_day(tables, by_due(tables)), Origin.DISPATCH
    if not mending:
        for patience in PATIENCE:
            yield day_by_day(tables, by_urgency(tables, patience)), Origin.DISPATCH
