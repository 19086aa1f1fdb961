"""Wind: the push on a sheet held across it, and the Beaufort scale.

No law gives a wind limit for handling sheets; any limit is the firm's decision.
"""

from bisect import bisect_right

from safety.domain.exposures.ranges import within

AIR_DENSITY_KGM3 = 1.2  # AS/NZS 1170.2
SPEED_HIGHEST_MS = 60.0

# Lower end of each Beaufort force in m/s, as national weather services print it (read in
# a secondary copy of a bureau's table; force 12 begins at 32.7).
BEAUFORT_FROM_MS = (
    *(0.0, 0.3, 1.6, 3.4, 5.5, 8.0, 10.8),
    *(13.9, 17.2, 20.8, 24.5, 28.5, 32.7),
)
BEAUFORT_NAMES = (
    *("calm", "light air", "light breeze", "gentle breeze", "moderate breeze"),
    *("fresh breeze", "strong breeze", "near gale", "gale", "strong gale"),
    *("storm", "violent storm", "hurricane"),
)


def pressure_pa(speed_ms: float) -> float:
    """Dynamic pressure q = 0.5 x 1.2 x v^2, in Pa. Range: 0 to 60 m/s."""
    within("Wind speed in m/s", speed_ms, 0, SPEED_HIGHEST_MS)
    return 0.5 * AIR_DENSITY_KGM3 * speed_ms**2


def sheet_force_n(speed_ms: float, length_m: float, width_m: float) -> float:
    """Push of the wind on a sheet held square to it, in newtons: q x area.

    The drag coefficient of a flat plate is taken as 1.

    For the hands of the people who carry it, not for design. Range: 0 to 60 m/s, a
    sheet up to 15 by 2 m.
    """
    within("Length of the sheet in m", length_m, 0, 15)
    within("Width of the sheet in m", width_m, 0, 2)
    return pressure_pa(speed_ms) * length_m * width_m


def beaufort(speed_ms: float) -> int:
    """Beaufort force 0 to 12 of a mean wind speed, read to a tenth of m/s.

    Range: 0 to 60 m/s.
    """
    within("Wind speed in m/s", speed_ms, 0, SPEED_HIGHEST_MS)
    return bisect_right(BEAUFORT_FROM_MS, round(speed_ms, 1)) - 1
