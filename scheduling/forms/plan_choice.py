"""What comes first in the firm's plans, and its allowance for rain."""

from typing import Any

from crispy_forms.bootstrap import AppendedText
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms

from jobs.forms.fields import EditForm, panel_helper
from scheduling.models import PlanChoice
from scheduling.models.choices import MOST_RAIN_PERCENT
from scheduling.queries.plan_choice import RainMonth

QUARTERS = (range(1, 4), range(4, 7), range(7, 10), range(10, 13))


class PlanChoiceForm(EditForm):
    """Three choices in words, and twelve figures."""

    class Meta:
        model = PlanChoice
        fields = ("leaning",)
        widgets = {"leaning": forms.RadioSelect}
        labels = {"leaning": "Once every job has its place and promises are kept"}

    def __init__(self, *args: Any, months: list[RainMonth], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, month in enumerate(months, start=1):
            self.fields[f"rain_{number}"] = _month(month)

    def values(self) -> dict[str, Any]:
        """The columns that were typed."""
        typed = self.cleaned_data
        rain = [typed[f"rain_{number}"] or 0 for number in range(1, 13)]
        return {"leaning": typed["leaning"], "rain_percent": rain}

    @property
    def helper(self) -> FormHelper:
        """The choice first, then the year by quarters."""
        quarters = (
            Row(*(AppendedText(f"rain_{number}", "%") for number in quarter))
            for quarter in QUARTERS
        )
        return panel_helper(
            Fieldset("What comes first", "leaning"),
            Fieldset("Half-days that rain takes, by month", *quarters),
            save="Plan like this",
        )


def _month(month: RainMonth) -> forms.IntegerField:
    lost = round(month.lost, 1)
    days = f"{lost:g} day{'' if lost == 1 else 's'}"
    field = forms.IntegerField(
        label=month.name,
        min_value=0,
        max_value=MOST_RAIN_PERCENT,
        required=False,
        initial=month.percent,
        help_text=f"Called off last year: {days}" if month.lost else "",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    field.sometimes_needed = True  # type: ignore[attr-defined] # empty is none
    return field
