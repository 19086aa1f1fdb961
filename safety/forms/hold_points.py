"""Readings of a hold point, each beside what it should be."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.bootstrap import InlineRadios
from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import FigureField
from jobs.forms.phone import PhoneForm
from safety.domain.measuring import Expected, Reading
from safety.forms.on_site import kept_helper


class MeasureForm(PhoneForm):
    """Readings of a hold point, or a look."""

    looks_right = forms.ChoiceField(
        label="Is it so?",
        choices=[("yes", "Yes"), ("no", "No")],
        widget=forms.RadioSelect,
        error_messages={"required": "Say yes or no."},
    )
    note = forms.CharField(label="Note", required=False, max_length=240)

    def __init__(
        self,
        *args: Any,
        readings: Sequence[Reading],
        looks: bool,
        expected: Sequence[Expected] = (),
        **kwargs: Any,
    ) -> None:
        """``expected`` are shown beside the readings where there is one for each."""
        super().__init__(*args, **kwargs)
        self.readings = readings
        should = {f"{item.key}_mm": f"Should be {item.mm:.0f} mm." for item in expected}
        fields = {
            reading.name: FigureField(
                label=f"{reading.label}, millimetres",
                help_text=should.get(reading.name, ""),
                error_messages={"required": "Type the reading."},
            )
            for reading in readings
        }
        if not looks:
            del self.fields["looks_right"]
        self.fields = {**fields, **self.fields}

    def values(self) -> dict[str, float]:
        """Readings by name."""
        return {r.name: self.cleaned_data[r.name] for r in self.readings}

    def looks_right_said(self) -> bool:
        """Whether the person said that it looks right."""
        return self.cleaned_data.get("looks_right") == "yes"

    @property
    def helper(self) -> FormHelper:
        """One button; a look has two big choices."""
        names: list[Any] = [reading.name for reading in self.readings]
        if "looks_right" in self.fields:
            names.append(InlineRadios("looks_right"))
        return kept_helper(*names, "note", save="Record it")
