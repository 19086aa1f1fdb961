"""Figures that a job is set out and squared by."""

import math

from jobs.domain.layout import Layout
from jobs.domain.takeoff.model import SetOut
from jobs.domain.takeoff.parts import metres, millimetres

# The largest 3-4-5 triangle is laid out in steps of half a metre a unit.
_UNIT_STEP_M = 0.25


def diagonal_m(along_m: float, out_m: float) -> float:
    """Diagonal of a rectangle, by Pythagoras: sqrt(along² + out²)."""
    return math.hypot(along_m, out_m)


def three_four_five(along_m: float, out_m: float) -> tuple[float, float, float]:
    """Sides of the largest 3-4-5 triangle that fits, in steps of a quarter unit.

    Source: 3² + 4² = 5²; the longer leg lies along the longer side.
    """
    short, long = sorted((along_m, out_m))
    unit = min(short / 3, long / 4)
    unit = max(_UNIT_STEP_M, math.floor(unit / _UNIT_STEP_M + 1e-9) * _UNIT_STEP_M)
    return 3 * unit, 4 * unit, 5 * unit


def squaring(layout: Layout) -> tuple[SetOut, ...]:
    """Diagonal, the corner check, and the levels of beam, house line and ridge."""
    along, out = layout.square.along_m, layout.square.out_m
    legs = three_four_five(along, out)
    return (
        SetOut(
            "diagonal",
            "Both diagonals",
            diagonal_m(along, out),
            "m",
            f"sqrt({along:.3f}² + {out:.3f}²), {layout.square.says}. Equal diagonals "
            "prove a rectangle only when opposite sides are equal too.",
        ),
        SetOut(
            "corner_check",
            "Corner check",
            legs[2],
            "m",
            f"Mark {metres(legs[0])} on the shorter side and {metres(legs[1])} on the "
            f"longer; across them {metres(legs[2])} is square (3-4-5).",
        ),
        *_levels(layout),
    )


def _levels(layout: Layout) -> tuple[SetOut, ...]:
    floor = "the deck" if layout.deck else "the floor at the house, near end"
    beam = min(b.member.start.z_m for b in layout.beams)
    found = [
        SetOut(
            "beam_level",
            "Underside of the lowest beam",
            beam,
            "m",
            f"Above {floor}. Beams are level; posts take up the fall of the floor.",
        )
    ]
    if layout.house_z_m is not None:
        found.append(
            SetOut(
                "house_level",
                "Underside of the sheets at the house",
                layout.house_z_m,
                "m",
                f"Above {floor}.",
            )
        )
    if layout.ridges:
        ridge = layout.ridges[0].start.z_m
        found.append(
            SetOut(
                "ridge_level",
                "Underside of the sheets at the ridge",
                ridge,
                "m",
                f"Above {floor}; {millimetres(ridge - beam)} above the lowest beam.",
            )
        )
    return tuple(found)
