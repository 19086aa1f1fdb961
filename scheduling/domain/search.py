"""Improve the best plan of a run: anneal over sequences, and mend what is published."""

from dataclasses import replace

from scheduling.domain.anneal import Cooling, anneal
from scheduling.domain.lineup import Lineup
from scheduling.domain.mend import mend
from scheduling.domain.prices import Prices
from scheduling.domain.run import Run
from scheduling.domain.solution import Origin
from scheduling.domain.tables import Plan, Tables

# All measured on invented firms.
HOT_HALF_DAYS = 20  # a search begins by taking a job this much later in its stride
MENDING_HEAT = 0.75  # of that, when most of the plan is already published
COOLED = 1000  # and ends this many times colder
WARM_UP = 0.2  # share of the search that is a short round of its own
DESCENT = 0.15  # share of a round that goes straight down along the true prices
MEND_SHARE = 0.75  # share of a round that takes out and puts back, when mending
MOVES_PER_MENDING = 1  # moves of annealing that take as long as one step of mending


class Search:
    """A share of what is left of a run's time or steps.

    It follows soft prices; where the true ones differ, every round ends with a descent
    along those.
    """

    def __init__(
        self, run: Run, share: float, *, heat: float = 1.0, label: str = ""
    ) -> None:
        self.job = run
        self.mending = mostly_published(run.tables)
        self.label = label
        self.seconds = run.budget.left() * share
        self.moves = run.step_budget and round(run.step_budget * share)
        prices, true = Prices.soft(run.compiled.policy), run.tables.prices
        self.same = replace(prices, unplaced=true.unplaced) == true
        self.soft = run.tables if self.same else run.tables_at(prices)
        late = max(prices.promised, prices.wanted, 1)
        self.hot = heat * HOT_HALF_DAYS * late * (MENDING_HEAT if self.mending else 1)

    def run(self) -> None:
        """A short round, then a long one from its best."""
        for label, part in (("short", WARM_UP), ("long", 1.0 - WARM_UP)):
            if self.job.budget.spent():
                return
            self._round(label, part)

    def _round(self, label: str, part: float) -> None:
        down = 0.0 if self.same else DESCENT
        plan = self._soft_round(label, part * (1.0 - down))
        if not self.same:
            plan = self._anneal(self.job.tables, plan, f"{label} down", part * down, 1)
        self.job.offer(plan, Origin.SEARCH)
        self.job.tell("search", now=True)

    def _soft_round(self, label: str, part: float) -> Plan:
        plan = self.job.plan
        if not self.mending:
            return self._anneal(self.soft, plan, label, part, self.hot)
        first = part * (1.0 - MEND_SHARE)
        plan = self._anneal(self.soft, plan, label, first, self.hot)
        return self._mend(plan, label, part * MEND_SHARE)

    def _anneal(
        self, tables: Tables, plan: Plan, label: str, part: float, hot: float
    ) -> Plan:
        moves = self.moves and round(self.moves * part)
        return anneal(
            Lineup(tables).load(plan),
            Cooling(hot, hot / COOLED, moves),
            self.job.draw(f"{self.label} {label}"),
            self.job.budget.part(self.seconds * part),
            tick=self.job.tick,
        )

    def _mend(self, plan: Plan, label: str, part: float) -> Plan:
        steps = self.moves and round(self.moves * part / MOVES_PER_MENDING)
        return mend(
            self.soft,
            plan,
            Cooling(self.hot / 3, self.hot / 100, steps),
            self.job.draw(f"{self.label} {label} mend"),
            self.job.budget.part(self.seconds * part),
            tick=self.job.tick,
        )


def mostly_published(tables: Tables) -> bool:
    """Whether the task is to mend a plan rather than to make one."""
    return 2 * sum(tables.known) > len(tables.known)
