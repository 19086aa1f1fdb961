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
SLIP_SHARE = 0.1  # a length further off than this share is a slip; firm's decision
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


@dataclass(frozen=True, slots=True)
class Expected:
    """A set-out figure that a reading is held against, as people are told it."""

    key: str
    label: str
    mm: float


def readings(kind: Kind, expected: Sequence[Expected] = ()) -> tuple[Reading, ...]:
    """What a person reads off at a hold point: one number for each gutter that falls."""
    match kind:
        case Kind.DIAGONALS:
            limits = (SHORTEST_DIAGONAL_MM, LONGEST_DIAGONAL_MM)
            return (
                Reading("diagonal_a_mm", "Diagonal A", *limits),
                Reading("diagonal_b_mm", "Diagonal B", *limits),
            )
        case Kind.FALL:
            return tuple(
                Reading(f"{item.key}_mm", item.label, -MOST_FALL_MM, MOST_FALL_MM)
                for item in expected or (_SOME_FALL,)
            )
        case Kind.PLUMB:
            return (Reading("lean_mm", "Worst lean of a post", 0.0, MOST_PLUMB_MM),)
        case Kind.LOOK:
            return ()


_SOME_FALL = Expected("fall", "Fall from the high to the low end", 0.0)


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
    expected: Sequence[Expected] = (),
    looks_right: bool = False,
) -> Result:
    """Judge a hold point by its readings.

    Diagonals pass when they differ by at most the tolerance; a fall when each gutter
    falls as much as its set-out figure says, less the tolerance; a lean when it is at
    most the tolerance. A hold point without a tolerance, or one that is only looked at,
    passes when the person says so. Refused when a reading is missing or cannot be right.
    """
    kind = kind_of(point)
    found = _checked(readings(kind, expected), values)
    if kind is Kind.LOOK or point.tolerance_mm is None:
        return _looked_at(looks_right)
    match kind:
        case Kind.DIAGONALS:
            return _square(found, point.tolerance_mm, expected)
        case Kind.FALL:
            return _falls(found, point.tolerance_mm, expected or (_SOME_FALL,))
        case Kind.PLUMB:
            return _plumb(found[0], point.tolerance_mm)


def _checked(asked: Sequence[Reading], values: Mapping[str, float]) -> list[float]:
    wrong = []
    found = []
    for reading in asked:
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


def refuse_slips(
    point: HoldPointSpec, values: Mapping[str, float], expected: Sequence[Expected]
) -> None:
    """Refuse diagonals that are nowhere near their set-out figure.

    Two figures with a digit left out are as equal as two right ones. Falls and leans are
    small, so a true one may well be many times what it should be; they are judged.
    """
    if kind_of(point) is not Kind.DIAGONALS or not expected:
        return
    due = expected[0].mm
    far = [
        f"{reading.label} of {value:g} mm cannot be right: {due:.0f} mm is due. "
        "Measure in millimetres and type it again. If the tape is right, the dimensions "
        "of the job are not: tell the office."
        for reading in readings(Kind.DIAGONALS)
        if (value := values.get(reading.name)) is not None
        and abs(value - due) > SLIP_SHARE * due
    ]
    if far:
        raise Refused(far)


def _looked_at(looks_right: bool) -> Result:
    says = "Looked at and found right." if looks_right else "Looked at and not right."
    return Result(looks_right, says)


def _square(
    found: Sequence[float], tolerance_mm: float, expected: Sequence[Expected]
) -> Result:
    difference = _plain(abs(found[0] - found[1]))
    passed = difference <= tolerance_mm
    word = "Square" if passed else "Not square"
    return Result(
        passed,
        f"{word}: the diagonals differ by {difference:g} mm, {tolerance_mm:g} mm "
        "is allowed.",
        difference,
        tolerance_mm,
        _far_off(sum(found) / 2, tolerance_mm, expected),
    )


def _plain(mm: float) -> float:
    """Without the dust of binary fractions: 5.1 less 0.1 is 5."""
    return round(mm, 3)


def _far_off(mean_mm: float, tolerance_mm: float, expected: Sequence[Expected]) -> str:
    """Equal diagonals prove a rectangle, not that it is the one on the drawing."""
    if not expected or abs(mean_mm - expected[0].mm) <= 2 * tolerance_mm:
        return ""
    return (
        f"The set-out figure is {expected[0].mm:.0f} mm, and the middle of the two is "
        f"{mean_mm:.0f} mm. Check the sides before you go on."
    )


def _falls(
    found: Sequence[float], tolerance_mm: float, expected: Sequence[Expected]
) -> Result:
    short = [
        _plain(max(item.mm - fall, 0.0))
        for item, fall in zip(expected, found, strict=True)
    ]
    flat = any(fall <= 0 for fall in found)
    passed = max(short) <= tolerance_mm and not flat
    says = "; ".join(
        f"it falls {fall:g} mm, {item.mm:.0f} mm is wanted"
        for item, fall in zip(expected, found, strict=True)
    )
    word = "Falls enough" if passed else "Does not fall enough"
    aside = "Water would stand or run the wrong way." if flat else ""
    return Result(
        passed,
        f"{word}: {says}; {tolerance_mm:g} mm less is allowed.",
        max(short),
        tolerance_mm,
        aside,
    )


def _plumb(lean_mm: float, tolerance_mm: float) -> Result:
    passed = lean_mm <= tolerance_mm
    word = "Plumb" if passed else "Not plumb"
    says = f"{word}: the worst lean is {lean_mm:g} mm, {tolerance_mm:g} mm is allowed."
    return Result(passed, says, lean_mm, tolerance_mm)
