"""When heat stops work: the firm's choice."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import FigureField, PlainForm, panel_helper
from safety.domain.exposures.heat import CLOTHING_ADDS_DEGC, Clothing
from safety.domain.heat_limit import HeatLimit, HeatRule

_RULES = [
    (HeatRule.NONE.value, "We set no limit; the site lead decides on the day"),
    (HeatRule.AIR.value, "Stop above an air temperature"),
    (
        HeatRule.INDEX.value,
        "Stop above a heat index: temperature and humidity in shade",
    ),
    (HeatRule.WBGT.value, "Stop above a WBGT: temperature, humidity, sun and wind"),
    (
        HeatRule.FIRST_REST.value,
        "Stop above the lowest WBGT of the work-rest table for the work: 28 °C for "
        "moderate work",
    ),
    (
        HeatRule.NO_WORK.value,
        "Rest by the work-rest table, and stop where it leaves no work: above 31.5 °C "
        "WBGT for moderate work",
    ),
]


def _clothing() -> list[tuple[str, str]]:
    return [
        (c.name.lower(), f"{c.capitalize()}{_adds(CLOTHING_ADDS_DEGC[c])}")
        for c in Clothing
    ]


def _adds(degrees: float) -> str:
    return f": {degrees:g} °C are added" if degrees else ""


class HeatLimitForm(PlainForm):
    """One rule, its number, and what people wear."""

    rule = forms.ChoiceField(
        label="When does work stop?", choices=_RULES, widget=forms.RadioSelect
    )
    limit_degc = FigureField(
        label="Above how many °C",
        required=False,
        help_text="With the air, the heat index or the WBGT. No law gives a number.",
    )
    clothing = forms.ChoiceField(
        label="What people wear",
        choices=_clothing,
        required=False,
        help_text="With the work-rest table.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, shown: HeatLimit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("limit_degc", "clothing"):
            self.fields[name].sometimes_needed = True  # type: ignore[attr-defined]
        self.initial = {
            "rule": shown.rule.value,
            "limit_degc": shown.limit_degc,
            "clothing": shown.clothing.name.lower(),
            **self.initial,
        }

    def opened_version(self) -> int:
        """The version of the firm's settings that the person saw."""
        version: int = self.cleaned_data["version"]
        return version

    def limit(self) -> HeatLimit:
        """What was chosen; a number or clothing that the rule does not take is left."""
        typed = self.cleaned_data
        rule = HeatRule(typed["rule"])
        return HeatLimit(
            rule=rule,
            limit_degc=typed["limit_degc"] if rule.has_number else None,
            clothing=Clothing[(typed["clothing"] or "work").upper()],
        )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("rule", "limit_degc", "clothing", save="Keep this limit")
