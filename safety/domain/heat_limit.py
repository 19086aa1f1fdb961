"""When heat stops work: the firm's limit, and the heat of a day held against it.

No law that this system knows names a temperature at which work stops, so a limit is the
firm's decision, and there is none until somebody sets it. What is measured on site always
takes the place of what is estimated, and an estimate is called one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from safety.domain.exposures.heat import (
    CLOTHING_ADDS_DEGC,
    ESTIMATE_FROM_DEGC,
    HIGHEST_WBGT_DEGC,
    Clothing,
    Load,
    first_limit_degc,
    heat_index_c,
    last_limit_degc,
    wbgt_estimate_degc,
    work_rest,
)
from safety.domain.exposures.ranges import OutOfRange

HEAT_INDEX_FROM_DEGC = 20.0  # of the air; the formula knows nothing colder


class HeatRule(StrEnum):
    """What the firm holds the heat of a day against."""

    NONE = "none"
    AIR = "air"
    INDEX = "index"
    WBGT = "wbgt"
    FIRST_REST = "first_rest"  # above the lowest limit of the work-rest table
    NO_WORK = "no_work"  # where the work-rest table leaves no work

    @property
    def has_number(self) -> bool:
        """Whether the firm sets a number with it."""
        return self in TYPED_DEGC


# Where a typed limit may lie, in degC: outside it is a slip, or below what is worked out.
TYPED_DEGC: Mapping[HeatRule, tuple[float, float]] = {
    HeatRule.AIR: (25.0, 50.0),
    HeatRule.INDEX: (30.0, 60.0),
    HeatRule.WBGT: (20.0, 40.0),
}
_MEASURES = {
    HeatRule.AIR: "the air",
    HeatRule.INDEX: "the heat index in the shade",
    HeatRule.WBGT: "the wet bulb globe temperature (WBGT)",
}
_SITE_LOADS = (Load.MODERATE, Load.HEAVY)  # what the steps of this trade are judged as


@dataclass(frozen=True, slots=True)
class HeatDay:
    """What was read of the heat of a day; None where nothing was read.

    ``air_degc`` and ``humidity_pct`` are of the hottest hour, ``measured_degc`` is a WBGT
    that somebody measured in the sun where people work.
    """

    air_degc: float | None = None
    humidity_pct: float | None = None
    measured_degc: float | None = None
    new_to_heat: bool = False

    @property
    def is_read(self) -> bool:
        """Whether there is a figure that a limit can be held against."""
        return self.air_degc is not None or self.measured_degc is not None

    @property
    def is_measured(self) -> bool:
        """Whether the WBGT was measured on site."""
        return self.measured_degc is not None

    @property
    def wbgt_degc(self) -> float | None:
        """The WBGT measured, else estimated; None when not known or too cool to matter.

        Raises OutOfRange where it cannot be estimated.
        """
        if self.measured_degc is not None:
            return self.measured_degc
        if self.air_degc is None or self.air_degc < ESTIMATE_FROM_DEGC:
            return None
        if self.humidity_pct is None:
            return None
        return wbgt_estimate_degc(self.air_degc, self.humidity_pct)

    @property
    def index_degc(self) -> float | None:
        """The heat index; None when not known or too cool. Raises OutOfRange above 50."""
        if self.air_degc is None or self.air_degc < HEAT_INDEX_FROM_DEGC:
            return None
        if self.humidity_pct is None:
            return None
        return heat_index_c(self.air_degc, self.humidity_pct)

    def as_json(self) -> dict[str, float | bool]:
        """What was read, as plain data."""
        read = {
            "temperature_c": self.air_degc,
            "humidity_pct": self.humidity_pct,
            "wbgt_degc": self.measured_degc,
            "new_to_heat": self.new_to_heat or None,
        }
        return {name: value for name, value in read.items() if value is not None}

    @property
    def wbgt_words(self) -> str:
        """The WBGT and whether somebody measured it; empty when it is not known."""
        try:
            found = self.wbgt_degc
        except OutOfRange:
            return ""
        if found is None:
            return ""
        how = (
            "measured" if self.measured_degc is not None else "estimated, not measured"
        )
        return f"{found:.1f} °C, {how}"


@dataclass(frozen=True, slots=True)
class HeatLimit:
    """The firm's limit. ``limit_degc`` is there when the rule takes a number."""

    rule: HeatRule = HeatRule.NONE
    limit_degc: float | None = None
    clothing: Clothing = Clothing.WORK

    @property
    def is_set(self) -> bool:
        """Whether the firm has set one."""
        return self.rule is not HeatRule.NONE

    @property
    def uses_table(self) -> bool:
        """Whether it depends on how hard the work is."""
        return self.rule in {HeatRule.FIRST_REST, HeatRule.NO_WORK}

    @property
    def says(self) -> str:
        """The limit, to go on with "work stops when ...": empty while there is none."""
        if not self.is_set:
            return ""
        if not self.uses_table:
            return f"{_MEASURES[self.rule]} is above {self.limit_degc:g} °C"
        used = self._table_words(used_to_heat=True)
        new = self._table_words(used_to_heat=False)
        return (
            f"{_MEASURES[HeatRule.WBGT]}{self._with_clothing()} is above {used}; "
            f"with somebody new to the heat, above {new}"
        )

    def _with_clothing(self) -> str:
        adds = CLOTHING_ADDS_DEGC[self.clothing]
        return f", {adds:g} °C added for {self.clothing}," if adds else ""

    def _table_words(self, *, used_to_heat: bool) -> str:
        limits = (
            (load, self.table_limit_degc(load, used_to_heat=used_to_heat))
            for load in _SITE_LOADS
        )
        return " and ".join(f"{limit:g} °C for {load} work" for load, limit in limits)

    def table_limit_degc(self, load: Load, *, used_to_heat: bool) -> float:
        """Above which WBGT, with what clothing adds, work of that load stops, in degC."""
        if self.rule is HeatRule.NO_WORK:
            return last_limit_degc(load, used_to_heat=used_to_heat)
        return first_limit_degc(load, used_to_heat=used_to_heat)

    def as_json(self) -> dict[str, Any]:
        """Plain data, nothing while there is no limit. ``heat_limit`` turns it back."""
        if not self.is_set:
            return {}
        plain: dict[str, Any] = {"rule": str(self.rule)}
        if self.rule.has_number:
            plain["limit_degc"] = self.limit_degc
        if self.uses_table:
            plain["clothing"] = self.clothing.name.lower()
        return plain


