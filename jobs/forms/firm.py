"""The firm's settings."""

from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms

from jobs.forms.accounts import pack_choices, zone_choices
from jobs.forms.fields import EditForm, panel_helper
from jobs.models import Firm


class FirmForm(EditForm):
    """The firm's name, place and working day."""

    pack = forms.ChoiceField(
        label="Where the firm works",
        choices=pack_choices,
        help_text="New sites start with this place's law. Sites that are there keep theirs.",
    )
    time_zone = forms.ChoiceField(
        label="Clock of the firm",
        choices=zone_choices,
        help_text="Every time on every page is shown by it.",
    )

    class Meta:
        model = Firm
        fields = (
            "name",
            "phone",
            "address",
            "pack",
            "time_zone",
            "starts_at",
            "midday_at",
            "ends_at",
            "works_saturday",
        )
        labels: ClassVar[dict[str, str]] = {"works_saturday": "We work on Saturdays"}
        widgets: ClassVar[dict[str, Any]] = {
            name: forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
            for name in ("starts_at", "midday_at", "ends_at")
        }

    def clean(self) -> dict[str, Any]:
        """The day runs from morning to evening."""
        cleaned = super().clean() or self.cleaned_data
        times = [cleaned.get(name) for name in ("starts_at", "midday_at", "ends_at")]
        if all(times) and not times[0] < times[1] < times[2]:  # type: ignore[operator]
            self.add_error(
                "midday_at",
                "The afternoon must start after the morning and before the end.",
            )
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """Who, where, when."""
        return panel_helper(
            Fieldset("The firm", "name", "phone", "address"),
            Fieldset("Place", "pack", "time_zone"),
            Fieldset(
                "The working day",
                Row("starts_at", "midday_at", "ends_at"),
                "works_saturday",
            ),
            save="Save the settings",
        )
