"""One solve under way: the best plan so far, its cost, and who wants to know."""

from dataclasses import dataclass, field
from random import Random

from scheduling.domain import scoring
from scheduling.domain.board import Board
from scheduling.domain.budget import Budget
from scheduling.domain.compiled import Compiled
from scheduling.domain.prices import Prices
from scheduling.domain.solution import OnProgress, Origin, Progress
from scheduling.domain.tables import Plan, Tables

TOLD_EVERY = 0.5  # seconds between two reports of one phase


@dataclass(slots=True)
class Run:
    """What the parts of the engine share. ``cost`` is the policy's tuple for ``plan``."""

    compiled: Compiled
    tables: Tables
    budget: Budget
    seed: int
    step_budget: int | None = None
    progress: OnProgress | None = None
    plan: Plan = field(default_factory=list)
    cost: tuple[int, ...] = ()
    bound: tuple[int, ...] = ()
    origin: Origin = Origin.OFFICE_RULE
    steps: int = 0
    aside: list[tuple[tuple[int, ...], Plan, Origin]] = field(default_factory=list)
    _told: float = -TOLD_EVERY
    _priced: dict[Prices, Tables] = field(default_factory=dict)

    def offer(self, plan: Plan, origin: Origin) -> bool:
        """Keep a plan if it is the best so far; whether it is."""
        return self._keep(scoring.cost(self.compiled, plan), plan, origin)

    def _keep(self, cost: tuple[int, ...], plan: Plan, origin: Origin) -> bool:
        if self.cost and cost >= self.cost:
            return False
        self.plan, self.cost, self.origin = list(plan), cost, origin
        return True

    def lay_aside(self, plan: Plan, origin: Origin) -> None:
        """Keep a plan that is no place to begin a search, to compare with in the end."""
        self.aside.append((scoring.cost(self.compiled, plan), plan, origin))

    def fill_up(self) -> None:
        """Try once more to fit jobs that are not placed into the gaps of the best."""
        if all(spots is not None for spots in self.plan):
            return
        board = Board(self.tables).fill(self.plan)
        for job, spots in enumerate(self.plan):
            found = board.best(job) if spots is None else None
            if found is not None:
                board.put(job, found)
        self.offer(board.plan, self.origin)

    def offer_aside(self) -> None:
        """Compare with the plans that were laid aside."""
        for cost, plan, origin in self.aside:
            self._keep(cost, plan, origin)

    def tables_at(self, prices: Prices) -> Tables:
        """The problem laid out with other prices; made once."""
        if prices == self.tables.prices:
            return self.tables
        if prices not in self._priced:
            self._priced[prices] = Tables(self.compiled, prices)
        return self._priced[prices]

    def draw(self, label: str) -> Random:
        """A source of chance for one part of the engine."""
        return Random(f"{self.seed} {label}")  # noqa: S311 - repeatable, no secret

    def tick(self, steps: int) -> None:
        """Count moves of the search, and report now and then."""
        self.steps += steps
        self.tell("search")

    def tell(self, phase: str, *, now: bool = False) -> None:
        """Report where the solve stands, not too often."""
        used = self.budget.used()
        if self.progress is None or (not now and used - self._told < TOLD_EVERY):
            return
        self._told = used
        self.progress(Progress(phase, self.steps, self.cost, self.bound, used))