NO_LIMIT = HeatLimit()


def heat_limit(plain: Mapping[str, Any]) -> HeatLimit:
    """The limit again from plain data."""
    if not plain:
        return NO_LIMIT
    return HeatLimit(
        rule=HeatRule(plain["rule"]),
        limit_degc=plain.get("limit_degc"),
        clothing=Clothing[plain.get("clothing", "work").upper()],
    )


def limit_faults(limit: HeatLimit) -> list[str]:
    """Why a limit cannot be kept, empty when it can."""
    if not limit.rule.has_number:
        return []
    lowest, highest = TYPED_DEGC[limit.rule]
    if limit.limit_degc is None:
        return ["Type the temperature above which work stops. There is no usual one."]
    if not lowest <= limit.limit_degc <= highest:
        return [
            f"{limit.limit_degc:g} °C cannot be right for this. Type one from "
            f"{lowest:g} to {highest:g} °C."
        ]
    return []


def not_known(limit: HeatLimit, day: HeatDay) -> list[str]:
    """What must still be read before the limit can be held against the day.

    Empty when nothing is missing; on a cool day humidity is not asked for.
    """
    if not limit.is_set or (day.measured_degc is not None and _takes_wbgt(limit)):
        return []
    if day.air_degc is None:
        return [
            "The firm has a heat limit. Type today's highest temperature"
            f"{_and_humidity(limit)}."
        ]
    if limit.rule is HeatRule.AIR:
        return []
    index = limit.rule is HeatRule.INDEX
    from_degc = HEAT_INDEX_FROM_DEGC if index else ESTIMATE_FROM_DEGC
    if day.humidity_pct is None and day.air_degc >= from_degc:
        return [
            f"The firm has a heat limit. Type the humidity at {day.air_degc:g} °C"
            f"{'' if index else ', or measure the WBGT'}."
        ]
    return _out_of_range(limit, day)


