"""Lines of a plan that are still above what the firm works at, in words.

The line is the firm's: the owner draws it, no law does. So whoever reads that a job waits
for it is told whose line it is, where it lies, and both ways to clear it.
"""

from safety.domain.plan import HazardPlan
from safety.domain.risk import Matrix
from safety.domain.wording import listed

MOST_NAMED = 2
TO_CLEAR = (
    "add a stronger control to that line of the hazard plan, or the owner moves the "
    "firm's line under “How we rate risk”"
)


def works_up_to(matrix: Matrix) -> str:
    """The name of the highest grade that the firm works at."""
    return matrix.grades[matrix.rank(matrix.tolerance)].name


def above_tolerance(plan: HazardPlan, matrix: Matrix) -> tuple[str, ...]:
    """Each line whose rating with its controls is above the firm's line, and its grade."""
    return tuple(
        f"“{line.name}”{_step(line.task_name)} is still {matrix.grade(line.residual).name}"
        for line in plan.lines
        if not matrix.tolerates(line.residual)
    )


def _step(task_name: str) -> str:
    return f" in “{task_name}”" if task_name else ""


def tolerance_words(above: tuple[str, ...], up_to: str) -> str:
    """Why a job waits: the first lines above, and the firm's own line."""
    shown = [*above[:MOST_NAMED]]
    if len(above) > MOST_NAMED:
        shown.append(f"{len(above) - MOST_NAMED} more are too high")
    return (
        f"With all its controls {listed(shown)}. The firm works up to {up_to}: a line "
        "that the owner draws, not the law."
    )
