"""How quickly, and how rightly, we say why a job cannot start on a given day."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from statistics import quantiles
from time import perf_counter

from scheduling.domain.cpsat.verdict import Verdict
from scheduling.domain.explain import Explainer
from scheduling.domain.problem import Problem
from scheduling.domain.solution import Booking

QUESTIONS = 200
MS = 1000.0


@dataclass(frozen=True, slots=True)
class Answers:
    """By question, how long it took; over crews and questions, how often we agreed."""

    ms: tuple[float, ...]
    agreed: int
    verdicts: int

    @property
    def slow_ms(self) -> float:
        """95 of 100 answers came within it."""
        return quantiles(self.ms, n=20)[-1]


def ask(problem: Problem, booked: Sequence[Booking], seed: int) -> Answers:
    """Random jobs on random days before where they lie, each crew checked by the solver."""
    draw = Random(f"questions {seed}")  # noqa: S311 - invented, no secret
    why, solver = Explainer(problem, booked), Verdict(problem, booked)
    starts: dict[int, list[int]] = {}
    for row in booked:
        starts.setdefault(row.job, []).append(problem.calendar.index_from(row.start))
    ms, agreed, verdicts = [], 0, 0
    for _ in range(QUESTIONS):
        job = draw.choice(sorted(starts))
        at = draw.randrange(min(starts[job]) + 1)
        began = perf_counter()
        answers = why.why_not(job, problem.calendar.slot(at))
        ms.append((perf_counter() - began) * MS)
        for answer in answers:
            agreed += answer.possible == solver.may_start(job, answer.crew, at)
            verdicts += 1
    return Answers(tuple(ms), agreed, verdicts)
