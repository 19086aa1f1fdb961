"""What no plan can beat: a floor for every goal, worked out job by job."""

from collections.abc import Iterable

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY, CJob, Compiled, CVisit
from scheduling.domain.policy import Policy, Term
from scheduling.domain.prices import levels_of


def floor(compiled: Compiled) -> tuple[int, ...]:
    """The cost if every job had the whole firm to itself, by the policy's levels."""
    score = dict.fromkeys(Term, 0)
    for job in compiled.jobs:
        if not placeable(compiled, job):
            score[Term.UNPLACED] += 1
            continue
        visits = [compiled.visits[visit] for visit in job.visits]
        end = max(_first_end(visit) for visit in visits)
        promised, wanted = compiled.lateness(job.index, end)
        score[Term.PROMISED] += promised
        score[Term.WANTED] += wanted
        score[Term.TRAVEL] += _least_driving(compiled, job, visits)
    return levels_of(compiled.policy, score)


def placeable(compiled: Compiled, job: CJob) -> bool:
    """Whether the job could be placed with the whole firm to itself."""
    visits = [compiled.visits[visit] for visit in job.visits]
    if not all(visit.modes for visit in visits):
        return False
    return bool(job.crews) or not job.one_crew


def gap(cost: tuple[int, ...], bound: tuple[int, ...]) -> float:
    """Relative distance to the bound on the first level where there is any."""
    for value, least in zip(cost, bound, strict=False):
        if value > least:
            return (value - least) / value
    return 0.0


def proven(policy: Policy, cost: tuple[int, ...], bound: tuple[int, ...]) -> bool:
    """Whether the bound meets the cost on every level but the crews' idle time."""
    count = sum(1 for level in policy.levels if level != ((Term.IDLE, 1),))
    return len(bound) >= count and cost[:count] == bound[:count]


def _first_end(visit: CVisit) -> int:
    return min(
        masks.first_at(mode.starts, 0) + mode.halves
        for modes in visit.modes.values()
        for mode in modes
    )


def _least_driving(compiled: Compiled, job: CJob, visits: Iterable[CVisit]) -> int:
    rows = [visit for visit in visits if NOBODY not in visit.modes]
    if job.one_crew:
        crews = [crew for crew in job.crews if crew != NOBODY]
        sums = (
            sum(_driving(compiled, visit, crew) for visit in rows) for crew in crews
        )
        return min(sums, default=0)
    return sum(
        min(_driving(compiled, visit, crew) for crew in visit.modes) for visit in rows
    )


def _driving(compiled: Compiled, visit: CVisit, crew: int) -> int:
    return min(
        compiled.drive(visit.job, crew, mode.halves) for mode in visit.modes[crew]
    )
