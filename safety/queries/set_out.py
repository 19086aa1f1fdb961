"""Set-out figures that hold points are measured against."""

from math import floor

from jobs.domain.methods import HoldPointSpec
from jobs.models import Task
from jobs.queries.facts import current_take_off
from safety.domain.measuring import Expected, Kind, kind_of

_KEYS = {Kind.DIAGONALS: "diagonal", Kind.FALL: "gutter_fall"}
_MM = {"mm": 1.0, "m": 1000.0}


def expected_at(task: Task, spec: HoldPointSpec) -> tuple[Expected, ...]:
    """What the take-off says the readings should be, in whole millimetres. One query.

    Whole, because these are the figures that people are told, and a reading is judged by
    what they were told. A half goes up, as on every page.
    Empty when the dimensions are not set, or nothing can be worked out for the kind.
    """
    stem = _KEYS.get(kind_of(spec))
    take_off = current_take_off(task.job) if stem else None
    if stem is None or take_off is None:
        return ()
    return tuple(
        Expected(figure.key, figure.name, _whole(figure.value * _MM[figure.unit]))
        for figure in take_off.set_out
        if figure.key.startswith(stem)
    )


def _whole(mm: float) -> float:
    return float(floor(mm + 0.5))
