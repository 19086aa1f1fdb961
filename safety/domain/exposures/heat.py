"""Heat: heat index of the air, and wet bulb globe temperature against work-rest limits.

No Australian law names a temperature at which work stops; a limit is the firm's decision.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log10, sqrt

from safety.domain.exposures.ranges import within

SIMPLE_BELOW_F = 80.0  # the full regression is only used from here on


def heat_index_c(air_degc: float, humidity_pct: float) -> float:
    """Heat index in degrees Celsius of shade temperature and relative humidity.

    Source: US National Weather Service, Weather Prediction Center, heat index equation
    (read), with its adjustments. Range: air 20 to 50 degC, humidity 0 to 100 %.
    """
    within("Air temperature in degC", air_degc, 20, 50)
    return (heat_index_f(air_degc * 9 / 5 + 32, humidity_pct) - 32) * 5 / 9


def heat_index_f(air_f: float, humidity_pct: float, *, adjusted: bool = True) -> float:
    """Heat index in degrees Fahrenheit, the unit the equation was fitted in.

    The simple formula first; where its mean with the air reaches 80 F the regression of
    Rothfusz. ``adjusted`` adds the official corrections for very dry and very damp air;
    the printed chart leaves them out. Range: air 68 to 122 F, humidity 0 to 100 %.
    """
    within("Air temperature in degF", air_f, 68, 122)
    within("Relative humidity in percent", humidity_pct, 0, 100)
    simple = 0.5 * (air_f + 61.0 + (air_f - 68.0) * 1.2 + humidity_pct * 0.094)
    if (simple + air_f) / 2 < SIMPLE_BELOW_F:
        return simple
    full = rothfusz_f(air_f, humidity_pct)
    return full + _adjustment(air_f, humidity_pct) if adjusted else full


def rothfusz_f(air_f: float, humidity_pct: float) -> float:
    """The regression alone, without range check; use ``heat_index_f``."""
    t, r = air_f, humidity_pct
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )


def _adjustment(air_f: float, humidity_pct: float) -> float:
    if humidity_pct < 13 and 80 <= air_f <= 112:
        return -((13 - humidity_pct) / 4) * sqrt((17 - abs(air_f - 95)) / 17)
    if humidity_pct > 85 and 80 <= air_f <= 87:
        return ((humidity_pct - 85) / 10) * ((87 - air_f) / 5)
    return 0.0


class HeatBand(StrEnum):
    """How dangerous a heat index is, as the US National Weather Service groups it."""

    NONE = "no heat warning"
    CAUTION = "caution"
    EXTREME_CAUTION = "extreme caution"
    DANGER = "danger"
    EXTREME_DANGER = "extreme danger"


# Lower ends in degrees Fahrenheit (remembered)
_BANDS_FROM_F = (
    (125.0, HeatBand.EXTREME_DANGER),
    (103.0, HeatBand.DANGER),
    (90.0, HeatBand.EXTREME_CAUTION),
    (80.0, HeatBand.CAUTION),
)


def heat_band(index_degc: float) -> HeatBand:
    """Band of a heat index in degC, for the shade; full sun may add 8 degC (15 F).

    Source: US National Weather Service heat index chart (remembered). Compared in whole
    degrees Fahrenheit, as the chart is printed.
    """
    index_f = round(index_degc * 9 / 5 + 32)
    found = (band for start, band in _BANDS_FROM_F if index_f >= start)
    return next(found, HeatBand.NONE)


def wbgt_outdoors_degc(wet_bulb: float, globe: float, air: float) -> float:
    """Wet bulb globe temperature in the sun: 0.7 Tnwb + 0.2 Tg + 0.1 Tdb, in degC.

    ISO 7243 (remembered). Range: each reading 0 to 80 degC.
    """
    for name, value in (("Wet bulb", wet_bulb), ("Globe", globe), ("Air", air)):
        within(f"{name} temperature in degC", value, 0, 80)
    return 0.7 * wet_bulb + 0.2 * globe + 0.1 * air


ESTIMATE_FROM_DEGC, ESTIMATE_TO_DEGC = 15.0, 50.0
# Saturated air of 35 degC. No weather holds more (remembered: the highest dew point on
# record is 35 degC), so more is a morning's humidity typed beside an afternoon's heat.
MOST_VAPOUR_HPA = 56.3


def vapour_pressure_hpa(air_degc: float, humidity_pct: float) -> float:
    """Water vapour in the air, in hPa: rh/100 x 6.105 x exp(17.27 T / (237.7 + T)).

    Source: Australian Bureau of Meteorology, thermal comfort observations (read in
    secondary copies of https://www.bom.gov.au/info/thermal_stress/). Range: air -30 to
    60 degC, humidity 0 to 100 %.
    """
    within("Air temperature in degC", air_degc, -30, 60)
    within("Relative humidity in percent", humidity_pct, 0, 100)
    return humidity_pct / 100 * 6.105 * exp(17.27 * air_degc / (237.7 + air_degc))


def wbgt_estimate_degc(air_degc: float, humidity_pct: float) -> float:
    """Outdoor WBGT in degC estimated where no meter is: 0.567 T + 0.393 e + 3.94.

    Holds for moderately strong sun and light wind. Too high under cloud, in wind and at
    night, which is the safe side; not meant for shade. Where it is not sunny, or a roof
    or wall throws heat back, measure. Source: Australian Bureau of Meteorology, about the
    approximation to the WBGT (read in secondary copies of
    https://www.bom.gov.au/info/thermal_stress/). Range: air 15 to 50 degC, humidity 0 to
    100 %, no more vapour than 56.3 hPa; the ends are ours, the source gives none.
    """
    within("Air temperature in degC", air_degc, ESTIMATE_FROM_DEGC, ESTIMATE_TO_DEGC)
    vapour = vapour_pressure_hpa(air_degc, humidity_pct)
    within("Water vapour in hPa", vapour, 0, MOST_VAPOUR_HPA)
    return 0.567 * air_degc + 0.393 * vapour + 3.94


class Clothing(StrEnum):
    """What people wear, as ACGIH groups it."""

    WORK = "ordinary work clothes"
    DOUBLE = "two layers of woven cloth"
    SEALED = "coveralls that let no vapour through"


# ACGIH TLV clothing adjustment factors, added to the WBGT, in degC (remembered).
CLOTHING_ADDS_DEGC: Mapping[Clothing, float] = {
    Clothing.WORK: 0.0,
    Clothing.DOUBLE: 3.0,
    Clothing.SEALED: 11.0,
}
HIGHEST_WBGT_DEGC = 60.0


class Load(StrEnum):
    """How hard the work is, as ACGIH groups it."""

    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"
    VERY_HEAVY = "very heavy"


@dataclass(frozen=True, slots=True)
class WorkRest:
    """A share of each hour that may be worked: from ``least`` to ``most`` percent."""

    least_pct: int
    most_pct: int

    @property
    def work_minutes(self) -> int:
        """The most that may be worked of each hour."""
        return self.most_pct * 60 // 100

    @property
    def rest_minutes(self) -> int:
        """The least that is rested in each hour."""
        return 60 - self.work_minutes


# ACGIH TLV screening values in degC (remembered): for people used to heat, then for those
# who are not. A missing load has no value: measure, or do not work.
_SHARES = (WorkRest(75, 100), WorkRest(50, 75), WorkRest(25, 50), WorkRest(0, 25))
_USED: Mapping[Load, tuple[float | None, ...]] = {
    Load.LIGHT: (31.0, 31.0, 32.0, 32.5),
    Load.MODERATE: (28.0, 29.0, 30.0, 31.5),
    Load.HEAVY: (None, 27.5, 29.0, 30.5),
    Load.VERY_HEAVY: (None, None, 28.0, 30.0),
}
_NEW: Mapping[Load, tuple[float | None, ...]] = {
    Load.LIGHT: (28.0, 28.5, 29.5, 30.0),
    Load.MODERATE: (25.0, 26.0, 27.0, 29.0),
    Load.HEAVY: (None, 24.0, 25.5, 28.0),
    Load.VERY_HEAVY: (None, None, 24.5, 27.0),
}


def work_rest(wbgt_degc: float, load: Load, *, used_to_heat: bool) -> WorkRest | None:
    """The largest share of an hour that may be worked, None when work stops.

    Source: ACGIH TLV heat stress screening values (remembered). Range: 0 to 60 degC.
    """
    within("Wet bulb globe temperature in degC", wbgt_degc, 0, HIGHEST_WBGT_DEGC)
    limits = (_USED if used_to_heat else _NEW)[load]
    for share, limit in zip(_SHARES, limits, strict=True):
        if limit is not None and wbgt_degc <= limit:
            return share
    return None


def first_limit_degc(load: Load, *, used_to_heat: bool) -> float:
    """The lowest WBGT limit that the table has for the load, in degC.

    Up to it the table asks for the least rest that it knows for that load: none for light
    and moderate work. Source: as ``work_rest``.
    """
    limits = (_USED if used_to_heat else _NEW)[load]
    return next(limit for limit in limits if limit is not None)


def last_limit_degc(load: Load, *, used_to_heat: bool) -> float:
    """The WBGT in degC above which the table leaves no work. Source: as ``work_rest``."""
    last = (_USED if used_to_heat else _NEW)[load][-1]
    assert last is not None  # every load has one
    return last


_RESTS = ("a quarter", "half", "three quarters")  # of each hour, at least


def rest_in_words(load: Load, *, used_to_heat: bool) -> str:
    """How much of each hour is rested above which wet bulb globe temperature, in degC.

    Says what ``work_rest`` decides, with its source: "rest a quarter of each hour above
    28 °C, half above 29 °C, three quarters above 30 °C, stop above 31.5 °C".
    """
    limits = (_USED if used_to_heat else _NEW)[load]
    missing = limits.count(None)
    pairs = [(_RESTS[missing - 1], "at any heat")] if missing else []
    pairs += [
        (rest, f"above {limit:g} °C")
        for rest, limit in zip(_RESTS, limits, strict=False)
        if limit is not None
    ]
    (rest, when), *more = pairs
    said = [f"rest {rest} of each hour {when}", *(f"{r} {w}" for r, w in more)]
    return ", ".join([*said, f"stop above {limits[-1]:g} °C"])


def niosh_limit_degc(metabolic_w: float, *, used_to_heat: bool) -> float:
    """One-hour WBGT limit in degC for a metabolic rate in watts.

    NIOSH 2016-106: REL = 56.7 - 11.5 log10 M for people used to heat, RAL = 59.9 - 14.1
    log10 M for others (remembered). Range: 115 to 600 W.
    """
    within("Metabolic rate in W", metabolic_w, 115, 600)
    if used_to_heat:
        return 56.7 - 11.5 * log10(metabolic_w)
    return 59.9 - 14.1 * log10(metabolic_w)
