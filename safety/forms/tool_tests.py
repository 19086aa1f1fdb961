"""A tool of the firm's, and an electrical test of it."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Row
from django import forms

from jobs.forms.fields import DayField, PlainForm, panel_helper
from safety.queries.tool_tests import tools_on_a_lead

_PASSED = [("yes", "Passed"), ("no", "Failed: it must not be used")]


class ToolItemForm(PlainForm):
    """Which tool it is."""

    kind = forms.ChoiceField(label="Kind of tool")
    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="As it is written on the tool, such as “Drop saw 1”.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = [("", "Choose one")]
        kinds += [(tool.key, tool.name) for tool in tools_on_a_lead()]
        self.fields["kind"].choices = kinds  # type: ignore[attr-defined]

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("kind", "name", save="Put it on the list")


class ToolTestForm(PlainForm):
    """One test as it stands on the tag."""

    tested_on = DayField(label="Tested on")
    tested_by = forms.CharField(
        label="Tested by",
        max_length=120,
        help_text="The competent person, and the firm they work for.",
    )
    tag = forms.CharField(label="Number on the tag", max_length=60, required=False)
    passed = forms.ChoiceField(
        label="What came of it", choices=_PASSED, widget=forms.RadioSelect
    )
    next_due = DayField(
        label="Good until",
        required=False,
        help_text="When the tag gives a day. Else the rule of the place counts.",
    )
    note = forms.CharField(label="Note", max_length=240, required=False)

    def values(self) -> dict[str, Any]:
        """What was typed, as the service takes it."""
        return {**self.cleaned_data, "passed": self.cleaned_data["passed"] == "yes"}

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(
            Row("tested_on", "tested_by"),
            "tag",
            "passed",
            "next_due",
            "note",
            save="Write the test down",
        )


class ToolReasonForm(PlainForm):
    """Why a tool leaves the list, or a test is taken back."""

    why = forms.CharField(label="Why", max_length=240)

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("why", save="Do it, and keep the reason")
