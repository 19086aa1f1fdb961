"""The task sequence of one job: what a task is, and what it waits for."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row, Submit
from django import forms

from jobs.domain.method_files import GROUND
from jobs.domain.methods import LagKind, TaskSpec
from jobs.domain.takeoff import HEIGHT_KEYS, PIECES, QUANTITIES
from jobs.forms.fields import FigureField, PlainForm, panel_helper
from jobs.library import task_kinds, ticket_kinds
from jobs.models.tasks import LAG_KINDS
from jobs.queries.sequence import TaskView
from jobs.services.sequence import NewLink

_PLAIN = (
    "name",
    "kind",
    "per",
    "minutes_per_unit",
    "setup_minutes",
    "crew_min",
    "crew_max",
    "at_height",
    "wind_limit_ms",
    "weather_source",
    "stops_in_rain",
    "says",
)


def _kind_choices() -> list[tuple[str, str]]:
    return [(kind.key, kind.name) for kind in task_kinds().values()]


def _quantity_choices() -> list[tuple[str, str]]:
    return [(key, f"{name} ({unit})") for key, (name, unit) in QUANTITIES.items()]


def _height_choices() -> list[tuple[str, str]]:
    heights = [(key, QUANTITIES[key][0]) for key in QUANTITIES if key in HEIGHT_KEYS]
    return [(GROUND, "On the ground"), *heights]


def _ticket_choices() -> list[tuple[str, str]]:
    return [(kind.key, kind.name) for kind in ticket_kinds().values()]


class TaskForm(PlainForm):
    """What a task is. Tools and lifts stay as the method has them."""

    name = forms.CharField(label="Name of the task", max_length=120)
    kind = forms.ChoiceField(
        label="Kind of work",
        choices=_kind_choices,
        help_text="The hazard plan goes by it.",
    )
    setup_minutes = FigureField(
        label="Minutes to get ready", min_value=0, max_value=5000, initial=0
    )
    minutes_per_unit = FigureField(
        label="Minutes of one person for each", min_value=0, max_value=5000
    )
    per = forms.ChoiceField(label="Of what", choices=_quantity_choices, initial="job")
    crew_min = forms.IntegerField(
        label="People, at least", min_value=1, max_value=12, initial=2
    )
    crew_max = forms.IntegerField(
        label="People, at most", min_value=1, max_value=12, initial=4
    )
    says = forms.CharField(
        label="How it is done",
        required=False,
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="As a careful foreman would say it. It is printed in the statement.",
    )
    at_height = forms.ChoiceField(
        label="Where the work is", choices=_height_choices, initial=GROUND
    )
    tickets = forms.MultipleChoiceField(
        label="Tickets that one of the crew must hold",
        choices=_ticket_choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    materials = forms.MultipleChoiceField(
        label="Materials that must be there first",
        choices=list(PIECES.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    stops_in_rain = forms.BooleanField(label="Stops in rain", required=False)
    wind_limit_ms = FigureField(
        label="Stops above a wind of, m/s",
        required=False,
        min_value=0,
        max_value=40,
        help_text="No law gives a number: it is the firm’s or the maker’s.",
    )
    weather_source = forms.CharField(
        label="Whose limit it is", required=False, max_length=160
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, spec: TaskSpec | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.spec = spec
        if spec is not None:
            for name in _PLAIN:
                self.initial.setdefault(name, getattr(spec, name))
            self.initial.setdefault("tickets", list(spec.tickets))
            self.initial.setdefault("materials", list(spec.materials))
            self._keep_what_is_not_listed(spec)

    def _keep_what_is_not_listed(self, spec: TaskSpec) -> None:
        """A method may name consumables; unticking nothing must not drop them."""
        more = [
            (key, key.replace("_", " ")) for key in spec.materials if key not in PIECES
        ]
        field: Any = self.fields["materials"]
        field.choices = [*PIECES.items(), *more]

    def clean(self) -> dict[str, Any]:
        """Least and most people; a wind limit is somebody's."""
        cleaned = super().clean() or self.cleaned_data
        least, most = cleaned.get("crew_min"), cleaned.get("crew_max")
        if least and most and least > most:
            self.add_error("crew_max", "The most must not be less than the least.")
        if cleaned.get("wind_limit_ms") and not cleaned.get("weather_source"):
            self.add_error("weather_source", "Say whose limit it is.")
        return cleaned

    def new_spec(self) -> TaskSpec:
        """The task as typed; what the form does not ask stays."""
        typed = self.cleaned_data
        values = {name: typed[name] for name in _PLAIN}
        values["tickets"] = tuple(typed["tickets"])
        values["materials"] = tuple(typed["materials"])
        if self.spec is not None:
            return replace(self.spec, **values)
        return TaskSpec(key="", links=(), source="firm's decision", **values)

    def groups(self) -> list[Any]:
        """The fields in groups."""
        return [
            Fieldset("What", "name", "kind", "says", "at_height"),
            Fieldset("Time", Row("setup_minutes", "minutes_per_unit"), "per"),
            Fieldset("People", Row("crew_min", "crew_max"), "tickets"),
            Fieldset("Materials and weather", "materials", "stops_in_rain"),
            Row("wind_limit_ms", "weather_source"),
        ]

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(*self.groups(), "version", save="Save the task")


