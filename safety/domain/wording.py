"""Facts and numbers as people write them."""

from collections.abc import Sequence

from jobs.domain.facts import Fact
from jobs.domain.packs import Edge
from jobs.domain.units import spoken

KMH_PER_MS = 3.6  # exact: 1 km/h is 1000 m in 3600 s
_MOST_DECIMALS = 2
_HOURS_FROM_MINUTES = 120
_DECIMALS = {"dB(A)": 1, "m/s2": 1, "m/s": 1, "%": 1, "deg": 1, "kg": 1}
_DECIMALS |= {"mm": 0, "min": 0, "N": 0, "each": 0, "points": 0}
_SEPARATED_FROM = 10_000  # a year has no comma
_PRINTED = {"each": ""}
_PRINTED |= {
    "min": "minutes",
    "deg": "degrees",
    "degC": "°C",
}


def shown(value: Fact | frozenset[str], unit: str = "") -> str:
    """A fact in words: "2.7 m", "fibre cement", "yes", "not known"."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value.replace("_", " ")
    if isinstance(value, frozenset):
        return listed(sorted(word.replace("_", " ") for word in value), "or")
    return shown_number(value, unit)


def shown_number(value: float, unit: str = "") -> str:
    """A number with its unit, no more decimals than anybody measures on site."""
    if unit == "min" and value >= _HOURS_FROM_MINUTES:
        return shown_number(_rounded_hours(value / 60), "hours")
    if unit == "min" and value >= 10:
        value = 5 * round(value / 5)  # nobody plans a grinder to the minute
    if unit == "kg" and value >= 100:
        value = round(value)
    separator = "," if value >= _SEPARATED_FROM else ""
    number = f"{value:{separator}.{_DECIMALS.get(unit, _MOST_DECIMALS)}f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {_PRINTED.get(unit, spoken(value, unit))}".strip()


def _rounded_hours(hours: float) -> float:
    return float(round(hours)) if hours >= 10 else round(2 * hours) / 2


def wind_words(speed_ms: float) -> str:
    """A wind speed in both units: limits are kept in one, forecasts read out in the other."""
    return f"{speed_ms:.1f} m/s ({speed_ms * KMH_PER_MS:.0f} km/h)"


def some_quoted(names: Sequence[str], most: int = 3) -> str:
    """Names in quotes, and how many more there are: "“a”, “b”, “c” and 4 more"."""
    shown = [f"“{name}”" for name in names[:most]]
    more = len(names) - len(shown)
    return listed([*shown, f"{more} more"] if more else shown)


def names_apart(names: Sequence[str]) -> str:
    """Names in a sentence; several in quotes, since a name may have commas of its own."""
    return names[0] if len(names) == 1 else some_quoted(names, most=len(names))


def listed(words: list[str], last: str = "and") -> str:
    """Words as a list in a sentence: "a, b and c"; "nothing" when there are none."""
    if not words:
        return "nothing"
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def opposite_edge(edge: Edge) -> Edge:
    """The edge of everything on the other side."""
    return {
        Edge.MORE_THAN: Edge.AT_MOST,
        Edge.AT_MOST: Edge.MORE_THAN,
        Edge.AT_LEAST: Edge.LESS_THAN,
        Edge.LESS_THAN: Edge.AT_LEAST,
    }[edge]
