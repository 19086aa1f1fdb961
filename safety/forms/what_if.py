"""What somebody would change to see what the plan says then."""

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row, Submit
from django import forms

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.methods import Lifting, TaskSpec
from jobs.domain.takeoff import check_dimensions
from jobs.forms.dimensions import asked_for
from jobs.forms.fields import FigureField, PlainForm
from jobs.library import sections, tools
from jobs.models import JobDimensions
from safety.domain.what_if import Options, could_be_on_ground

_LIFTING = [
    ("", "As planned"),
    (Lifting.BY_HAND.value, "By hand"),
    (Lifting.PROPS.value, "In stages, on props and trestles"),
    (Lifting.LIFTER.value, "With a hired winch lifter"),
    (Lifting.CRANE.value, "With a crane"),
]


class WhatIfForm(PlainForm):
    """Other dimensions and another way of working, all of it only tried out."""

    on_ground = forms.MultipleChoiceField(
        label="Steps put together on the ground instead",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    lifting = forms.ChoiceField(
        label="How pieces go up", choices=_LIFTING, required=False
    )
    scaffold = forms.BooleanField(
        label="Hire a scaffold with guard rail and a stair: nobody works from ladders "
        "or trestles",
        required=False,
    )
    instead_of = forms.ChoiceField(label="In place of this tool", required=False)
    use = forms.ChoiceField(label="use this one", required=False)

    def __init__(
        self,
        *args: Any,
        structure: Structure,
        now: Dimensions,
        tasks: Sequence[TaskSpec],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.structure, self.now = structure, now
        self.figures = [
            name
            for name in asked_for(structure)
            if isinstance(getattr(now, name), int | float)
            and not isinstance(getattr(now, name), bool)
        ]
        for name in self.figures:
            self._add_figure(name)
        choices: dict[str, list[tuple[str, str]]] = {
            "on_ground": [(t.key, t.name) for t in tasks if could_be_on_ground(t)],
            "instead_of": [("", "No other tool"), *_named(_used(tasks))],
            "use": [("", "Choose one"), *_named(tools())],
        }
        for name, listed in choices.items():
            self.fields[name].choices = listed  # type: ignore[attr-defined]
        if not choices["on_ground"]:
            del self.fields["on_ground"]

    def _add_figure(self, name: str) -> None:
        label = str(getattr(JobDimensions._meta.get_field(name), "verbose_name", name))
        self.fields[name] = FigureField(
            label=label[:1].upper() + label[1:],
            initial=float(getattr(self.now, name)),
            required=False,
        )
        self.fields[name].sometimes_needed = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Check the dimensions as the take-off does."""
        typed = super().clean() or self.cleaned_data
        if typed.get("instead_of") and not typed.get("use"):
            self.add_error("use", "Choose the tool that is used in its place.")
        if not self.errors:
            for problem in check_dimensions(
                self.structure, self.dimensions(typed), sections()
            ):
                field = problem.field if problem.field in self.fields else None
                self.add_error(field, problem.says)
        return typed

    def dimensions(self, typed: dict[str, Any] | None = None) -> Dimensions:
        """The dimensions as tried out; an empty field stays as it is."""
        values = self.cleaned_data if typed is None else typed
        kinds = {
            one.name: type(getattr(self.now, one.name)) for one in fields(self.now)
        }
        changed = {
            name: kinds[name](values[name])
            for name in self.figures
            if values.get(name) is not None
        }
        return replace(self.now, **changed)

    def options(self) -> Options:
        """The way of working as tried out."""
        typed = self.cleaned_data
        swap = {typed["instead_of"]: typed["use"]} if typed["instead_of"] else {}
        return Options(
            on_ground=frozenset(typed.get("on_ground", [])),
            lifting=Lifting(typed["lifting"]) if typed["lifting"] else None,
            scaffold=typed["scaffold"],
            tools=swap,
        )

    @property
    def helper(self) -> FormHelper:
        """Dimensions first; asking stores nothing, so it is a plain look-up."""
        helper = FormHelper()
        helper.form_class = "form panel"
        helper.form_method = "get"
        ways = [
            name for name in ("scaffold", "lifting", "on_ground") if name in self.fields
        ]
        helper.layout = Layout(
            Fieldset("Another way of working", *ways),
            Fieldset("Another tool", Row("instead_of", "use")),
            Fieldset("Other dimensions", *_pairs(self.figures)),
        )
        helper.add_input(Submit("", "See what the plan says then"))
        return helper


def _pairs(names: Sequence[str]) -> list[Row]:
    return [Row(*names[n : n + 2]) for n in range(0, len(names), 2)]


def _used(tasks: Sequence[TaskSpec]) -> list[str]:
    return sorted({use.tool for task in tasks for use in task.tools})


def _named(keys: Any) -> list[tuple[str, str]]:
    known = tools()
    return [(key, known[key].name.capitalize()) for key in keys if key in known]
