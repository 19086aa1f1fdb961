"""The solver on part of the plan, again and again: large neighbourhood search.

A window is a few jobs that lie close together; they are planned anew around all others.
Source of the method: P. Shaw, "Using Constraint Programming and Local Search Methods to
Solve Vehicle Routing Problems", CP98, 417-431.
"""

from random import Random

from scheduling.domain.board import Board
from scheduling.domain.budget import Budget
from scheduling.domain.compiled import NOBODY
from scheduling.domain.cpsat.model import FirmModel, Limits, NoWay
from scheduling.domain.cpsat.solving import Effort, new_solver, outcome
from scheduling.domain.tables import Plan, Spots, Tables

FIRST_SIZE = 8.0  # jobs
LEAST_SIZE, MOST_SIZE = 4.0, 24.0
GROWTH = (
    1.03  # after a window that was settled; it shrinks faster after one that was not
)
SHRINK = 0.85
WINDOW_S = 0.4
WINDOW_STEPS = 6_000
AFTERWARDS = 20  # slots of room behind the last booking
SAME_CREWS = 0.6  # share of windows that keep to two crews
CREW_BONUS = 25.0  # slots of overlap that a job of those crews is worth
SPREAD = 10.0  # slots; chance in what counts as close
COSTLY = 0.7  # share of windows around a job that costs more than it would have to


class Windows:
    """Windows on one plan; prices are those of ``tables``."""

    def __init__(self, tables: Tables, plan: Plan, draw: Random) -> None:
        self.tables = tables
        self.draw = draw
        self.board = Board(tables).fill(plan)
        self.jobs = [job for job, spots in enumerate(plan) if spots is not None]
        self.cost = {
            job: tables.cost(job, spots) for job, spots in enumerate(plan) if spots
        }
        self.size = FIRST_SIZE
        self.tried = 0

    def plan(self) -> Plan:
        """The plan as it stands."""
        return list(self.board.plan)

    def step(self, budget: Budget, *, by_steps: bool) -> bool:
        """Plan one window anew; whether the plan got cheaper."""
        self.tried += 1
        window = self._window()
        before = {job: self.board.take(job) for job in window}
        after = self._solved(before, budget, by_steps=by_steps)
        for job in window:
            self.board.put(job, after[job])
            self.cost[job] = self.tables.cost(job, after[job])
        return after is not before

    def _solved(
        self, before: dict[int, Spots], budget: Budget, *, by_steps: bool
    ) -> dict[int, Spots]:
        try:
            model = FirmModel(self.board, tuple(before), self._limits(before))
        except NoWay:
            return before
        model.hint(before)
        left = budget.left()  # less than before: setting the model up takes a while
        effort = Effort(
            left if by_steps else min(left, WINDOW_S),
            self.draw.randrange(1 << 30),
            WINDOW_STEPS if by_steps else None,
        )
        found = outcome(new_solver(effort), model)
        self.size *= GROWTH if found.optimal else SHRINK
        self.size = min(MOST_SIZE, max(LEAST_SIZE, self.size))
        if found.spots is None or self._price(found.spots) >= self._price(before):
            return before
        return found.spots

    def _price(self, spots: dict[int, Spots]) -> int:
        return sum(self.tables.cost(job, found) for job, found in spots.items())

    def _limits(self, before: dict[int, Spots]) -> Limits:
        floor = self.tables.floor
        slack = sum(self.cost[job] - floor[job] for job in before)
        last = max(
            _last(spots) for spots in (*before.values(), *filter(None, self.board.plan))
        )
        horizon = min(self.tables.horizon, last + AFTERWARDS)
        return Limits(horizon, {job: floor[job] + slack for job in before})

    def _window(self) -> list[int]:
        """A job and those nearest to it in time, often of two crews only."""
        plan, draw = self.board.plan, self.draw
        centre = self._centre()
        here = plan[centre]
        assert here is not None
        first, last = here[0][2], _last(here)
        crews = {_crew(here), draw.randrange(max(1, len(self.board.own)))}
        together = draw.random() < SAME_CREWS
        scored = []
        for job in self.jobs:
            spots = plan[job]
            assert spots is not None
            overlap = min(last, _last(spots)) - max(first, spots[0][2])
            bonus = CREW_BONUS if together and _crew(spots) in crews else 0.0
            scored.append((overlap + bonus + draw.random() * SPREAD, job))
        scored.sort(reverse=True)
        near = [job for _, job in scored[: round(self.size)] if job != centre]
        return [centre, *near]

    def _centre(self) -> int:
        draw, floor = self.draw, self.tables.floor
        if draw.random() >= COSTLY:
            return draw.choice(self.jobs)
        some = [draw.choice(self.jobs) for _ in range(3)]
        return max(some, key=lambda job: self.cost[job] - floor[job])


def _last(spots: Spots) -> int:
    return max(start + halves for _, _, start, halves in spots)


def _crew(spots: Spots) -> int:
    return next((crew for _, crew, _, _ in spots if crew != NOBODY), NOBODY)
