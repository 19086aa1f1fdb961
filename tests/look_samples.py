"""Invented content for the gallery of components."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from crispy_forms.bootstrap import AppendedText, InlineRadios
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from django import forms
from django.core.paginator import Paginator

from jobs.domain.holds import Basis, Hold, Stops
from jobs.domain.roles import Role


class SampleForm(forms.Form):
    """One field of every kind the pack knows."""

    client = forms.CharField(label="Client", help_text="The name on the contract.")
    email = forms.EmailField(label="Email", required=False)
    structure = forms.ChoiceField(
        label="What is built",
        choices=[
            ("", "Choose one"),
            ("flat", "Attached flat roof"),
            ("gable", "Gable"),
        ],
    )
    length_m = forms.DecimalField(label="Length along the house", min_value=0)
    wanted_on = forms.DateField(
        label="Wanted by",
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="The day the client asked for. It is a wish, not a promise.",
    )
    start = forms.TimeField(
        label="Gate opens",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}),
    )
    frame = forms.ChoiceField(
        label="Frame",
        choices=[("steel", "Light steel"), ("timber", "Timber")],
        widget=forms.RadioSelect,
    )
    ready = forms.ChoiceField(
        label="Are the footings dry?",
        choices=[("yes", "Yes"), ("no", "No"), ("not-here", "Not here")],
        widget=forms.RadioSelect,
    )
    tickets = forms.MultipleChoiceField(
        label="Tickets held",
        required=False,
        choices=[("heights", "Work at heights"), ("aid", "First aid"), ("ewp", "Lift")],
        widget=forms.CheckboxSelectMultiple,
    )
    notes = forms.CharField(
        label="Notes for the crew",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    evidence = forms.FileField(label="Certificate", help_text="A PDF or a photo.")
    agreed = forms.BooleanField(label="The client has seen the drawing")
    version = forms.IntegerField(widget=forms.HiddenInput, initial=3)

    @property
    def helper(self) -> FormHelper:
        """Laid out with every layout object the pages use."""
        helper = FormHelper()
        helper.layout = Layout(
            Fieldset("Who and what", "client", "email", "structure"),
            Fieldset(
                "Size and time",
                Row(
                    AppendedText("length_m", "m", inputmode="decimal"),
                    "wanted_on",
                    "start",
                ),
                "frame",
                InlineRadios("ready"),
            ),
            Fieldset("The rest", "tickets", "notes", "evidence", "agreed"),
            "version",
        )
        helper.add_input(Submit("save", "Save the job"))
        return helper


class MaterialForm(forms.Form):
    """One line of a bill of materials."""

    name = forms.CharField(label="Material")
    quantity = forms.DecimalField(label="How many")
    unit = forms.ChoiceField(label="Unit", choices=[("m", "m"), ("each", "each")])
    ordered = forms.BooleanField(label="Ordered", required=False)


MaterialFormSet = forms.formset_factory(MaterialForm, extra=1)


def materials(data: dict[str, str] | None = None) -> Any:
    """A table of materials that may grow."""
    rows: Any = MaterialFormSet(
        data,
        prefix="materials",
        initial=[
            {"name": "Roof sheet, 4.2 m", "quantity": 9, "unit": "each"},
            {"name": "Rafter, 90 × 45 treated pine", "quantity": "38.4", "unit": "m"},
        ],
    )
    rows.helper = FormHelper()
    rows.helper.template = "eavesline_forms/table_inline_formset.html"
    rows.helper.rows_may_grow = True
    rows.helper.add_input(Submit("save", "Save the materials"))
    return rows


class FilterForm(forms.Form):
    """What a list shows."""

    q = forms.CharField(label="Client, street or number", required=False)
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[("", "Any"), ("held", "Held"), ("on", "On site")],
    )

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        helper = FormHelper()
        helper.form_method = "get"
        helper.form_class = "filter-row"
        helper.add_input(Submit("", "Show"))
        helper.layout = Layout("q", "state")
        return helper


@dataclass(frozen=True)
class SamplePerson:
    """Stands in for who is logged in."""

    name: str = "Maeve Tully"
    is_authenticated: bool = True

    def __str__(self) -> str:
        return self.name


def hold(says: str, do: str, stops: set[Stops], by: set[Role], **more: Any) -> Hold:
    """A hold with the parts that matter to the eye."""
    return Hold(
        rule="sample",
        job_id=14,
        says=says,
        stops=frozenset(stops),
        cleared_by=frozenset(by),
        clear_by_doing=do,
        **{"basis": Basis.FIRM, **more},
    )


def sample_holds() -> dict[str, Hold]:
    """One hold of each kind."""
    return {
        "certificate": hold(
            "The engineer’s certificate is not back.",
            "ring the engineer, or record the certificate when it comes.",
            {Stops.BOOKING, Stops.WORK},
            {Role.OFFICE},
            basis=Basis.LAW,
            since=date(2026, 8, 3),
            forecast=date(2026, 8, 19),
        ),
        "signon": hold(
            "The statement changed on Tuesday and two of the crew have not signed the new one.",
            "have Ari Venn and Jo Castellan read it and sign on.",
            {Stops.WORK},
            {Role.SITE_LEAD, Role.CREW},
            basis=Basis.LAW,
            since=datetime(2026, 8, 11, 4, 10, tzinfo=UTC),
        ),
        "sheets": hold(
            "Three roof sheets came damaged.",
            "order three more and have them delivered.",
            {Stops.TASKS},
            {Role.OFFICE, Role.OWNER},
            since=date(2026, 8, 10),
            forecast=date(2026, 8, 14),
        ),
        "council": hold(
            "Council has asked for a drainage plan.",
            "send the plan to council.",
            {Stops.BOOKING},
            {Role.OFFICE},
            basis=Basis.CODE,
            since=date(2026, 7, 30),
        ),
        "handover": hold(
            "The gutter fall was never measured.",
            "measure it and record it.",
            {Stops.HANDOVER},
            {Role.SITE_LEAD},
            basis=Basis.PRACTICE,
            since=date(2026, 8, 7),
        ),
    }


def sample_context(*, bound: bool = False) -> dict[str, Any]:
    """Everything gallery.html shows."""
    wrong = {"email": "maeve", "length_m": "-2", "ready": "perhaps", "client": ""}
    return {
        "firm": {"name": "Saltbush Outdoor Roofs"},
        "user": SamplePerson(),
        "nav": [
            {"label": label, "url": f"#{label.lower()}", "current": label == "Jobs"}
            for label in ("Today", "Jobs", "Plan", "Deliveries", "Compliance", "People")
        ],
        "crumbs": [("Jobs", "#jobs"), ("2026-014 Tamarind Close", "")],
        "form": SampleForm(wrong) if bound else SampleForm(),
        "materials": materials(),
        "filters": FilterForm(),
        "holds": sample_holds(),
        "page": Paginator(range(95), 20).page(2),
        "now": datetime(2026, 8, 12, 21, 30, tzinfo=UTC),
        "window": (date(2026, 8, 3), date(2026, 10, 1)),
    }
