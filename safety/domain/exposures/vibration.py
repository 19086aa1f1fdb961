"""Hand-arm vibration: daily exposure A(8) and exposure points.

Magnitudes are the three axes together (a_hv), in m/s2; times are trigger minutes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

from safety.domain.exposures.ranges import within

DAY_MINUTES = 480.0
MINUTES_HIGHEST = 1440.0
MAGNITUDE_HIGHEST_MS2 = 50.0
ACTION_VALUE_MS2 = 2.5  # Directive 2002/44/EC, read; Australia sets no limit in law
LIMIT_VALUE_MS2 = 5.0
LIMIT_POINTS = 400.0


@dataclass(frozen=True, slots=True)
class Grip:
    """Some trigger minutes on one tool."""

    magnitude_ms2: float
    minutes: float


def a8(grips: Iterable[Grip]) -> float:
    """Daily exposure A(8) in m/s2: sqrt( sum(a_i^2 t_i) / 8 h ).

    Source: ISO 5349-1, as in Directive 2002/44/EC. Range: 0 to 50 m/s2, together no
    more than 24 hours.
    """
    return sqrt(
        sum(g.magnitude_ms2**2 * g.minutes for g in _checked(grips)) / DAY_MINUTES
    )


def points(grips: Iterable[Grip]) -> float:
    """Exposure points: 2 a^2 T(h) for each tool, added. 100 is the action value.

    Source: HSE hand-arm vibration ready reckoner (read). Range as for ``a8``.
    """
    return sum(2 * g.magnitude_ms2**2 * g.minutes / 60 for g in _checked(grips))


def a8_of_points(total: float) -> float:
    """A(8) in m/s2 of a number of points: 5 sqrt(points / 400)."""
    within("Exposure points", total, 0, 1e6)
    return LIMIT_VALUE_MS2 * sqrt(total / LIMIT_POINTS)


def minutes_to(a8_ms2: float, magnitude_ms2: float) -> float:
    """Trigger minutes at one magnitude until A(8) reaches a value.

    T = 8 h (A(8) / a)^2. Range: magnitude above 0, to 50 m/s2. May exceed a day.
    """
    within("Vibration magnitude in m/s2", magnitude_ms2, 0.01, MAGNITUDE_HIGHEST_MS2)
    return DAY_MINUTES * (a8_ms2 / magnitude_ms2) ** 2


def _checked(grips: Iterable[Grip]) -> tuple[Grip, ...]:
    found = tuple(grips)
    for grip in found:
        magnitude = grip.magnitude_ms2
        within("Vibration magnitude in m/s2", magnitude, 0, MAGNITUDE_HIGHEST_MS2)
        within("Trigger minutes", grip.minutes, 0, MINUTES_HIGHEST)
    total = sum(grip.minutes for grip in found)
    within("Trigger minutes in a day", total, 0, MINUTES_HIGHEST)
    return found


def busiest_day(
    grips: Iterable[Grip], minutes: float = DAY_MINUTES
) -> tuple[Grip, ...]:
    """The strongest grips that fit in one person's day, strongest first."""
    left = minutes
    chosen: list[Grip] = []
    for grip in sorted(grips, key=lambda g: -g.magnitude_ms2):
        share = min(left, grip.minutes)
        if share > 0:
            chosen.append(Grip(grip.magnitude_ms2, share))
            left -= share
    return tuple(chosen)
