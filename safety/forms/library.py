"""A hazard of the library, as the office fills it in.

Plain fields where a thing has a shape of its own; a condition is written as in the files
of the library, checked line by line, and never run.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms
from django.utils.text import slugify

from jobs.forms.fields import panel_helper
from jobs.library import task_kinds
from safety.domain.conditions import Both, Condition, Op, Test
from safety.domain.library import Control, Hazard, Scope
from safety.domain.library_writer import (
    as_yaml,
    condition_plain,
    raises_plain,
    reasons_plain,
    source_plain,
)
from safety.domain.risk import Matrix
from safety.domain.traces import Joint
from safety.forms.library_parts import (
    HOW,
    SOURCE_HELP,
    PartField,
    ScopedForm,
    plain,
    sentence,
)

OWN = "own_"
_KINDS = {Scope.TASK: ("task.kind", Op.IN), Scope.JOB: ("job.task_kinds", Op.HAS)}


def _steps(label: str, words: Iterable[str]) -> forms.TypedChoiceField:
    named = [(str(n), word.capitalize()) for n, word in enumerate(words, 1)]
    choices = [("", "Choose one"), *named]
    return forms.TypedChoiceField(label=label, coerce=int, choices=choices)


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
        help_text="None ticked: the condition below decides alone.",
    )
    when = PartField("when", label="When it is there", rows=6, required=False)
    why = PartField(
        "why",
        label="Why it is there",
        rows=5,
        help_text="A sentence; {task.work_height_m} puts the figure of the job in. "
        "Several sentences: a list, each with an “if” of its own.",
    )
    worse = PartField(
        "raise", label="What makes it worse", rows=5, required=False, help_text=HOW
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
        self.fields[
            "when"
        ].help_text = f"{HOW} With steps ticked, it must hold there too."
        self.see(scope)

    @classmethod
    def starting(cls, hazard: Hazard) -> dict[str, Any]:
        """What stands there now."""
        whole_job = hazard.scope is Scope.JOB
        kinds, rest = _apart(hazard.condition, hazard.scope)
        raises = raises_plain(hazard.raises, whole_job=whole_job)
        return {
            "name": hazard.name.text,
            "harm": hazard.harm,
            "kinds": sorted(kinds),
            "when": as_yaml(condition_plain(rest, whole_job=whole_job)) if rest else "",
            "why": plain(reasons_plain(hazard.reasons, whole_job=whole_job)),
            "worse": as_yaml(raises) if raises else "",
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
            says = "Tick the steps it is in, or write when it is there."
            self.add_error("kinds", says)
        return typed

    def parts(self) -> dict[str, Any]:
        """What was typed, by the fields of a hazard."""
        typed = self.cleaned_data
        return {
            "name": typed["name"],
            "harm": " ".join(typed["harm"].split()),
            "condition": _together(frozenset(typed["kinds"]), typed["when"], self.sees),
            "reasons": typed["why"],
            "raises": typed["worse"] or (),
            "likelihood": typed["likelihood"],
            "consequence": typed["consequence"],
            "no_higher_control": " ".join(typed["no_higher_control"].split()),
            "source": typed["source"],
        }

    @property
    def helper(self) -> FormHelper:
        """On one panel, in the order people think of it."""
        return panel_helper(*_HAZARD, save="Save the hazard")


_HAZARD = (
    Fieldset("The hazard", "name", "harm"),
    Fieldset("When it is there", "kinds", "when", "why"),
    Fieldset("Before any control", Row("likelihood", "consequence"), "worse"),
    Fieldset("What it rests on", "source", "no_higher_control"),
)


def _apart(
    condition: Condition, scope: Scope
) -> tuple[frozenset[str], Condition | None]:
    """The kinds of step that a condition asks for, and what else it asks."""
    parts: tuple[Condition, ...] = (condition,)
    if isinstance(condition, Both) and condition.joint is Joint.ALL:
        parts = condition.parts
    first, rest = parts[0], parts[1:]
    fact, op = _KINDS[scope]
    if not (
        isinstance(first, Test)
        and (first.fact, first.op) == (fact, op)
        and isinstance(first.wanted, frozenset)
    ):
        return frozenset(), condition
    if not rest:
        return first.wanted, None
    return first.wanted, rest[0] if len(rest) == 1 else Both(Joint.ALL, rest)


def _together(
    kinds: frozenset[str], rest: Condition | None, scope: Scope
) -> Condition | None:
    """The condition that :func:`_apart` took apart."""
    if not kinds:
        return rest
    steps = Test(*_KINDS[scope], kinds)
    if rest is None:
        return steps
    match rest:
        case Both(Joint.ALL, parts):
            return Both(Joint.ALL, (steps, *parts))
        case _:
            return Both(Joint.ALL, (steps, rest))


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
    )
    field_order = ("file", "scope", "name", "harm", "likelihood", "consequence")

    def __init__(
        self, *args: Any, matrix: Matrix, themes: Mapping[str, str], **kwargs: Any
    ) -> None:
        data = args[0] if args else None
        known = {scope.value for scope in Scope}
        typed = str(data.get("scope")) if data else Scope.TASK.value
        scope = Scope(typed) if typed in known else Scope.TASK
        super().__init__(*args, matrix=matrix, scope=scope, **kwargs)
        self.fields["file"].choices = [  # type: ignore[attr-defined]
            (key, theme.capitalize()) for key, theme in themes.items()
        ]
        self.order_fields(self.field_order)
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


def free_key(words: str, taken: Iterable[str]) -> str:
    """A key of the firm's own after some words, which nothing has yet."""
    stem = OWN + (slugify(words).replace("-", "_")[:40].strip("_") or "hazard")
    known, key, n = set(taken), stem, 2
    while key in known:
        key, n = f"{stem}_{n}", n + 1
    return key
