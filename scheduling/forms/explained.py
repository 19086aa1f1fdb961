"""Ask why a job cannot start on a day."""

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import DayField, PlainForm, panel_helper
from scheduling.domain.calendar import Half as SlotHalf
from scheduling.domain.calendar import Slot
from scheduling.models import Crew, Half


class StartForm(PlainForm):
    """A half-day, and a crew or all of them."""

    day = DayField(label="First day")
    half = forms.ChoiceField(label="It begins in the", choices=Half.choices)
    crew = forms.ModelChoiceField(
        label="Crew",
        queryset=Crew.objects.filter(is_active=True),
        required=False,
        empty_label="Every crew",
    )

    def start(self) -> Slot:
        """The half-day that was asked about."""
        typed = self.cleaned_data
        return Slot(typed["day"], SlotHalf(typed["half"]))

    def crew_id(self) -> int | None:
        """The crew that was asked about; None for every crew."""
        crew = self.cleaned_data["crew"]
        return crew.pk if crew else None

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, so that an answer has an address of its own."""
        helper = panel_helper(save="Ask")
        helper.form_method = "get"
        helper.form_class = "filter-row"
        helper.form_action = "#ask"
        return helper
