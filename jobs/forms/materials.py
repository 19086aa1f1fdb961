"""Lines of a bill of materials."""

from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Row
from django import forms

from jobs.domain.takeoff import PIECES
from jobs.forms.fields import EditForm, FigureField, PlainForm, panel_helper
from jobs.models import BomLine

UNITS = ("each", "m", "m²", "kg", "pack", "roll", "tube", "bag", "set")


def part_choices() -> list[tuple[str, str]]:
    """Parts that tasks and the take-off know."""
    return [("", "None of these"), *PIECES.items()]


class BomLineForm(EditForm):
    """So many of a part."""

    part = forms.ChoiceField(
        label="What it is on the cutting list",
        choices=part_choices,
        required=False,
        help_text="Tasks wait for it, and the list is compared with the take-off by it.",
    )
    quantity = FigureField(label="How many", min_value=0.001, max_value=100_000)
    unit = forms.CharField(
        label="Unit",
        max_length=20,
        initial="each",
        help_text=f"Such as {', '.join(UNITS[:4])}.",
    )
    length_m = FigureField(
        label="Length of one, m", required=False, min_value=0.01, max_value=30
    )

    class Meta:
        model = BomLine
        fields = ("description", "part", "quantity", "unit", "length_m", "code", "note")
        labels: ClassVar[dict[str, str]] = {"description": "What to order"}

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        version = ["version"] if "version" in self.fields else []
        return panel_helper(
            "description",
            "part",
            Row("quantity", "unit", "length_m"),
            Row("code", "note"),
            *version,
            save="Save the line",
        )


class UploadForm(PlainForm):
    """A file with rows to bring in."""

    file = forms.FileField(
        label="File",
        help_text="A spreadsheet (.xlsx) or a text file (.csv). "
        "Start from the template: the first row names the columns.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx"}),
    )

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Look at what it says")

    def upload(self) -> Any:
        """The file as it came."""
        return self.cleaned_data["file"]
