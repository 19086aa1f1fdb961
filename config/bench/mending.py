"""What a bad Monday and one late job move, against pushing everything right."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random
from time import perf_counter

from config.bench.firms import CALM, Figures, figures_of
from scheduling.domain import scoring
from scheduling.domain.compiling import compile_problem
from scheduling.domain.cpsat.solve import solve
from scheduling.domain.disruptions import delayed
from scheduling.domain.problem import Problem
from scheduling.domain.repair import push_right
from scheduling.domain.result import bookings
from scheduling.domain.rules import RuleBook
from scheduling.domain.solution import Booking
from scheduling.domain.tables import Tables

DELAY_HALVES = 6


@dataclass(frozen=True, slots=True)
class Mended:
    """A published plan made possible again: what it costs, how many visits moved."""

    figures: Figures
    moved: int


def pushed(problem: Problem) -> Mended:
    """Everything pushed right: same crews, same order, nothing sooner than before."""
    began = perf_counter()
    compiled = compile_problem(problem, CALM)
    plan = push_right(Tables(compiled))
    figures = figures_of(scoring.score(compiled, plan), perf_counter() - began)
    return Mended(figures, len(_moved(problem, bookings(RuleBook(compiled, plan)))))


def mended(problem: Problem, seconds: float, seed: int) -> Mended:
    """The engine's way."""
    began = perf_counter()
    solution = solve(problem, policy=CALM, seed=seed, deadline_s=seconds)
    return Mended(
        figures_of(solution.score, perf_counter() - began),
        len(_moved(problem, solution.bookings)),
    )


def others_moved(
    problem: Problem, booked: Sequence[Booking], seed: int, seconds: float, times: int
) -> Iterator[int]:
    """One job is delayed, then another in its stead: each time, other jobs that move."""
    draw = Random(f"delays {seed}")  # noqa: S311 - invented, no secret
    for job in draw.sample(problem.jobs, min(times, len(problem.jobs))):
        late = delayed(problem, booked, job.key, DELAY_HALVES)
        solution = solve(late, policy=CALM, seed=seed, deadline_s=seconds)
        yield len({b.job for b in _moved(late, solution.bookings)} - {job.key})


def _moved(problem: Problem, booked: Sequence[Booking]) -> list[Booking]:
    """Published visits that have another crew or begin at another time."""
    old = {row.visit: (row.crew, row.start) for row in problem.published}
    return [b for b in booked if old.get(b.visit) not in (None, (b.crew, b.start))]
