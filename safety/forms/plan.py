"""A reviewer's changes to the plan."""

from collections.abc import Iterable
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms

from jobs.domain.facts import TaskFacts
from jobs.domain.roles import Role
from jobs.forms.fields import panel_helper
from safety.domain.hierarchy import Level
from safety.domain.overrides import Action
from safety.domain.plan import PlanControl, PlanLine, When
from safety.domain.risk import Matrix, Rating

_WHO = {
    Role.SITE_LEAD: "Site lead",
    Role.CREW: "Crew",
    Role.OFFICE: "Office",
    Role.OWNER: "Owner",
}


def _text(label: str, **options: Any) -> forms.CharField:
    rows = options.pop("rows", 2)
    return forms.CharField(
        label=label, widget=forms.Textarea(attrs={"rows": rows}), **options
    )


class PlanForm(forms.Form):
    """One change with its reason, which prints with the statement."""

    does: ClassVar[Action]
    save: ClassVar[str] = "Save the change"
    reason = _text(
        "Why?",
        max_length=240,
        help_text="A sentence. It prints with the change.",
    )
    order: ClassVar[tuple[str, ...]] = ()

    def changes(self) -> dict[str, str | int]:
        """What was typed, as the plan's edits keep it."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "reason" and value not in (None, "")
        }

    @property
    def helper(self) -> FormHelper:
        """On a panel, the reason last."""
        names = [name for name in self.fields if name != "reason"]
        return panel_helper(*names, "reason", save=self.save)


class WordsForm(PlanForm):
    """The words of a line."""

    does = Action.EDIT
    name = forms.CharField(label="The hazard", max_length=160)
    harm = _text("What could happen to a person", max_length=400)
    why = _text("Why it is here", max_length=600, required=False)

    @classmethod
    def starting(cls, line: PlanLine) -> dict[str, str]:
        """What stands there now."""
        return {"name": line.name, "harm": line.harm, "why": line.why}


class RatingForm(PlanForm):
    """The rating of a line before and after its controls."""

    does = Action.RATE

    def __init__(self, *args: Any, matrix: Matrix, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields = {**_rating_fields(matrix), "reason": self.fields["reason"]}

    @classmethod
    def starting(cls, line: PlanLine) -> dict[str, int]:
        """The ratings now."""
        return _steps("initial", line.initial) | _steps("residual", line.residual)

    def changes(self) -> dict[str, str | int]:
        """Steps of the matrix as numbers."""
        return {name: int(value) for name, value in super().changes().items()}

    @property
    def helper(self) -> FormHelper:
        """Before and after, each in a row."""
        return panel_helper(
            Fieldset(
                "Before controls", Row("initial_likelihood", "initial_consequence")
            ),
            Fieldset(
                "With the controls", Row("residual_likelihood", "residual_consequence")
            ),
            "reason",
            save=self.save,
        )


def _steps(which: str, rating: Rating) -> dict[str, int]:
    return {
        f"{which}_likelihood": rating.likelihood,
        f"{which}_consequence": rating.consequence,
    }


def _rating_fields(matrix: Matrix) -> dict[str, forms.Field]:
    words = {"likelihood": matrix.likelihoods, "consequence": matrix.consequences}
    labels = {"likelihood": "How likely", "consequence": "How bad"}
    return {
        f"{which}_{axis}": forms.ChoiceField(
            label=labels[axis],
            choices=[(n, word.capitalize()) for n, word in enumerate(words[axis], 1)],
        )
        for which in ("initial", "residual")
        for axis in ("likelihood", "consequence")
    }


class ControlForm(PlanForm):
    """A control of a line as it stands."""

    does = Action.EDIT_CONTROL
    text = _text("The control", max_length=400, rows=3)
    check = _text("How it is checked", max_length=240)
    ask = forms.CharField(
        label="Question of the daily check",
        max_length=200,
        required=False,
        help_text="“Yes” must mean that all is well. Leave it empty to ask nothing.",
    )

    @classmethod
    def starting(cls, control: PlanControl) -> dict[str, str]:
        """What stands there now."""
        return {"text": control.text, "check": control.check, "ask": control.ask}


class NewControlForm(ControlForm):
    """One more control of a line."""

    does = Action.ADD_CONTROL
    save = "Add the control"
    level = forms.ChoiceField(
        label="What kind of control is it?",
        choices=[(level.value, level.name_in_full) for level in Level],
        initial=Level.ADMINISTRATIVE.value,
        help_text="The strongest kind that can reasonably be done comes first.",
    )
    who = forms.ChoiceField(
        label="Who sees to it",
        choices=[(role.value, says) for role, says in _WHO.items()],
    )
    when = forms.ChoiceField(
        label="When",
        choices=[(when.value, when.value.capitalize()) for when in When],
        initial=When.TASK_START.value,
    )


class LeaveOutForm(PlanForm):
    """Leave a hazard out of the plan."""

    does = Action.REMOVE
    save = "Leave it out"


class LeaveControlOutForm(PlanForm):
    """Leave one control out."""

    does = Action.REMOVE_CONTROL
    save = "Leave the control out"


class NewHazardForm(NewControlForm):
    """A hazard that the rules do not know, with its first control."""

    does = Action.ADD
    save = "Add the hazard"
    task_key = forms.ChoiceField(label="In which step", required=False)
    name = forms.CharField(label="The hazard", max_length=160)
    harm = _text("What could happen to a person", max_length=400)

    def __init__(
        self, *args: Any, matrix: Matrix, tasks: Iterable[TaskFacts], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.tasks = {task.key: task for task in tasks}
        steps = [
            (task.key, f"{task.position}. {task.name}") for task in self.tasks.values()
        ]
        self.fields["task_key"].choices = [("", "The whole job"), *steps]  # type: ignore[attr-defined]
        self.fields |= _rating_fields(matrix)

    def changes(self) -> dict[str, str | int]:
        """The line as the plan's edits keep it, with its place in the sequence."""
        found = super().changes()
        for name in found:
            if name.endswith(("_likelihood", "_consequence")):
                found[name] = int(found[name])
        task = self.tasks.get(str(found.get("task_key", "")))
        place: dict[str, str | int] = {
            "task_name": task.name if task else "Whole job",
            "position": task.position if task else 0,
        }
        return found | place

    @property
    def helper(self) -> FormHelper:
        """The hazard, its control, its rating."""
        return panel_helper(
            Fieldset("The hazard", "task_key", "name", "harm"),
            Fieldset(
                "What is done about it",
                "text",
                "level",
                Row("who", "when"),
                "check",
                "ask",
            ),
            Fieldset(
                "Before the control", Row("initial_likelihood", "initial_consequence")
            ),
            Fieldset(
                "With the control", Row("residual_likelihood", "residual_consequence")
            ),
            "reason",
            save=self.save,
        )
