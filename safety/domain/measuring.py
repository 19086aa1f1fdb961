"""Hold points measured: readings in, difference and tolerance out.

All lengths in millimetres. A tolerance belongs to the hold point and carries its own
source there; nothing here says how exact a structure must be.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.methods import HoldPointSpec
from jobs.domain.refusals import Refused

SHORTEST_DIAGONAL_MM = 300.0  # less is a slip of the finger, not a structure
LONGEST_DIAGONAL_MM = 60_000.0
MOST_FALL_MM = 2_000.0
MOST_PLUMB_MM = 500.0


class Kind(StrEnum):
    """What is measured at a hold point."""

    DIAGONALS = "diagonals"  # two diagonals; equal means square
    FALL = "fall"  # fall of a gutter or floor from its high to its low end
    PLUMB = "plumb"  # worst lean of the posts
    LOOK = "look"  # a person looks and says yes or no


@dataclass(frozen=True, slots=True)
class Reading:
    """One number that a person reads off a tape or a level."""

    name: str
    label: str
    least_mm: float
    most_mm: float


READINGS: Mapping[Kind, tuple[Reading, ...]] = {
    Kind.DIAGONALS: (
        Reading(
            "diagonal_a_mm", "Diagonal A", SHORTEST_DIAGONAL_MM, LONGEST_DIAGONAL_MM
        ),
        Reading(
            "diagonal_b_mm", "Diagonal B", SHORTEST_DIAGONAL_MM, LONGEST_DIAGONAL_MM
        ),
    ),
    Kind.FALL: (
        Reading("fall_mm", "Fall from end to end", -MOST_FALL_MM, MOST_FALL_MM),
    ),
    Kind.PLUMB: (Reading("lean_mm", "Worst lean of a post", 0.0, MOST_PLUMB_MM),),
    Kind.LOOK: (),
}


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a measurement.

    ``difference_mm`` is what the tolerance is held against; None where a person only
    looks. ``aside`` is a caution that neither passes nor fails it.
    """

    passed: bool
    says: str
    difference_mm: float | None = None
    tolerance_mm: float | None = None
    aside: str = ""


def kind_of(point: HoldPointSpec) -> Kind:
    """The kind of a hold point; one that this version does not know is looked at."""
    return Kind(point.measure) if point.measure in set(Kind) else Kind.LOOK


def measured(
    point: HoldPointSpec,
    values: Mapping[str, float],
    *,
    expected_mm: float | None = None,
    looks_right: bool = False,
) -> Result:
    """Judge a hold point by its readings.

    Diagonals pass when they differ by at most the tolerance; a fall when it is at least
    the expected fall less the tolerance; a lean when it is at most the tolerance. A hold
    point without a tolerance, or one that is only looked at, passes when the person says
    so. Raises Refused when a reading is missing or cannot be right.
    """
    kind = kind_of(point)
    readings = _checked(READINGS[kind], values)
    if kind is Kind.LOOK or point.tolerance_mm is None:
        return _looked_at(looks_right)
    match kind:
        case Kind.DIAGONALS:
            return _square(readings, point.tolerance_mm, expected_mm)
        case Kind.FALL:
            return _falls(readings[0], point.tolerance_mm, expected_mm)
        case Kind.PLUMB:
            return _plumb(readings[0], point.tolerance_mm)


def _checked(readings: Sequence[Reading], values: Mapping[str, float]) -> list[float]:
    wrong = []
    found = []
    for reading in readings:
        value = values.get(reading.name)
        if value is None:
            wrong.append(f"Give the reading: {reading.label}, in millimetres.")
        elif not reading.least_mm <= value <= reading.most_mm:
            wrong.append(
                f"{reading.label} of {value:g} mm cannot be right. "
                "Measure in millimetres and type it again."
            )
        else:
            found.append(value)
    if wrong:
        raise Refused(wrong)
    return found


def _looked_at(looks_right: bool) -> Result:
    says = "Looked at and found right." if looks_right else "Looked at and not right."
    return Result(looks_right, says)


def _square(
    readings: Sequence[float], tolerance_mm: float, expected_mm: float | None
) -> Result:
    difference = abs(readings[0] - readings[1])
    passed = difference <= tolerance_mm
    word = "Square" if passed else "Not square"
    return Result(
        passed,
        f"{word}: the diagonals differ by {difference:g} mm, {tolerance_mm:g} mm "
        "is allowed.",
        difference,
        tolerance_mm,
        _far_off(sum(readings) / 2, tolerance_mm, expected_mm),
    )


def _far_off(mean_mm: float, tolerance_mm: float, expected_mm: float | None) -> str:
    """Equal diagonals prove a rectangle, not that it is the one on the drawing."""
    if expected_mm is None or abs(mean_mm - expected_mm) <= 2 * tolerance_mm:
        return ""
    return (
        f"The set-out figure is {expected_mm:.0f} mm, and the middle of the two is "
        f"{mean_mm:.0f} mm. Check the sides before you go on."
    )


def _falls(fall_mm: float, tolerance_mm: float, expected_mm: float | None) -> Result:
    wanted = expected_mm or 0.0
    short = max(wanted - fall_mm, 0.0)
    passed = short <= tolerance_mm and fall_mm > 0
    says = f"It falls {fall_mm:g} mm; {wanted:.0f} mm is wanted, {tolerance_mm:g} mm less is allowed."
    aside = "" if fall_mm > 0 else "Water would stand or run the wrong way."
    return Result(passed, says, short, tolerance_mm, aside)


def _plumb(lean_mm: float, tolerance_mm: float) -> Result:
    passed = lean_mm <= tolerance_mm
    word = "Plumb" if passed else "Not plumb"
    says = f"{word}: the worst lean is {lean_mm:g} mm, {tolerance_mm:g} mm is allowed."
    return Result(passed, says, lean_mm, tolerance_mm)
