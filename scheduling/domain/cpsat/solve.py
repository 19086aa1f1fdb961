"""Plan all open jobs with the search and the solver together.

To be imported by the worker only: it loads OR-Tools, some 80 MB.
"""

from dataclasses import dataclass
from enum import StrEnum

from scheduling.domain.budget import Budget, never
from scheduling.domain.compiling import compile_problem
from scheduling.domain.cpsat.solving import Effort
from scheduling.domain.cpsat.whole import Beside, WholePlan
from scheduling.domain.cpsat.windows import WINDOW_S, WINDOW_STEPS, Windows
from scheduling.domain.engine import HURRY_S, construct
from scheduling.domain.policy import DEFAULT_POLICY, Policy
from scheduling.domain.problem import Problem
from scheduling.domain.result import solution_of
from scheduling.domain.run import Run
from scheduling.domain.search import Search, mostly_published
from scheduling.domain.solution import OnProgress, Origin, ShouldStop, Solution
from scheduling.domain.tables import Tables


class Part(StrEnum):
    """Who works on the plan."""

    SEARCH = "search"
    WINDOWS = "windows"


@dataclass(frozen=True, slots=True)
class Phase:
    """A share of the whole time, and how hot a search begins (1: as hot as usual)."""

    part: Part
    share: float
    heat: float = 1.0


# Measured: the search is the quicker one until it stalls, windows then find what it
# cannot, and a cooler search goes on from there.
PHASES = (
    Phase(Part.SEARCH, 0.06),
    Phase(Part.SEARCH, 0.40),
    Phase(Part.WINDOWS, 0.22),
    Phase(Part.SEARCH, 0.14, heat=0.1),
    Phase(Part.WINDOWS, 0.18),
)
# Many jobs, most of them published, little time: a window would eat it up.
MENDING = (Phase(Part.SEARCH, 1.0),)
FIRST_BOUT = 0.25  # share of the time; later bouts of the whole model get what is left
WHOLE_STEPS = 0.3  # share of a step budget that the whole model gets


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
    """The best plan found by the deadline, with a floor under any plan.

    Never worse than the fast rules. With ``step_budget`` the same problem, seed and
    budget give the same plan, unless the deadline comes first; without it the clock sets
    the pace, two cores work, and no two runs are alike. ``ValueError`` when the records
    contradict each other.
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
    if step_budget is None:
        _by_the_clock(run)
    else:
        _by_steps(run, step_budget)
    run.offer_aside()
    return solution_of(run)


def _by_the_clock(run: Run) -> None:
    """The search and windows in turn, the whole model beside them."""
    whole = WholePlan(run)
    stop = run.budget.should_stop
    with Beside(whole, run.seed) as beside:

        def settled() -> bool:
            beside.look()
            return whole.proven or stop()

        run.budget.should_stop = settled
        phases = MENDING if whole.done and _in_a_hurry(run) else PHASES
        for number, phase in enumerate(phases):
            if run.budget.spent():
                break
            last = phase is phases[-1]
            share = 1.0 if last else min(1.0, phase.share * _whole_to_left(run.budget))
            _do(run, whole.tables, phase, f"{number}", share)
            beside.begin(
                run.budget.left() if number else FIRST_BOUT * run.budget.left()
            )


def _in_a_hurry(run: Run) -> bool:
    return mostly_published(run.tables) and run.budget.seconds < HURRY_S


def _by_steps(run: Run, steps: int) -> None:
    """The same one after the other, counted in steps."""
    whole = WholePlan(run)
    for number, phase in enumerate(PHASES):
        if run.budget.spent() or whole.proven:
            break
        _do(run, whole.tables, phase, f"{number}", phase.share * (1.0 - WHOLE_STEPS))
        if number == 0 and not whole.done:
            effort = Effort(run.budget.left(), run.seed, round(steps * WHOLE_STEPS))
            whole.take_in(whole.solve(effort, run.plan))


def _whole_to_left(budget: Budget) -> float:
    return budget.seconds / max(budget.left(), 1e-9)


def _do(run: Run, tables: Tables, phase: Phase, label: str, share: float) -> None:
    """One phase, for a share of the time left or of the step budget."""
    if phase.part is Part.SEARCH:
        Search(run, share, heat=phase.heat, label=label).run()
    else:
        _windows(run, tables, label, share)


def _windows(run: Run, tables: Tables, label: str, share: float) -> None:
    windows = Windows(tables, run.plan, run.draw(f"windows {label}"))
    by_steps = run.step_budget is not None
    count = round((run.step_budget or 0) * share / WINDOW_STEPS) if by_steps else None
    budget = run.budget.part(
        run.budget.left() if by_steps else run.budget.left() * share
    )
    slow = 0.0  # what a window has taken beyond the solver's own limit
    while windows.jobs and windows.tried != count and not budget.spent():
        if budget.left() < slow:
            break
        began = budget.used()
        if windows.step(budget, by_steps=by_steps):
            run.offer(windows.plan(), Origin.WINDOWS)
        slow = max(slow, budget.used() - began - WINDOW_S)
        run.tick(1)
