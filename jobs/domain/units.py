"""Units of rules and facts, and exact conversion between them.

A rule keeps the unit its publisher printed: six feet is not 1.8 m. To compare, the fact
is converted into the rule's unit in decimal arithmetic, so 1.8288 m is exactly 6 ft.
"""

from collections.abc import Mapping
from decimal import Decimal

# Size of each unit in its base unit. The inch and the pound have been defined in terms
# of the metre and the kilogram since 1959, so these are exact.
_SIZES: Mapping[str, tuple[str, Decimal]] = {
    "m": ("length", Decimal(1)),
    "mm": ("length", Decimal("0.001")),
    "km": ("length", Decimal(1000)),
    "in": ("length", Decimal("0.0254")),
    "ft": ("length", Decimal("0.3048")),
    "kg": ("mass", Decimal(1)),
    "lb": ("mass", Decimal("0.45359237")),
    "min": ("time", Decimal(1)),
    "h": ("time", Decimal(60)),
    "mg/m3": ("concentration", Decimal(1)),
    "ug/m3": ("concentration", Decimal("0.001")),
}

PLAIN_UNITS = frozenset(
    {"day", "working day", "week", "month", "year", "%", "deg", "dB(A)", "dB(C)"}
    | {"m/s", "m/s2", "m2", "V", "kV", "mA", "N", "kN", "each", "person-day", "degC"}
    | {"ratio", "person", "calendar year", "lb force", "AUD", "index", "J", "points"}
)
UNSPOKEN_UNITS = frozenset({"ratio", "calendar year", "index"})  # the words say it
UNITS = frozenset(_SIZES) | PLAIN_UNITS
_COUNTED = frozenset(
    {"day", "working day", "week", "month", "year", "person", "person-day"}
)
_WRITTEN: Mapping[str, str] = {
    "m2": "m²",
    "m3": "m³",
    "m/s2": "m/s²",
    "mg/m3": "mg/m³",
    "ug/m3": "µg/m³",
}


def spoken(value: float, unit: str) -> str:
    """The unit as it is said after a number: "days", "m²", or nothing at all."""
    if unit in UNSPOKEN_UNITS:
        return ""
    if unit in _COUNTED and value != 1:
        return f"{unit}s"
    return _WRITTEN.get(unit, unit)


def convert(value: float, unit: str, into: str) -> Decimal:
    """``value`` of ``unit`` in the unit ``into``, exactly.

    ValueError when the two do not measure the same thing.
    """
    exact = Decimal(str(value))
    if unit == into:
        return exact
    if unit not in _SIZES or into not in _SIZES:
        raise ValueError(f"{unit} cannot be turned into {into}.")
    kind, size = _SIZES[unit]
    wanted, wanted_size = _SIZES[into]
    if kind != wanted:
        raise ValueError(f"{unit} is a {kind}, {into} is a {wanted}.")
    return exact * size / wanted_size
