"""Run the solver on a model: settings that were measured, and what came out."""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduling.domain.cpsat.model import FirmModel
from scheduling.domain.tables import Spots

STEPS_PER_SECOND = 20_000  # moves of the search that stand for a second of the solver


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to try: seconds always, and a measure that no clock can change."""

    seconds: float
    seed: int
    steps: int | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """Where the free jobs lie (None: nothing found), a floor for their price."""

    spots: dict[int, Spots] | None
    bound: int
    optimal: bool


def new_solver(effort: Effort, *, probing: bool = False) -> cp_model.CpSolver:
    """A solver set up for our models.

    One worker: several are not repeatable and the other core is at work too. Measured:
    the linear relaxation costs more than it gives; probing does so in a small window,
    but proves a whole plan sooner.
    """
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = effort.seed
    parameters.max_time_in_seconds = max(0.01, effort.seconds)
    if not probing:
        parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.linearization_level = 0
    if effort.steps is not None:
        parameters.max_deterministic_time = effort.steps / STEPS_PER_SECOND
    return solver


def outcome(solver: cp_model.CpSolver, firm: FirmModel) -> Outcome:
    """Solve a model and read the answer."""
    status = solver.solve(firm.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outcome(None, 0, optimal=False)
    return Outcome(
        {job: firm.read(solver, job) for job in firm.free},
        round(solver.best_objective_bound),
        optimal=status == cp_model.OPTIMAL,
    )
