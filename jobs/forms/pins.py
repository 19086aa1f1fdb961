"""Choose a PIN."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.domain.pins import LONGEST, SHORTEST, pin_faults
from jobs.forms.fields import PlainForm, panel_helper


class PinField(forms.CharField):
    """Digits that nobody reads over a shoulder."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("max_length", LONGEST)
        options["widget"] = forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off"}
        )
        super().__init__(**options)


class OwnPinForm(PlainForm):
    """The PIN, twice."""

    pin = PinField(
        label="New PIN",
        help_text=f"{SHORTEST} to {LONGEST} digits that nobody guesses.",
    )
    again = PinField(label="The same again")

    def clean(self) -> dict[str, Any]:
        """Good digits, twice the same."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        pin = typed.get("pin", "")
        for fault in pin_faults(pin) if pin else []:
            self.add_error("pin", fault)
        if pin and typed.get("again") and pin != typed["again"]:
            self.add_error("again", "This is not the same PIN. Type both again.")
        return typed

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("pin", "again", save="Keep this PIN")
