"""A control of the library, as the office fills it in."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Field, Fieldset, Row
from django import forms

from jobs.forms.fields import panel_helper
from safety.domain.hierarchy import Level
from safety.domain.library import Control, Scope
from safety.domain.library_words import WHO
from safety.domain.library_writer import source_plain
from safety.domain.plan import When
from safety.domain.risk import HIGHEST, Effect
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


def _off(label: str) -> forms.TypedChoiceField:
    choices = [(n, f"{n} off" if n else "Nothing") for n in range(HIGHEST)]
    return forms.TypedChoiceField(label=label, coerce=int, choices=choices, initial=0)


class ControlForm(ScopedForm):
    """One control: what is done, by whom, when, and how it is checked."""

    text = sentence("What is done", rows=3)
    level = forms.ChoiceField(
        label="What kind of control is it?",
        choices=[
            ("", "Choose one"),
            *((level.value, level.name_in_full) for level in Level),
        ],
        help_text="The strongest kind that can reasonably be done comes first.",
    )
    who = forms.ChoiceField(
        label="Who sees to it",
        choices=[(role.value, says) for role, says in WHO.items()],
    )
    when = forms.ChoiceField(
        label="When",
        choices=[(when.name.lower(), when.value.capitalize()) for when in When],
        initial=When.TASK_START.name.lower(),
    )
    check = sentence("How it is checked")
    ask = sentence(
        "Question of the daily check",
        required=False,
        help_text="“Yes” must mean that all is well. Leave it empty to ask nothing.",
    )
    less_likely = _off("Takes off how likely")
    less_bad = _off("Takes off how bad")
    only_if = ConditionField(
        label="Only when",
        rising=False,
        help_text="Without a row it is always done.",
    )
    source = PartField(
        "source",
        label="Where it comes from",
        initial="firm's decision",
        help_text=SOURCE_HELP,
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, scope: Scope = Scope.TASK, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.see(scope)

    @classmethod
    def starting(cls, control: Control) -> dict[str, Any]:
        """What stands there now."""
        return {
            "text": control.text.text,
            "level": control.level.value,
            "who": control.who.value,
            "when": control.when.name.lower(),
            "check": control.check,
            "ask": control.ask,
            "less_likely": control.effect.likelihood,
            "less_bad": control.effect.consequence,
            "only_if": control.condition,
            "source": plain(source_plain(control.source)),
        }

    def control(self, key: str) -> Control:
        """What was typed, as a control with that key."""
        typed = self.cleaned_data
        return Control(
            key=key,
            text=typed["text"],
            level=Level(typed["level"]),
            effect=Effect(typed["less_likely"], typed["less_bad"]),
            who=next(role for role in WHO if role.value == typed["who"]),
            when=When[typed["when"].upper()],
            check=typed["check"].text,
            source=typed["source"],
            ask=typed["ask"].text if typed["ask"] else "",
            condition=typed["only_if"],
        )

    @property
    def helper(self) -> FormHelper:
        """On one panel; beside a new hazard a part of its form."""
        if self.prefix:
            return part_helper(Fieldset("The first thing done about it", *_CONTROL))
        return panel_helper(SAVES_FIRST, *_CONTROL, save="Save the control")


_CONTROL = (
    "text",
    "level",
    Row("who", "when"),
    "check",
    "ask",
    Row("less_likely", "less_bad"),
    Field("only_if", template=ROWS_TEMPLATE),
    "source",
)
