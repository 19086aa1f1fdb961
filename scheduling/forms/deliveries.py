"""Suppliers, deliveries, and what came off the truck."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar
from uuid import uuid4

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Fieldset, Layout, Row
from django import forms

from jobs.forms.fields import (
    DayField,
    EditForm,
    FigureField,
    filter_helper,
    panel_helper,
)
from jobs.models import BomLine
from scheduling.models import Delivery, DeliveryLine, Half, Supplier
from scheduling.services.receipts import Counted


class AmountField(FigureField):
    """How many of something. Left empty it is none, and needs no "(optional)"."""

    def __init__(self, **options: Any) -> None:
        super().__init__(min_value=0, max_value=1e6, **options)

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


class CheckInForm(forms.Form):
    """What came off the truck, line by line.

    ``client_uid`` names this count, so that a phone that sends it twice is heard once;
    ``device_at`` is the phone's clock, where a script fills it in.
    """

    use_required_attribute = False  # a count may stay empty
    client_uid = forms.UUIDField(widget=forms.HiddenInput)
    device_at = forms.DateTimeField(widget=forms.HiddenInput, required=False)
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
            attrs={"accept": "image/*", "capture": "environment"}
        ),
    )

    def __init__(
        self, *args: Any, lines: Sequence[tuple[DeliveryLine, float]], **kwargs: Any
    ) -> None:
        """``lines`` are those of the load, each with what is still to come of it."""
        super().__init__(*args, **kwargs)
        self.lines = [line for line, _ in lines]
        self.initial.setdefault("client_uid", str(uuid4()))
        for line, left in lines:
            self._add("good", line, "Good", left)
            self._add("damaged", line, "Damaged", 0)
            self._add("wrong", line, "Wrong", 0)
            self.fields[f"note_{line.pk}"] = forms.CharField(
                label="What is wrong with it", required=False, max_length=200
            )

    def _add(self, what: str, line: DeliveryLine, label: str, initial: float) -> None:
        self.fields[f"{what}_{line.pk}"] = AmountField(label=label)
        self.initial.setdefault(f"{what}_{line.pk}", initial)

    def counted(self) -> Mapping[int, Counted]:
        """The count by delivery line (id)."""
        return {
            line.pk: Counted(
                good=self._number("good", line),
                damaged=self._number("damaged", line),
                wrong=self._number("wrong", line),
                note=self.cleaned_data.get(f"note_{line.pk}", ""),
            )
            for line in self.lines
        }

    def _number(self, what: str, line: DeliveryLine) -> float:
        return float(self.cleaned_data.get(f"{what}_{line.pk}") or 0)

    @property
    def helper(self) -> FormHelper:
        """One block a line, big enough for a thumb."""
        helper = FormHelper()
        helper.form_class = "form panel"
        helper.layout = Layout(
            "client_uid",
            "device_at",
            *(
                Fieldset(
                    f"{line.bom_line.description}: {line.ordered:g} ordered",
                    Row(
                        f"good_{line.pk}",
                        f"damaged_{line.pk}",
                        f"wrong_{line.pk}",
                        css_class="counts",
                    ),
                    f"note_{line.pk}",
                )
                for line in self.lines
            ),
            "note",
            "photo",
        )
        return panel_helper(*helper.layout, save="Check it in")
