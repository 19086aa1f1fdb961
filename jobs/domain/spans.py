"""Numbers of steps and posts in short."""

from collections.abc import Iterable, Sequence
from itertools import groupby


def spans(numbers: Iterable[int]) -> str:
    """Whole numbers in order, runs of three and more in short: "4, 5, 12–14"."""
    ordered = sorted(numbers)
    runs = (
        [number for _, number in run]
        for _, run in groupby(enumerate(ordered), key=lambda pair: pair[1] - pair[0])
    )
    return ", ".join(_span(run) for run in runs)


def in_steps(steps: Sequence[int]) -> str:
    """Step numbers as words: "step 4", "steps 4, 5, 12–14"."""
    return f"step{'' if len(steps) == 1 else 's'} {spans(steps)}"


def _span(run: Sequence[int]) -> str:
    if len(run) < 3:
        return ", ".join(str(number) for number in run)
    return f"{run[0]}–{run[-1]}"
