"""Suppliers, deliveries, and what came off the truck."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Fieldset, Row
from django import forms

from jobs.forms.fields import (
    DayField,
    EditForm,
    FigureField,
    filter_helper,
    panel_helper,
)
from jobs.forms.phone import PhoneForm
from jobs.models import BomLine
from scheduling.models import Delivery, DeliveryLine, Half, Supplier
from scheduling.models.deliveries import MOST_OF_A_LINE
from scheduling.services.receipts import Counted


class AmountField(FigureField):
    """How many of something. Left empty it is none, and needs no "(optional)"."""

    def __init__(self, **options: Any) -> None:
        super().__init__(min_value=0, max_value=MOST_OF_A_LINE, **options)

    def clean(self, value: Any) -> float:
        """The number typed, 0 for nothing."""
        typed: float = super().clean(value if value not in {"", None} else "0")
        return typed


class SupplierForm(EditForm):
    """Who delivers, and how long it usually takes."""

    class Meta:
        model = Supplier
        fields = ("name", "phone", "email", "usual_lead_days")
        labels: ClassVar[dict[str, str]] = {
            "usual_lead_days": "Usual days from order to delivery"
        }
        help_texts: ClassVar[dict[str, str]] = {
            "usual_lead_days": "The plan reckons with them for what is not ordered yet.",
        }

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class DeliveryFilter(forms.Form):
    """Which deliveries a list shows."""

    SHOW = (
        ("open", "Still to come"),
        ("late", "Late"),
        ("short", "Came short"),
        ("all", "All"),
    )
    show = forms.ChoiceField(label="Show", choices=SHOW, required=False)
    q = forms.CharField(label="Job, supplier or reference", required=False)

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        return filter_helper()


class DeliveryForm(EditForm):
    """One load: who brings it, when, and how many of each line."""

    use_required_attribute = False  # an amount may stay empty
    due_on = DayField(
        label="Day it comes",
        required=False,
        help_text="Leave it empty until the supplier gives a day.",
    )
    ordered_on = DayField(label="Day it was ordered", required=False)
    due_half = forms.ChoiceField(
        label="When on that day",
        choices=[(Half.AM.value, "Morning"), (Half.PM.value, "Afternoon")],
        widget=forms.RadioSelect,
        initial=Half.AM.value,
    )

    class Meta:
        model = Delivery
        fields = (
            "supplier",
            "due_on",
            "due_half",
            "ordered_on",
            "reference",
            "note",
        )
        labels: ClassVar[dict[str, str]] = {"reference": "Their order number"}
        help_texts: ClassVar[dict[str, str]] = {
            "note": "Where the truck can stop, who receives it."
        }

    def __init__(
        self, *args: Any, lines: Sequence[tuple[BomLine, float]], **kwargs: Any
    ) -> None:
        """``lines`` are those of the job, each with the amount to propose."""
        super().__init__(*args, **kwargs)
        self.lines = [line for line, _ in lines]
        for line, amount in lines:
            self.fields[_name(line)] = AmountField(label=_label(line))
            self.initial.setdefault(_name(line), amount or None)

    def values(self) -> dict[str, Any]:
        """Columns of the delivery, without the amounts."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}

    def amounts(self) -> dict[int, float]:
        """How many of each line (id) it brings."""
        typed = {line.pk: self.cleaned_data.get(_name(line)) for line in self.lines}
        return {pk: amount for pk, amount in typed.items() if amount}

    @property
    def helper(self) -> FormHelper:
        """When and who first, then the lines."""
        names = [_name(line) for line in self.lines]
        pairs = [Row(*names[at : at + 2]) for at in range(0, len(names), 2)]
        version = [Field("version")] if "version" in self.fields else []
        return panel_helper(
            *version,
            "supplier",
            Row("due_on", "due_half"),
            Row("ordered_on", "reference"),
            "note",
            Fieldset("How many of each line this load brings", *pairs),
            save="Save the delivery",
        )


def _name(line: BomLine) -> str:
    return f"line_{line.pk}"


def _label(line: BomLine) -> str:
    length = f", {line.length_m:g} m" if line.length_m else ""
    unit = "" if line.unit == "each" else f" {line.unit}"
    return f"{line.description}{length} (list: {line.quantity:g}{unit})"


class CancelForm(forms.Form):
    """Why a load is called off."""

    reason = forms.CharField(label="Why", max_length=160)


ALL, SOME, NONE = "all", "some", "none"


