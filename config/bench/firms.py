"""Plans of invented firms, and those of the rules an office would use, side by side."""

from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

from scheduling.domain import scoring
from scheduling.domain.budget import Budget
from scheduling.domain.compiled import Compiled
from scheduling.domain.compiling import compile_problem
from scheduling.domain.cpsat.solve import solve
from scheduling.domain.dispatch import office_rule
from scheduling.domain.engine import construct
from scheduling.domain.policy import FIRST_LEVEL, Policy, Term
from scheduling.domain.problem import Problem
from scheduling.domain.random_firms import FirmSize, busy_firm, overloaded_firm
from scheduling.domain.run import Run
from scheduling.domain.solution import Progress, Score, Solution
from scheduling.domain.tables import Plan, Tables

LATE_PRICE = 100  # a half-day late, times the job's weight, in units of travel
COST = Policy((FIRST_LEVEL, ((Term.PROMISED, LATE_PRICE), (Term.TRAVEL, 1))))
TOLD_EVERY_S = 5.0

Write = Callable[[str], Any]


@dataclass(frozen=True, slots=True)
class Family:
    """A kind of invented firm, and how densely its jobs come in."""

    make: Callable[[FirmSize, int], Problem]
    load: float


FAMILIES = {
    "busy": Family(busy_firm, 0.6),
    "overloaded": Family(overloaded_firm, 1.0),
}


@dataclass(frozen=True, slots=True)
class Figures:
    """What is compared of a plan. ``late`` is weighted half-days behind promises."""

    unplaced: int
    late: int
    travel: int
    seconds: float

    @property
    def cost(self) -> int:
        """Lateness and travel as one number."""
        return LATE_PRICE * self.late + self.travel


@dataclass(frozen=True, slots=True)
class Compared:
    """One firm, planned three times."""

    office: Figures
    fast: Figures
    ours: Figures
    solution: Solution


@dataclass(slots=True)
class Teller:
    """Says now and then where a solve stands."""

    write: Write
    _next: float = field(default=TOLD_EVERY_S)

    def __call__(self, progress: Progress) -> None:
        """To be given to a solve."""
        if progress.seconds >= self._next:
            self._next = progress.seconds + TOLD_EVERY_S
            cost, floor = progress.cost[1], (progress.bound or (0, 0))[1]
            self.write(
                f"  {progress.seconds:.0f} s, {progress.phase}: "
                f"cost {cost:,}, floor {floor:,}"
            )


def compare(problem: Problem, seconds: float, seed: int, write: Write) -> Compared:
    """The office's rule, the best of the fast rules, and the whole engine."""
    began = perf_counter()
    compiled = compile_problem(problem, COST)
    plan = office_rule(Tables(compiled))
    office = _figures(compiled, plan, began)
    began = perf_counter()
    fast = _figures(compiled, _fast(compiled, seed), began)
    began = perf_counter()
    solution = solve(
        problem, policy=COST, seed=seed, deadline_s=seconds, progress=Teller(write)
    )
    ours = figures_of(solution.score, perf_counter() - began)
    return Compared(office, fast, ours, solution)


def figures_of(score: Score, seconds: float) -> Figures:
    """What is compared of a score."""
    return Figures(
        score[Term.UNPLACED], score[Term.PROMISED], score[Term.TRAVEL], seconds
    )


def share(ours: float, theirs: float) -> str:
    """Ours as a part of theirs; a dash when there is nothing to compare with."""
    return f"{ours / theirs:.0%}" if theirs else "–"


def proof(solution: Solution) -> str:
    """How far the plan can be from the best, in words."""
    return "proven best" if solution.proven else f"{solution.gap:.0%} above the floor"


def _fast(compiled: Compiled, seed: int) -> Plan:
    run = Run(compiled, Tables(compiled), Budget(float("inf")), seed)
    construct(run)
    return run.plan


def _figures(compiled: Compiled, plan: Plan, began: float) -> Figures:
    return figures_of(scoring.score(compiled, plan), perf_counter() - began)
