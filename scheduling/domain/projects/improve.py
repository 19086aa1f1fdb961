"""Better schedules by moving tasks about in the list they are made from.

In the manner of K. Fleszar and K. S. Hindi, "Solving the resource-constrained project
scheduling problem by a variable neighbourhood search", European Journal of Operational
Research 155 (2004), 402-413; every schedule is justified.
"""

from random import Random

from scheduling.domain.budget import Budget
from scheduling.domain.projects.project import Project, Starts
from scheduling.domain.projects.serial import Serial, by_start, justified

MOST_MOVES = 6  # tasks moved at once
TOGETHER = 0.5  # share of steps whose tasks lie close to each other
SPREAD = 8.0  # places; how close
FAR = 25  # places; how far such a task goes at most
WORSE = 0.002  # share of steps that may make the schedule longer
ROOM = 6  # schedules longer by one part in so many are given up half way


class Improving:
    """A walk from schedule to schedule; ``best`` is the shortest met."""

    def __init__(self, project: Project, starts: Starts, draw: Random) -> None:
        self.project = project
        self.best = starts
        self.makespan = project.makespan(starts)
        horizon = self.makespan + self.makespan // ROOM + 1
        self._forward = Serial(project, horizon)
        self._backward = Serial(project.reversed(), horizon)
        self._draw = draw
        self._length = self.makespan
        self._list = by_start(starts, project.order)

    def run(self, budget: Budget, floor: int) -> None:
        """Walk until the time is up or nothing shorter can exist."""
        while self.makespan > floor and not budget.spent():
            self.step()

    def go_on_from(self, starts: Starts) -> None:
        """Walk on from a schedule that somebody else has found, if it is shorter."""
        if self.project.makespan(starts) < self.makespan:
            self._judge(starts)

    def step(self) -> None:
        """Move some tasks; keep the list if its schedule is no longer."""
        tasks = self._list[:]
        middle = self._draw.randrange(len(tasks))
        together = self._draw.random() < TOGETHER
        for _ in range(self._draw.randint(1, MOST_MOVES)):
            self._move(tasks, middle if together else None)
        starts = self._forward.schedule(tasks)
        if starts is not None:
            self._judge(justified(self._forward, self._backward, starts))

    def _judge(self, starts: Starts) -> None:
        length = self.project.makespan(starts)
        if length <= self._length + (self._draw.random() < WORSE):
            self._length, self._list = length, by_start(starts, self.project.order)
        if length < self.makespan:
            self.makespan, self.best = length, starts

    def _move(self, tasks: list[int], middle: int | None) -> None:
        """One task elsewhere, between those it waits for and those that wait for it."""
        draw, last = self._draw, len(tasks) - 1
        at = draw.randrange(last + 1)
        if middle is not None:
            at = min(last, max(0, round(draw.gauss(middle, SPREAD))))
        task, far = tasks[at], FAR if middle is not None else last
        before, after = self.project.before[task], self.project.followers[task]
        low = high = at
        while low > max(0, at - far) and tasks[low - 1] not in before:
            low -= 1
        while high < min(last, at + far) and tasks[high + 1] not in after:
            high += 1
        tasks.insert(draw.randint(low, high), tasks.pop(at))
