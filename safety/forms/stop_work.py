"""Stop work, and release it."""

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import PlainForm, panel_helper
from jobs.forms.phone import PhoneForm
from safety.forms.on_site import kept_helper
from safety.models import StopWork


class StopForm(PhoneForm):
    """What happened, in one's own words."""

    kind = forms.ChoiceField(
        label="What is it?",
        choices=StopWork.Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    what = forms.CharField(
        label="What happened, or what is not safe?",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": "Say it in a few words."},
    )

    @property
    def helper(self) -> FormHelper:
        """One button, that stops."""
        return kept_helper("kind", "what", save="Stop all work")


class ReleaseForm(PlainForm):
    """What was found, and what is different now."""

    found = forms.CharField(
        label="What was found, and what is different now?",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="It stays on the record, with your name.",
    )
    statement_says = forms.ChoiceField(
        label="And the statement?",
        choices=StopWork.Statement.choices,
        widget=forms.RadioSelect,
    )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("found", "statement_says", save="Release the work")
