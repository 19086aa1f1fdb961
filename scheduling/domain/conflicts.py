"""Why a job cannot be placed at all: the smallest set of things that contradict."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_

from scheduling.domain import masks
from scheduling.domain.compiled import NOBODY
from scheduling.domain.orders import Keep, Trial, any_order, every_rule
from scheduling.domain.rules import Rule, RuleBook
from scheduling.domain.tables import Spot

CREWS_NAMED = 3  # more of them say the same in other words


@dataclass(frozen=True, slots=True)
class Conflict:
    """Rules that no start can meet together, though any fewer of them can be met."""

    visit: int  # index
    crew: int
    rules: tuple[Rule, ...]

    def words(self) -> tuple[str, ...]:
        """Each rule, asked about a start that all the others would allow."""
        return tuple(
            rule.words(self._start([r for r in self.rules if r is not rule]))
            for rule in self.rules
        )

    def _start(self, others: Sequence[Rule]) -> int:
        allowed = reduce(and_, (rule.allowed for rule in others), -1)
        return max(0, masks.first_at(allowed, 0))


def along(
    book: RuleBook,
    job: int,
    crew: int,
    keep: Keep = every_rule,
    fixed: Mapping[int, int] | None = None,
) -> tuple[list[Spot], Conflict | None]:
    """Every visit of a job as soon as one crew can, around all other jobs.

    In the job's own order first; where that gets stuck, in any other order its visits may
    have. Up to the first visit that finds no start, with the conflict there. The job must
    not be in the plan. ``keep`` may leave rules out; ``fixed`` gives starts of visits,
    known to be possible.
    """
    trial = Trial(book, crew, keep, fixed)
    visits = book.compiled.jobs[job].visits
    with trial.undone():
        stuck = trial.in_order(visits)
        placed = list(trial.placed)
    if stuck is None:
        return placed, None
    with trial.undone():
        if any_order(trial, visits):
            return sorted(trial.placed), None
    visit, who, rules = stuck
    return placed, Conflict(visit, who, smallest(rules))


def conflict(book: RuleBook, job: int, crew: int) -> Conflict | None:
    """What keeps a crew from doing a job around the plan; None when it could."""
    return along(book, job, crew)[1]


def smallest(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Rules left when each that is not needed for the contradiction is dropped.

    Later ones are dropped first; none of those left can be.
    """
    kept = list(rules)
    for rule in reversed(rules):
        rest = [other for other in kept if other is not rule]
        if rest and not reduce(and_, (other.allowed for other in rest)):
            kept = rest
    return tuple(kept)


def why_out(book: RuleBook, job: int) -> tuple[str, ...]:
    """In words, for each crew that could be thought of, why it cannot do the job."""
    crews = range(len(book.crews)) if _crewed(book, job) else (NOBODY,)
    reasons: dict[str, list[int]] = {}
    for crew in crews:
        found = conflict(book, job, crew)
        if found is None:
            return ("It could be placed by moving other jobs; none was found to move.",)
        name = book.records[found.visit].name
        reasons.setdefault(f"“{name}”: {' '.join(found.words())}", []).append(crew)
    named = list(reasons)[:CREWS_NAMED]
    more = sum(len(reasons[words]) for words in list(reasons)[CREWS_NAMED:])
    if more:
        noun = "crew" if more == 1 else "crews"
        named.append(f"The same goes for {more} more {noun}.")
    return tuple(named)


def _crewed(book: RuleBook, job: int) -> bool:
    return any(book.records[v].needs_crew for v in book.compiled.jobs[job].visits)
