"""Plain projects through the solver: once as anybody would, once as we do.

Ours starts from a schedule made at once, cuts the model down to what is no longer, and
lets two searches without a linear relaxation share what they learn. What that does not
settle soon is walked on one core, and the solver goes on from what is found on the other.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import accumulate
from random import Random

from ortools.sat.python import cp_model

from scheduling.domain.budget import Budget
from scheduling.domain.projects.improve import Improving
from scheduling.domain.projects.project import Project, Starts, floor, tails
from scheduling.domain.projects.serial import construct

QUICK_S = 0.01  # of walking before the solver is asked at all
ALONE = 0.2  # share of the time in which the solver then has both cores
SMALL = 40  # tasks; with so few, proofs are what takes long, and the solver keeps both
BOUTS = 4  # of the solver beside the walk
# On the hard ones of set J30 these prove in two thirds of the time that two workers of
# the solver's own choice take, one of which looks for better schedules only.
PAIR = ("no_lp", "quick_restart_no_lp")


@dataclass(frozen=True, slots=True)
class Found:
    """A schedule and a floor under any; a proof when they meet."""

    starts: Starts
    makespan: int
    floor: int

    @property
    def proven(self) -> bool:
        """Whether nothing shorter exists."""
        return self.makespan <= self.floor


@dataclass(frozen=True, slots=True)
class Frame:
    """Between which times each task may start."""

    first: Sequence[int]
    last: Sequence[int]


def solve_plainly(
    project: Project, seconds: float, *, seed: int = 1, workers: int = 2
) -> Found:
    """The solver with its own settings on the bare model, and nothing else.

    Where it finds nothing in the time, one task after the other is the answer.
    """
    end = sum(project.durations)
    frame = Frame([0] * len(project.durations), [end - d for d in project.durations])
    model, starts = _model(project, frame)
    solver = _solver(seconds, seed, workers)
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        in_turn = accumulate((project.durations[t] for t in project.order), initial=0)
        starts_by_task = dict(zip(project.order, in_turn, strict=False))
        found = tuple(starts_by_task[task] for task in range(len(project.order)))
        return Found(found, end, 0)
    found = tuple(solver.value(start) for start in starts)
    return Found(found, project.makespan(found), round(solver.best_objective_bound))


def solve(
    project: Project, seconds: float, *, seed: int = 1, workers: int = 2
) -> Found:
    """The shortest schedule found in the time, never longer than the one made at once."""
    return _Solving(project, Budget(seconds), seed, workers).run()


class _Solving:
    def __init__(
        self, project: Project, budget: Budget, seed: int, workers: int
    ) -> None:
        self.project = project
        self.budget = budget
        self.seed = seed
        self.workers = workers
        self.best = construct(project)
        self.makespan = project.makespan(self.best)
        self.floor = floor(project)
        self.ahead = tails(project.reversed())
        self.behind = tails(project)
        self.walk = Improving(project, self.best, Random(seed))  # noqa: S311 - a search, no secret
        self._solver: cp_model.CpSolver | None = None

    def run(self) -> Found:
        self.walk.run(self.budget.part(QUICK_S), self.floor)
        self._take(self.walk.best, self.floor)
        if len(self.project.durations) <= SMALL:
            self._alone(1.0)
        else:
            self._alone(ALONE)
            self._side_by_side(BOUTS)
        return Found(self.best, self.makespan, self.floor)

    def _settled(self) -> bool:
        return self.makespan <= self.floor or self.budget.spent()

    def _alone(self, share: float) -> None:
        """The solver on all cores for a share of the time left."""
        if not self._settled():
            self._take(*self._bout(self.budget.left() * share, self.workers))

    def _side_by_side(self, bouts: int) -> None:
        """Lists are walked here; the solver elsewhere goes on from what is found."""
        with ThreadPoolExecutor(max_workers=1) as elsewhere:
            for bouts_left in range(bouts, 0, -1):
                if self._settled():
                    break
                self.walk.go_on_from(self.best)
                seconds = self.budget.left() / bouts_left
                bout = elsewhere.submit(self._bout, seconds, max(1, self.workers - 1))
                self.walk.run(Budget(seconds, bout.done), self.floor)
                if self._solver is not None:
                    self._solver.stop_search()
                self._take(*bout.result())
                self._take(self.walk.best, self.floor)

    def _take(self, starts: Starts, least: int) -> None:
        self.floor = max(self.floor, least)
        makespan = self.project.makespan(starts)
        if makespan < self.makespan:
            self.best, self.makespan = starts, makespan

    def _bout(self, seconds: float, workers: int) -> tuple[Starts, int]:
        """The solver from the best known: a schedule that is no longer, and a floor."""
        lengths, end = self.project.durations, self.makespan
        last = [
            end - length - b for length, b in zip(lengths, self.behind, strict=True)
        ]
        model, variables = _model(self.project, Frame(self.ahead, last), self.floor)
        for variable, start in zip(variables, self.best, strict=True):
            model.add_hint(variable, start)
        self.seed += 1
        solver = _solver(seconds, self.seed, workers)
        if workers == len(PAIR):
            solver.parameters.subsolvers.extend(PAIR)
        self._solver = solver
        if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return self.best, self.floor
        starts = tuple(solver.value(variable) for variable in variables)
        return starts, round(solver.best_objective_bound)


def _solver(seconds: float, seed: int, workers: int) -> cp_model.CpSolver:
    """The solver with its own settings; a firm's plan asks for others."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.0, seconds)
    return solver


def _model(
    project: Project, frame: Frame, least: int = 0
) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    """The model and its start variables; the end of the project is made small."""
    model = cp_model.CpModel()
    times = zip(frame.first, frame.last, strict=True)
    starts = [model.new_int_var(first, last, "") for first, last in times]
    intervals = [
        model.new_fixed_size_interval_var(start, length, "")
        for start, length in zip(starts, project.durations, strict=True)
    ]
    for task, follower in project.links():
        model.add(starts[follower] >= starts[task] + project.durations[task])
    for resource, capacity in enumerate(project.capacities):
        users = [t for t, needs in enumerate(project.demands) if needs[resource]]
        asked = [project.demands[task][resource] for task in users]
        if sum(asked) > capacity:
            model.add_cumulative([intervals[t] for t in users], asked, capacity)
    ends = [
        (last + length, start + length)
        for last, start, length in zip(
            frame.last, starts, project.durations, strict=True
        )
    ]
    whole = model.new_int_var(least, max(end for end, _ in ends), "")
    for task, (_, end) in enumerate(ends):
        if not project.followers[task]:
            model.add(whole >= end)
    model.minimize(whole)
    return model, starts
