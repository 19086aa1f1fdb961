"""Simulated annealing over line-ups.

Source of the method: S. Kirkpatrick, C. D. Gelatt and M. P. Vecchi, "Optimization by
Simulated Annealing", Science 220 (1983), 671-680.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import count
from math import exp, log
from random import Random

from scheduling.domain.budget import Budget
from scheduling.domain.lineup import Lineup
from scheduling.domain.neighbourhood import Habits, Neighbourhood
from scheduling.domain.tables import Plan

CHECK_EVERY = 64  # moves between two looks at the clock


@dataclass(frozen=True, slots=True)
class Cooling:
    """Temperatures (in price) at which to begin and end, and the moves to make.

    Without a number of moves the clock cools: quicker on a slow day, and no two runs
    are alike.
    """

    hot: float
    cold: float
    moves: int | None = None

    def share(self, made: int, budget: Budget) -> float:
        """How much of the way is behind us, 0 to 1."""
        if self.moves is not None:
            return made / self.moves if self.moves else 1.0
        return min(1.0, budget.used() / budget.seconds) if budget.seconds else 1.0

    def heat(self, share: float) -> float:
        """Temperature once that share of the way is behind us."""
        return self.hot * exp(log(self.cold / self.hot) * share)


USUAL = Habits()
Tick = Callable[[int], None]  # told the number of moves made since the last tick


def anneal(
    line: Lineup,
    cooling: Cooling,
    draw: Random,
    budget: Budget,
    *,
    habits: Habits = USUAL,
    tick: Tick | None = None,
) -> Plan:
    """The best plan met while cooling; ``line`` is left as it was then."""
    around = Neighbourhood(line, draw, habits)
    best, best_cost = line.snapshot(), line.cost
    heat = cooling.hot
    for made in count() if around.jobs else ():
        if made % CHECK_EVERY == 0:
            share = cooling.share(made, budget)
            if share >= 1 or budget.spent():
                break
            heat = cooling.heat(share)
            if tick is not None and made:
                tick(CHECK_EVERY)
        move = around.move()
        if move is None:
            continue
        dearer = move.price()
        if dearer > 0 and around.random() >= exp(-dearer / heat):
            move.undo()
        elif line.cost < best_cost:
            best, best_cost = line.snapshot(), line.cost
    line.recall(best)
    return line.plan()
