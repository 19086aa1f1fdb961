"""Forms of the day on site. Each carries an id, so that sent twice is once."""

from collections.abc import Iterable, Sequence
from typing import Any
from uuid import UUID, uuid4

from crispy_forms.bootstrap import InlineRadios
from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms

from jobs.forms.fields import FigureField, panel_helper
from jobs.models import Person, Task
from safety.domain.daily import Question
from safety.domain.measuring import Reading
from safety.models import CheckAnswer, DailyCheck
from safety.services.checks import Answered, Weather

KMH_PER_MS = 3.6
_ANSWERS = [(answer.value, answer.label) for answer in CheckAnswer.Answer]


class OnceForm(forms.Form):
    """Carries an id made when the form was opened."""

    client_uid = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("client_uid", uuid4())

    def uid(self) -> UUID:
        """The id; a new one when it was lost."""
        found: UUID | None = self.cleaned_data.get("client_uid")
        return found or uuid4()


class SignForm(OnceForm):
    """The typed name, with the drawn one beside it when there is one."""

    signature_name = forms.CharField(
        max_length=120, error_messages={"required": "Type the full name to sign."}
    )
    signature_strokes = forms.CharField(required=False, max_length=60_000)


class PeopleForm(OnceForm):
    """Who starts work."""

    here = forms.MultipleChoiceField(
        label="Who starts work now?",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Say who starts work."},
    )

    def __init__(self, *args: Any, people: Iterable[Person], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people = {str(person.pk): person for person in people}
        choices = [(pk, person.name) for pk, person in self.people.items()]
        self.fields["here"].choices = choices  # type: ignore[attr-defined]

    def chosen(self) -> list[Person]:
        """The people ticked."""
        return [self.people[pk] for pk in self.cleaned_data["here"]]

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="They have started")


class TasksForm(forms.Form):
    """What is worked on today."""

    task = forms.ModelMultipleChoiceField(
        queryset=Task.objects.none(),
        label="What is worked on today?",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(
        self, data: Any, *, tasks: Sequence[Task], today: Iterable[Task]
    ) -> None:
        given = data if data is not None and "task" in data else None
        super().__init__(given, initial={"task": [task.pk for task in today]})
        field = self.fields["task"]
        field.queryset = Task.objects.filter(pk__in=[task.pk for task in tasks])  # type: ignore[attr-defined]

    def chosen(self) -> list[int]:
        """Ids of the tasks; what the day has room for when nothing was chosen."""
        if self.is_bound and self.is_valid() and self.cleaned_data["task"]:
            return [task.pk for task in self.cleaned_data["task"]]
        return list(self.initial["task"])


class CheckForm(PeopleForm):
    """The daily check: one field a question, the weather, the outcome."""

    outcome = forms.ChoiceField(
        choices=DailyCheck.Outcome.choices,
        error_messages={"required": "Choose go, go with changes, or no go."},
    )
    note = forms.CharField(
        label="What is done differently, or why it is no go",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    wind_gust = FigureField(
        label="Strongest gust forecast, km/h", required=False, min_value=0
    )
    temperature = FigureField(label="Hottest today, °C", required=False)
    raining = forms.BooleanField(label="It is raining, or will", required=False)
    photo = forms.FileField(
        label="Photo of the site",
        required=False,
        widget=forms.ClearableFileInput(
            attrs={"accept": "image/*", "capture": "environment"}
        ),
    )

    def __init__(
        self, *args: Any, questions: Sequence[Question], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["here"].required = False
        self.fields["here"].label = "Who is here to work?"
        self.questions = questions
        for n, question in enumerate(questions):
            self.fields[f"q{n}"] = forms.ChoiceField(
                label=question.text,
                choices=_ANSWERS,
                required=False,
                widget=forms.RadioSelect,
            )
            self.fields[f"q{n}_note"] = forms.CharField(
                label="If not: what is done instead", required=False, max_length=240
            )

    def groups(self) -> list[tuple[str, list[tuple[Any, Any]]]]:
        """Questions by what they are about, each with its field and its note."""
        found: dict[str, list[tuple[Any, Any]]] = {}
        for n, question in enumerate(self.questions):
            pair = (self[f"q{n}"], self[f"q{n}_note"])
            found.setdefault(str(question.about), []).append(pair)
        return list(found.items())

    def answers(self) -> dict[str, Answered]:
        """Answers by question key; unanswered ones are left out."""
        cleaned = self.cleaned_data
        return {
            question.key: Answered(cleaned[f"q{n}"], cleaned[f"q{n}_note"].strip())
            for n, question in enumerate(self.questions)
            if cleaned.get(f"q{n}")
        }

    def weather(self) -> Weather:
        """The weather in SI units."""
        gust = self.cleaned_data["wind_gust"]
        return Weather(
            wind_gust_ms=None if gust is None else round(gust / KMH_PER_MS, 2),
            raining=self.cleaned_data["raining"],
            temperature_c=self.cleaned_data["temperature"],
        )


class MeasureForm(OnceForm):
    """Readings of a hold point, or a look."""

    looks_right = forms.ChoiceField(
        label="Is it so?",
        choices=[("yes", "Yes"), ("no", "No")],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(label="Note", required=False, max_length=240)

    def __init__(
        self, *args: Any, readings: Sequence[Reading], looks: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.readings = readings
        fields = {
            reading.name: FigureField(label=f"{reading.label}, millimetres")
            for reading in readings
        }
        if not looks:
            del self.fields["looks_right"]
        self.fields = {**fields, **self.fields}

    def values(self) -> dict[str, float]:
        """Readings by name."""
        return {r.name: self.cleaned_data[r.name] for r in self.readings}

    def looks_right_said(self) -> bool:
        """Whether the person said that it looks right."""
        return self.cleaned_data.get("looks_right") == "yes"

    @property
    def helper(self) -> FormHelper:
        """One button; a look has two big choices."""
        names: list[Any] = [reading.name for reading in self.readings]
        if "looks_right" in self.fields:
            names.append(InlineRadios("looks_right"))
        helper = panel_helper(save="Record it")
        helper.layout = Layout(*names, "note", "client_uid")
        return helper


class ReasonForm(forms.Form):
    """Why something is taken back."""

    reason = forms.CharField(
        label="What was wrong with it?",
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="It stays on the record, with this beside it.",
    )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="Take it back")
