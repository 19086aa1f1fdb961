"""Shared plant, and what of it is out of service."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import DayField, EditForm, PlainForm, panel_helper
from scheduling.forms.crews import then_draft
from scheduling.models import Plant
from scheduling.queries.plant import tools_in_use


class PlantForm(EditForm):
    """A kind of plant that tasks use and the firm has few of."""

    class Meta:
        model = Plant
        fields = ("tool", "name", "count")
        help_texts = {
            "count": "Sets that can be on different sites at once. "
            "A visit keeps one for as long as it lasts.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk is not None:
            del self.fields["tool"]
            return
        known = set(Plant.objects.values_list("tool", flat=True))
        self.fields["tool"] = forms.ChoiceField(
            label="What it is",
            choices=[row for row in tools_in_use() if row[0] not in known],
            help_text="Tools that tasks of open jobs use.",
        )

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class PlantOutForm(PlainForm):
    """Some of it cannot be used for some days."""

    from_on = DayField(label="First day it cannot be used")
    to_on = DayField(label="Last day")
    count = forms.IntegerField(label="How many", min_value=1, initial=1)
    reason = forms.CharField(
        label="Why",
        max_length=120,
        help_text="Such as “at the inspector’s” or “wheel broken”.",
    )

    @property
    def helper(self) -> FormHelper:
        """One panel; it can be planned around at once."""
        helper = panel_helper(save="Take it out of the plan")
        helper.add_input(then_draft())
        return helper
