"""What a bad Monday and one late job move, against pushing everything right."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from random import Random
from time import perf_counter

from config.bench.firms import Figures, figures_of
from scheduling.domain import scoring
from scheduling.domain.compiling import compile_problem
from scheduling.domain.cpsat.solve import solve
from scheduling.domain.disruptions import delayed
from scheduling.domain.policy import FIRST_LEVEL, MENDING, Policy, Term
from scheduling.domain.problem import Problem
from scheduling.domain.repair import push_right
from scheduling.domain.result import bookings
from scheduling.domain.rules import RuleBook
from scheduling.domain.solution import Booking
from scheduling.domain.tables import Tables

DELAY_HALVES = 6
FEW = 3  # other jobs that may move for one that is delayed, unless a promise asks for more
DEARER = (10, 100)  # times the price of a change, until no more than those move


@dataclass(frozen=True, slots=True)
class Mended:
    """A published plan made possible again: what it costs, how many visits moved."""

    figures: Figures
    moved: int


@dataclass(frozen=True, slots=True)
class Delay:
    """One job delayed: other jobs that move, weighted half-days behind promises after it.

    ``spared`` is how many more it would be if no more than ``FEW`` others moved; ``None``
    where no more do.
    """

    moved: int
    late: int
    spared: int | None = None

    def __str__(self) -> str:
        if self.spared is None:
            return f"{self.moved}"
        return f"{self.moved} (sparing {self.spared} half-days behind promises)"


def pushed(problem: Problem) -> Mended:
    """Everything pushed right: same crews, same order, nothing sooner than before."""
    began = perf_counter()
    compiled = compile_problem(problem, Policy.mending())
    plan = push_right(Tables(compiled))
    figures = figures_of(scoring.score(compiled, plan), perf_counter() - began)
    return Mended(figures, len(_moved(problem, bookings(RuleBook(compiled, plan)))))


def mended(problem: Problem, seconds: float, seed: int) -> Mended:
    """The engine's way."""
    began = perf_counter()
    solution = solve(problem, policy=Policy.mending(), seed=seed, deadline_s=seconds)
    return Mended(
        figures_of(solution.score, perf_counter() - began),
        len(_moved(problem, solution.bookings)),
    )


def delays(
    problem: Problem, booked: Sequence[Booking], seed: int, seconds: float, times: int
) -> Iterator[Delay]:
    """One job is delayed, then another in its stead."""
    draw = Random(f"delays {seed}")  # noqa: S311 - invented, no secret
    for job in draw.sample(problem.jobs, min(times, len(problem.jobs))):
        late = delayed(problem, booked, job.key, DELAY_HALVES)

        def mend(price: int, late: Problem = late, key: int = job.key) -> Delay:
            policy = _dear(price)
            found = solve(late, policy=policy, seed=seed, deadline_s=seconds)
            moved = {b.job for b in _moved(late, found.bookings)} - {key}
            return Delay(len(moved), found.score[Term.PROMISED])

        yield _compared(mend(1), map(mend, DEARER))


def _compared(ours: Delay, calmer: Iterable[Delay]) -> Delay:
    """Ours, with what it spares where more than a few jobs move."""
    if ours.moved <= FEW:
        return ours
    few = next((other for other in calmer if other.moved <= FEW), None)
    return ours if few is None else replace(ours, spared=few.late - ours.late)


def _dear(times: int) -> Policy:
    level = tuple((t, p * (times if t is Term.CHANGES else 1)) for t, p in MENDING)
    return Policy((FIRST_LEVEL, level, ((Term.IDLE, 1),)))


def _moved(problem: Problem, booked: Sequence[Booking]) -> list[Booking]:
    """Published visits that have another crew or begin at another time."""
    old = {row.visit: (row.crew, row.start) for row in problem.published}
    return [b for b in booked if old.get(b.visit) not in (None, (b.crew, b.start))]
