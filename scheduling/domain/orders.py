"""The visits of one job tried out around all other jobs, in any order they may have.

Each visit goes where it ends soonest around those before it. If any way exists at all,
one is found like this in some order that respects what waits for what: in the way whose
ends are soonest, taken in the order of its starts, no visit could end sooner beside those
begun before it without also doing so beside all others.

Source: A. Sprecher, R. Kolisch, A. Drexl, "Semi-active, active, and non-delay schedules
for the resource-constrained project scheduling problem", European Journal of Operational
Research 80 (1995), 94-102 (remembered): active schedules suffice.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import reduce
from operator import and_

from scheduling.domain.compiled import NOBODY
from scheduling.domain.rules import Rule, RuleBook
from scheduling.domain.tables import Spot

Keep = Callable[[int, Rule], bool]  # visit, rule → whether the rule counts
Stuck = tuple[int, int, tuple[Rule, ...]]  # visit, crew, its rules


def every_rule(visit: int, rule: Rule) -> bool:
    """All rules count."""
    return True


class Trial:
    """Visits of a job that is not in the plan, placed one after another by one crew.

    ``keep`` may leave rules out; ``fixed`` gives starts of visits, known to be possible.
    """

    def __init__(
        self,
        book: RuleBook,
        crew: int,
        keep: Keep = every_rule,
        fixed: Mapping[int, int] | None = None,
    ) -> None:
        self.book = book
        self.crew = crew
        self.keep = keep
        self.fixed = fixed or {}
        self.placed: list[Spot] = []

    @contextmanager
    def undone(self) -> Iterator[None]:
        """What is placed within is taken out of the book again at the end."""
        try:
            yield
        finally:
            while self.placed:
                self.take_back()

    def place(self, visit: int) -> Stuck | None:
        """Put a visit where it ends soonest; the rules in its way when there is none."""
        who = self.crew if self.book.records[visit].needs_crew else NOBODY
        if visit in self.fixed:
            start = self.fixed[visit]
            self._put((visit, who, start, self.book.halves(visit, who, start)))
            return None
        rules = [rule for rule in self.book.rules(visit, who) if self.keep(visit, rule)]
        allowed = reduce(and_, (rule.allowed for rule in rules), self.book.every)
        soonest = self.book.soonest(visit, who, allowed)
        if soonest is None:
            return visit, who, tuple(rules)
        self._put((visit, who, *soonest))
        return None

    def take_back(self) -> None:
        """The last visit that was placed comes out again."""
        del self.book.spots[self.placed.pop()[0]]

    def in_order(self, visits: Sequence[int]) -> Stuck | None:
        """Place visits in this order, up to the first that finds no start."""
        for visit in visits:
            stuck = self.place(visit)
            if stuck is not None:
                return stuck
        return None

    def _put(self, spot: Spot) -> None:
        self.book.spots[spot[0]] = spot  # the visits behind it wait for it
        self.placed.append(spot)


def any_order(trial: Trial, visits: Sequence[int]) -> bool:
    """Whether some order places all of a job's visits; they stay placed if so."""
    orders = _Orders(trial, visits)
    if not any(orders.rivals.values()):
        return False  # the job's own order is as good as any
    trial.in_order([visit for visit in visits if visit in trial.fixed])
    return orders.finish()


class _Orders:
    """A search through orders, each state looked at once."""

    def __init__(self, trial: Trial, visits: Sequence[int]) -> None:
        self.trial = trial
        self.visits = visits
        self.before = _before(trial.book, visits)
        self.rivals = {
            visit: {other for other in visits if self._are_rivals(visit, other)}
            for visit in visits
        }
        self._seen: set[tuple[Spot, ...]] = set()

    def finish(self) -> bool:
        """Whether the visits that are left can be placed beside those that are."""
        placed = {spot[0] for spot in self.trial.placed}
        left = [visit for visit in self.visits if visit not in placed]
        state = tuple(sorted(self.trial.placed))
        if not left or state in self._seen:
            return not left
        self._seen.add(state)
        for visit in self._next(left):
            if self.trial.place(visit) is not None:
                return False  # with more around it, it never finds a start either
            if self.finish():
                return True
            self.trial.take_back()
        return False

    def _next(self, left: Sequence[int]) -> Sequence[int]:
        """Visits to be tried next: one alone if it stands in nobody's way."""
        ready = [visit for visit in left if not self.before[visit] & set(left)]
        alone = (visit for visit in ready if not self.rivals[visit] & set(left))
        first = next(alone, None)
        return ready if first is None else [first]

    def _are_rivals(self, one: int, other: int) -> bool:
        """Whether two visits could be in each other's way in either order."""
        if one == other or one in self.before[other] or other in self.before[one]:
            return False
        records, visits = self.trial.book.records, self.trial.book.compiled.visits
        same = {p for p, _ in visits[one].needs} & {p for p, _ in visits[other].needs}
        return bool(same) or (records[one].needs_crew and records[other].needs_crew)


def _before(book: RuleBook, visits: Collection[int]) -> dict[int, set[int]]:
    """By visit, all that have to be done before it, however far back."""
    before: dict[int, set[int]] = {}
    for visit in visits:
        direct = {link.before for link in book.compiled.visits[visit].links}
        before[visit] = direct.union(*(before[other] for other in direct))
    return before