class CheckInForm(PhoneForm):
    """What came off the truck, line by line.

    Each line is said to be all there, partly, or not there at all; nothing is taken for
    counted that nobody looked at.
    """

    use_required_attribute = False  # the counts of a line that came whole stay empty
    note = forms.CharField(
        label="Anything else",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    photo = forms.FileField(
        label="Photo",
        required=False,
        help_text="Of the damage, or of the docket.",
        widget=forms.ClearableFileInput(
            attrs={
                "accept": "image/*",
                "capture": "environment",
                "hx-preserve": "true",  # a refused count keeps the photo
            }
        ),
    )

    def __init__(
        self, *args: Any, lines: Sequence[tuple[DeliveryLine, float]], **kwargs: Any
    ) -> None:
        """``lines`` are those of the load, each with how many are still to come.

        Asked about is what was to come when the form was opened, so that a count that
        is sent again means what it meant.
        """
        super().__init__(*args, **kwargs)
        opened = [(line, self._left_when_opened(line, left)) for line, left in lines]
        self.left = {line.pk: left for line, left in opened if left > 0}
        self.lines = [line for line, _ in opened if line.pk in self.left]
        for line in self.lines:
            left = self.left[line.pk]
            self.fields[f"left_{line.pk}"] = forms.FloatField(
                widget=forms.HiddenInput, initial=left
            )
            self.fields[f"came_{line.pk}"] = forms.ChoiceField(
                label=_line_words(line, left),
                choices=[
                    (ALL, f"All {left:g}" if left > 1 else "Here"),
                    (SOME, "Not all" if left > 1 else "Not right"),
                    (NONE, "None" if left > 1 else "Not here"),
                ],
                widget=forms.RadioSelect,
                error_messages={"required": "Say whether it came."},
            )
            for what in ("good", "damaged", "wrong"):
                field = AmountField(
                    label=what.capitalize(), error_messages=_amount_errors(line)
                )
                self.fields[f"{what}_{line.pk}"] = field
            self.fields[f"note_{line.pk}"] = forms.CharField(
                label="What is wrong with it", required=False, max_length=200
            )

    def _left_when_opened(self, line: DeliveryLine, left: float) -> float:
        if not self.is_bound:
            return left
        try:
            return float(self.data.get(f"left_{line.pk}", "0"))
        except ValueError:
            return left

    def clean(self) -> dict[str, Any]:
        """A line that came in part needs its count."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        for line in self.lines:
            name, good = f"came_{line.pk}", f"good_{line.pk}"
            if typed.get(name) == SOME and not self.data.get(good, "").strip():
                self.add_error(name, "How many are good? Type 0 for none.")
        return typed

    def rows(self) -> list[dict[str, Any]]:
        """The fields of each line, for the page."""
        return [
            {
                "came": self[f"came_{line.pk}"],
                "counts": [
                    self[f"{w}_{line.pk}"] for w in ("good", "damaged", "wrong")
                ],
                "note": self[f"note_{line.pk}"],
            }
            for line in self.lines
        ]

    def counted(self) -> Mapping[int, Counted]:
        """The count by delivery line (id)."""
        return {line.pk: self._count(line) for line in self.lines}

    def _count(self, line: DeliveryLine) -> Counted:
        came = self.cleaned_data[f"came_{line.pk}"]
        note = self.cleaned_data.get(f"note_{line.pk}", "")
        if came == SOME:
            good, damaged, wrong = (
                self._number(what, line) for what in ("good", "damaged", "wrong")
            )
            return Counted(good, damaged, wrong, note)
        return Counted(good=self.left[line.pk] if came == ALL else 0.0)

    def _number(self, what: str, line: DeliveryLine) -> float:
        return float(self.cleaned_data.get(f"{what}_{line.pk}") or 0)


def _amount_errors(line: DeliveryLine) -> dict[str, str]:
    """What is said of a wrong count; it names the line, for there are many alike."""
    what = line.bom_line.description
    return {
        "min_value": f"{what}: a count cannot be below 0.",
        "max_value": f"{what}: a count cannot be above %(limit_value)d.",
        "invalid": f"{what}: type a number with figures only, such as 4.",
    }


def _line_words(line: DeliveryLine, left: float) -> str:
    part = line.bom_line
    length = f" ({part.length_m:g} m)" if part.length_m else ""
    unit = "" if part.unit == "each" else f" {part.unit}"
    some = "" if left == line.ordered else f"{left:g}{unit} still to come of "
    return f"{part.description}{length}: {some}{line.ordered:g}{unit} ordered"
