"""The UV index and its bands."""

from enum import StrEnum

from safety.domain.exposures.ranges import within

HIGHEST_INDEX = 25.0
PROTECT_FROM = 3  # whole number of the index


class UvBand(StrEnum):
    """Bands of WHO and WMO."""

    LOW = "low"
    MODERATE = "moderate"
    HIGH = "high"
    VERY_HIGH = "very high"
    EXTREME = "extreme"


_FROM = (
    (11, UvBand.EXTREME),
    (8, UvBand.VERY_HIGH),
    (6, UvBand.HIGH),
    (3, UvBand.MODERATE),
    (0, UvBand.LOW),
)


def rounded(index: float) -> int:
    """The index as it is told: the nearest whole number, halves up."""
    return int(within("UV index", index, 0, HIGHEST_INDEX) + 0.5)


def band(index: float) -> UvBand:
    """Band of a UV index, rounded first. Range: 0 to 25.

    Source: WHO and WMO bands as the Canadian government prints them (read).
    """
    whole = rounded(index)
    return next(name for start, name in _FROM if whole >= start)


def needs_protection(index: float) -> bool:
    """Whether skin and eyes are to be protected: from 3, after rounding."""
    return rounded(index) >= PROTECT_FROM
