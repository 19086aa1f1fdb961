"""Who was asked about a statement."""

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import DayField
from jobs.forms.phone import PhoneForm
from safety.forms.on_site import kept_helper


class ConsultationForm(PhoneForm):
    """A talk with the people who do the work."""

    held_on = DayField(label="On which day?")
    who = forms.CharField(
        label="Who was asked?",
        max_length=240,
        help_text="Names, as you would call them on site.",
        error_messages={"required": "Name who was asked."},
    )
    said = forms.CharField(
        label="What did they say?",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say it in a few words; “nothing” is an answer."},
    )
    came_of_it = forms.CharField(
        label="What came of it?",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say what changed, or why nothing did."},
    )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return kept_helper("held_on", "who", "said", "came_of_it", save="Keep this")