def _takes_wbgt(limit: HeatLimit) -> bool:
    return limit.rule is HeatRule.WBGT or limit.uses_table


def _and_humidity(limit: HeatLimit) -> str:
    if limit.rule is HeatRule.AIR:
        return ""
    if limit.rule is HeatRule.INDEX:
        return " and the humidity at that hour"
    return " and the humidity at that hour, or the WBGT where you measured it"


def _out_of_range(limit: HeatLimit, day: HeatDay) -> list[str]:
    index = limit.rule is HeatRule.INDEX
    try:
        _ = day.index_degc if index else day.wbgt_degc
    except OutOfRange:
        what = "heat index" if index else "WBGT"
        instead = "choose no go" if index else "measure the WBGT, or choose no go"
        return [
            f"No {what} can be worked out for {day.air_degc:g} °C and "
            f"{day.humidity_pct:g} % humidity. Is the humidity that of the hottest hour, "
            f"and not of the morning? If both are right, {instead}."
        ]
    return []


def too_hot(limit: HeatLimit, day: HeatDay, load: Load) -> bool:
    """Whether work of that load stops that day.

    What was not read does not stop it: ``not_known`` asks for it first. Where the figures
    are hotter than the formulas know, it does.
    """
    try:
        return _too_hot(limit, day, load)
    except OutOfRange:
        return True


def _too_hot(limit: HeatLimit, day: HeatDay, load: Load) -> bool:
    if limit.uses_table:
        found = _adjusted(limit, day)
        stop = limit.table_limit_degc(load, used_to_heat=not day.new_to_heat)
        return found is not None and found > stop
    by_rule = {
        HeatRule.AIR: lambda: day.air_degc,
        HeatRule.INDEX: lambda: day.index_degc,
        HeatRule.WBGT: lambda: day.wbgt_degc,
    }
    value = by_rule[limit.rule]() if limit.rule in by_rule else None
    return None not in (value, limit.limit_degc) and value > limit.limit_degc  # type: ignore[operator]


def _adjusted(limit: HeatLimit, day: HeatDay) -> float | None:
    """The WBGT with what clothing adds, in degC."""
    found = day.wbgt_degc
    if found is None:
        return None
    return min(found + CLOTHING_ADDS_DEGC[limit.clothing], HIGHEST_WBGT_DEGC)


def read_words(limit: HeatLimit, day: HeatDay) -> str:
    """The figure of the day that the limit is held against: "WBGT of 31.2 °C, measured"."""
    try:
        index = day.index_degc
    except OutOfRange:
        index = None
    if limit.rule is HeatRule.AIR:
        return f"{day.air_degc:g} °C"
    if limit.rule is HeatRule.INDEX and index is not None:
        return f"A heat index of {index:.1f} °C"
    words = day.wbgt_words if _takes_wbgt(limit) else ""
    return f"A WBGT of {words}," if words else f"{day.air_degc:g} °C"


def rests_words(
    day: HeatDay,
    clothing: Clothing = Clothing.WORK,
    loads: tuple[Load, ...] = _SITE_LOADS,
) -> list[str]:
    """What the work-rest table asks of each hour, a sentence for each load.

    Empty when the WBGT is not known. Screening values of ACGIH (remembered), not law.
    """
    try:
        found = _adjusted(HeatLimit(clothing=clothing), day)
    except OutOfRange:
        return []
    if found is None:
        return []
    return [_rest_words(found, load, day.new_to_heat) for load in loads]


def _rest_words(wbgt_degc: float, load: Load, new_to_heat: bool) -> str:
    share = work_rest(wbgt_degc, load, used_to_heat=not new_to_heat)
    name = f"{load.capitalize()} work"
    if share is None:
        return f"{name}: none, by the work-rest table"
    if share.rest_minutes == 0:
        return f"{name}: no set rest"
    return (
        f"{name}: at most {share.work_minutes} minutes of each hour, "
        f"{share.rest_minutes} minutes of rest"
    )
