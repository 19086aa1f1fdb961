"""Book, move and take off one visit by hand."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import DayField, PlainForm, panel_helper
from scheduling.domain.calendar import Half as SlotHalf
from scheduling.domain.calendar import Slot
from scheduling.models import Crew, Half


class PlaceForm(PlainForm):
    """Where one visit goes. What it breaks is said before it is booked."""

    based_on = forms.IntegerField(widget=forms.HiddenInput)
    crew = forms.ModelChoiceField(
        label="Crew", queryset=Crew.objects.filter(is_active=True), empty_label=None
    )
    start_on = DayField(label="First day")
    start_half = forms.ChoiceField(
        label="It begins in the",
        choices=Half.choices,
        widget=forms.RadioSelect,
        initial=Half.AM.value,
    )
    pinned = forms.BooleanField(
        label="Keep it there when a new draft is made",
        required=False,
        initial=True,
    )
    accept = forms.BooleanField(
        label="Book it all the same",
        required=False,
        widget=forms.HiddenInput,
        help_text="The reasons above go into the ledger.",
    )

    def start(self) -> Slot:
        """The half-day it begins on."""
        typed = self.cleaned_data
        return Slot(typed["start_on"], SlotHalf(typed["start_half"]))

    def ask_to_accept(self) -> None:
        """Offer to book it although something is broken."""
        self.fields["accept"].widget = forms.CheckboxInput()

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Book it")


class MoveForm(PlainForm):
    """A place to look at: what is missing is taken from where the visit is booked."""

    crew = forms.ModelChoiceField(queryset=Crew.objects.filter(is_active=True))
    start_on = DayField()
    start_half = forms.ChoiceField(choices=Half.choices)

    def start(self) -> Slot:
        """The half-day it would begin on."""
        typed = self.cleaned_data
        return Slot(typed["start_on"], SlotHalf(typed["start_half"]))


class PeriodForm(PlainForm):
    """Which weeks the plan shows."""

    WEEKS = ((1, "1 week"), (2, "2 weeks"), (4, "4 weeks"), (6, "6 weeks"))

    start = DayField(label="From", required=False)
    weeks = forms.TypedChoiceField(
        label="Weeks", choices=WEEKS, coerce=int, required=False, empty_value=None
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["start"].widget.attrs["aria-label"] = "Show the plan from this day"

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        from_get = panel_helper(save="Show")
        from_get.form_method = "get"
        from_get.form_class = "filter-row"
        return from_get


class OffForm(PlainForm):
    """Why a visit comes off the plan."""

    based_on = forms.IntegerField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why",
        max_length=160,
        error_messages={"required": "Say why it comes off the plan."},
    )
