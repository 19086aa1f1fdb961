"""What the weather of a day means for the people in it, in words."""

from safety.domain.exposures.heat import heat_band, heat_index_c
from safety.domain.exposures.ranges import OutOfRange
from safety.domain.exposures.uv import band, needs_protection, rounded


def heat_words(air_degc: float | None, humidity_pct: float | None) -> str:
    """How hot it feels in the shade; empty where a figure is missing or out of range."""
    if air_degc is None or humidity_pct is None:
        return ""
    try:
        index = heat_index_c(air_degc, humidity_pct)
    except OutOfRange:  # colder than the formula knows, or hotter
        return ""
    return f"Feels like {index:.0f} °C in the shade ({heat_band(index)}), hotter in the sun"


def sun_words(uv_index: float | None) -> str:
    """The UV index with its band, and whether to cover up; empty when not read."""
    if uv_index is None:
        return ""
    cover = ": cover skin and eyes" if needs_protection(uv_index) else ""
    return f"UV index {rounded(uv_index)}, {band(uv_index)}{cover}"
