"""A hazard of the library, as the office fills it in.

A condition is made of rows, or written as in the files of the library; it is checked and
never run.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Field, Fieldset, Row
from django import forms
from django.utils.text import slugify

from jobs.forms.fields import panel_helper
from jobs.library import task_kinds
from safety.domain.conditions import Condition
from safety.domain.library import Control, Hazard, Scope
from safety.domain.library_writer import source_plain
from safety.domain.risk import Matrix
from safety.domain.step_kinds import apart, together
from safety.forms.condition_data import Line, Lines
from safety.forms.condition_lines import RaisesField, ReasonsField
from safety.forms.condition_reading import read
from safety.forms.conditions import ConditionField
from safety.forms.library_parts import (
    ROWS_TEMPLATE,
    SAVES_FIRST,
    SOURCE_HELP,
    PartField,
    ScopedForm,
    part_helper,
    plain,
    sentence,
)

OWN = "own_"


def _steps(label: str, words: Iterable[str]) -> forms.TypedChoiceField:
    named = [(str(n), word.capitalize()) for n, word in enumerate(words, 1)]
    choices = [("", "Choose one"), *named]
    return forms.TypedChoiceField(label=label, coerce=int, choices=choices)


def _raised(words: Iterable[str]) -> dict[str, str]:
    named = {str(n): word.capitalize() for n, word in enumerate(words, 1)}
    return {"": "As before", **named}


class HazardForm(ScopedForm):
    """One hazard: its words, when it is there, how bad it is."""

    name = sentence("The hazard", rows=1)
    harm = forms.CharField(
        label="What could happen to a person",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    kinds = forms.MultipleChoiceField(
        label="In which steps",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: what stands below decides alone.",
    )
    when = ConditionField(
        label="Only when",
        told=False,
        help_text="Without a row it is in every step ticked above.",
    )
    why = ReasonsField(
        label="Why it is there",
        another="Add a sentence",
        needed="Write why it is there.",
        help_text="What the plan says to the crew. {task.work_height_m} in a sentence puts "
        "the figure of the job in; the names of figures stand below the form.",
    )
    worse = RaisesField(
        label="What makes it worse",
        another="Add what makes it worse",
        raises=True,
        help_text="Where its rows are so, the rating is raised and the plan says why.",
    )
    no_higher_control = forms.CharField(
        label="Why nothing stands above protective equipment",
        max_length=300,
        required=False,
        help_text="Needed when every control is protective equipment. It prints.",
    )
    source = PartField(
        "source",
        label="Where it comes from",
        initial="firm's decision",
        help_text=SOURCE_HELP,
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, matrix: Matrix, scope: Scope = Scope.TASK, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.sees = scope
        self.fields["kinds"].choices = [  # type: ignore[attr-defined]
            (kind.key, kind.name) for kind in task_kinds().values()
        ]
        self.fields["likelihood"] = _steps("How likely", matrix.likelihoods)
        self.fields["consequence"] = _steps("How bad", matrix.consequences)
        raises = self.fields["worse"].widget
        raises.likelihoods = _raised(matrix.likelihoods)
        raises.consequences = _raised(matrix.consequences)
        self.see(scope)

    @classmethod
    def starting(cls, hazard: Hazard) -> dict[str, Any]:
        """What stands there now."""
        kinds, rest = apart(hazard.condition, hazard.scope)
        return {
            "name": hazard.name.text,
            "harm": hazard.harm,
            "kinds": sorted(kinds),
            "when": rest,
            "why": hazard.reasons,
            "worse": hazard.raises,
            "no_higher_control": hazard.no_higher_control,
            "source": plain(source_plain(hazard.source)),
            "likelihood": hazard.likelihood,
            "consequence": hazard.consequence,
        }

    def clean(self) -> dict[str, Any]:
        """A hazard is there somewhere."""
        typed = super().clean() or self.cleaned_data
        if (
            not typed.get("kinds")
            and not typed.get("when")
            and "when" not in self.errors
        ):
            says = "Tick the steps it is in, or say when it is there."
            self.add_error("kinds", says)
        return typed

    def condition_now(self) -> Condition | None:
        """What the ticks and rows say, saved or not; Unread while they say nothing."""
        known = {key for key, _ in self.fields["kinds"].choices}  # type: ignore[attr-defined]
        kinds = frozenset(self["kinds"].value() or ()) & known
        rest = read(self["when"].value(), self.sees, rising=False)
        return together(kinds, rest, self.sees)

    def parts(self) -> dict[str, Any]:
        """What was typed, by the fields of a hazard."""
        typed = self.cleaned_data
        return {
            "name": typed["name"],
            "harm": " ".join(typed["harm"].split()),
            "condition": together(frozenset(typed["kinds"]), typed["when"], self.sees),
            "reasons": typed["why"],
            "raises": typed["worse"],
            "likelihood": typed["likelihood"],
            "consequence": typed["consequence"],
            "no_higher_control": " ".join(typed["no_higher_control"].split()),
            "source": typed["source"],
        }

    @property
    def helper(self) -> FormHelper:
        """On one panel, in the order people think of it."""
        return panel_helper(*_HAZARD, save="Save the hazard")


# What the ticks and the rows come to is read back as they change.
_READ_AGAIN = {
    "hx_post": "",
    "hx_trigger": "change",
    "hx_target": "#reading",
    "hx_swap": "outerHTML",
    "hx_vals": '{"do": "when check"}',
}
_HAZARD = (
    SAVES_FIRST,
    Fieldset("The hazard", "name", "harm"),
    Fieldset(
        "When it is there",
        Div("kinds", **_READ_AGAIN),
        Field("when", template=ROWS_TEMPLATE),
        HTML("{% include 'safety/conditions/_reading.html' %}"),
        Field("why", template=ROWS_TEMPLATE),
    ),
    Fieldset(
        "Before any control",
        Row("likelihood", "consequence"),
        Field("worse", template=ROWS_TEMPLATE),
    ),
    Fieldset("What it rests on", "source", "no_higher_control"),
)


class NewHazardForm(HazardForm):
    """A hazard of the firm's own; its first control stands on a form beside it."""

    file = forms.ChoiceField(label="Where it belongs")
    scope = forms.ChoiceField(
        label="How often it is said",
        choices=[
            (Scope.TASK.value, "In each step"),
            (Scope.JOB.value, "Once for the whole job"),
        ],
        initial=Scope.TASK.value,
        widget=forms.Select(
            attrs={
                "hx-post": "",
                "hx-trigger": "change",
                "hx-target": "#when-editor",
                "hx-swap": "outerHTML",
                "hx-vals": '{"do": "when refit"}',
            }
        ),
    )

    def __init__(
        self, *args: Any, matrix: Matrix, themes: Mapping[str, str], **kwargs: Any
    ) -> None:
        data = args[0] if args else None
        scope = scope_of(data or kwargs.get("initial") or {})
        super().__init__(*args, matrix=matrix, scope=scope, **kwargs)
        self.fields["file"].choices = [  # type: ignore[attr-defined]
            (key, theme.capitalize()) for key, theme in themes.items()
        ]
        self.initial.setdefault("why", Lines((Line(),)))
        del self.fields["seen"]

    def hazard(self, key: str, control: Control) -> Hazard:
        """What was typed, under that key."""
        return Hazard(
            key=key,
            theme=self.cleaned_data["file"],
            scope=self.sees,
            controls=(control,),
            **self.parts(),
        )

    @property
    def helper(self) -> FormHelper:
        """Part of a form with that of its first control."""
        return part_helper(Fieldset("Its place", "file", "scope"), *_HAZARD)


def scope_of(typed: Mapping[str, Any]) -> Scope:
    """The scope that was chosen; a step's while none is."""
    said = typed.get("scope")
    return Scope(said) if said in set(Scope) else Scope.TASK


def free_key(words: str, taken: Iterable[str]) -> str:
    """A key of the firm's own after some words, which nothing has yet."""
    stem = OWN + (slugify(words).replace("-", "_")[:40].strip("_") or "hazard")
    known, key, n = set(taken), stem, 2
    while key in known:
        key, n = f"{stem}_{n}", n + 1
    return key