class NewTaskForm(TaskForm):
    """A new task, its place, and what it waits for."""

    position = forms.TypedChoiceField(label="Its place in the list", coerce=int)
    after = forms.TypedMultipleChoiceField(
        label="It waits for",
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, tasks: Sequence[TaskView], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["version"]
        fields: Any = self.fields
        fields["after"].choices = [
            (view.task.pk, f"{view.number} {view.task.name}") for view in tasks
        ]
        fields["position"].choices = [
            (1, "First"),
            *(
                (view.number + 1, f"After {view.number} {view.task.name}")
                for view in tasks
            ),
        ]
        self.initial.setdefault("position", len(tasks) + 1)

    def links(self) -> list[NewLink]:
        """What it waits for, without a wait in between."""
        return [NewLink(pk) for pk in self.cleaned_data["after"]]

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        place = Fieldset("Where in the sequence", "position", "after")
        return panel_helper(*self.groups(), place, save="Add the task")


if TYPE_CHECKING:
    FormSet = forms.BaseFormSet["LinkForm"]
else:
    FormSet = forms.BaseFormSet  # knows no brackets while running


class LinkForm(PlainForm):
    """One task that another waits for."""

    after_id = forms.TypedChoiceField(
        label="Waits for", coerce=int, empty_value=None, required=False
    )
    lag_hours = FigureField(
        label="Hours after it", required=False, min_value=0, max_value=2000
    )
    lag_kind = forms.ChoiceField(label="Counted", choices=LAG_KINDS)
    why = forms.CharField(label="Why", required=False, max_length=160)

    def __init__(self, *args: Any, tasks: Sequence[TaskView], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["after_id"]
        field.choices = [
            ("", "Nothing"),
            *((view.task.pk, f"{view.number} {view.task.name}") for view in tasks),
        ]

    def clean(self) -> dict[str, Any]:
        """A wait has a reason."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("lag_hours") and not cleaned.get("why"):
            self.add_error("why", "Say why it has to wait, such as “sealant cures”.")
        return cleaned

    def link(self) -> NewLink | None:
        """The link as typed; None when the row names no task."""
        typed = self.cleaned_data
        if not typed.get("after_id"):
            return None
        lag = typed["lag_hours"] or 0.0
        kind = LagKind(typed["lag_kind"])
        return NewLink(typed["after_id"], lag, kind, typed["why"])


class LinksFormSet(FormSet):
    """Everything that a task waits for, with the version of the task."""

    @property
    def helper(self) -> FormHelper:
        """A table that may grow."""
        helper = FormHelper()
        helper.form_tag = False
        helper.template = "eavesline_forms/table_inline_formset.html"
        helper.rows_may_grow = True
        helper.add_input(Submit("save", "Save what it waits for"))
        return helper

    def links(self) -> list[NewLink]:
        """Links as typed, empty rows left out."""
        found = (form.link() for form in self.forms)
        return [link for link in found if link is not None]


LinksForms = forms.formset_factory(LinkForm, formset=LinksFormSet, extra=1)
