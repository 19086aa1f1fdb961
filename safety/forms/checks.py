"""The daily check: one field a question, the weather, the outcome."""

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.forms.fields import FigureField
from safety.domain.daily import Question
from safety.domain.wording import KMH_PER_MS
from safety.forms.on_site import PeopleForm
from safety.models import CheckAnswer, DailyCheck
from safety.services.checks import Answered, Weather

_ANSWERS = [(answer.value, answer.label) for answer in CheckAnswer.Answer]


class CheckForm(PeopleForm):
    """The daily check as it is filled in on a phone."""

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
    humidity = FigureField(
        label="Humidity at that hour, %", required=False, min_value=0, max_value=100
    )
    wbgt = FigureField(
        label="WBGT measured in the sun, °C",
        required=False,
        min_value=0,
        max_value=60,
        help_text="From a heat stress meter. Without one it is estimated.",
    )
    new_to_heat = forms.BooleanField(
        label="Somebody here has worked less than two weeks in the heat", required=False
    )
    uv_index = FigureField(
        label="Highest UV index today", required=False, min_value=0, max_value=25
    )
    raining = forms.BooleanField(label="It is raining, or will", required=False)
    photo = forms.FileField(
        label="Photo of the site",
        required=False,
        widget=forms.ClearableFileInput(
            attrs={
                "accept": "image/*",
                "capture": "environment",
                "hx-preserve": "true",  # a refused check keeps the photo
            }
        ),
    )

    def __init__(
        self,
        *args: Any,
        questions: Sequence[Question],
        asks_heat: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["here"].required = False
        self.fields["here"].label = "Who is here to work?"
        for name in ("temperature", "humidity", "wbgt") if asks_heat else ():
            # One of them may do, so not called optional.
            self.fields[name].sometimes_needed = True  # type: ignore[attr-defined]
        self.questions = questions
        for question in questions:
            self.fields[_name(question)] = forms.ChoiceField(
                label=question.text,
                choices=_ANSWERS,
                required=False,
                widget=forms.RadioSelect,
            )
            self.fields[_note_name(question)] = forms.CharField(
                label="If not: what is done instead", required=False, max_length=240
            )

    def groups(self) -> list[tuple[str, list[tuple[Any, Any]]]]:
        """Questions by what they are about, each with its field and its note."""
        found: dict[str, list[tuple[Any, Any]]] = {}
        for question in self.questions:
            pair = (self[_name(question)], self[_note_name(question)])
            found.setdefault(str(question.about), []).append(pair)
        return list(found.items())

    def answers(self) -> dict[str, Answered]:
        """Answers by question key; unanswered ones are left out."""
        cleaned = self.cleaned_data
        return {
            question.key: Answered(
                cleaned[_name(question)], cleaned[_note_name(question)].strip()
            )
            for question in self.questions
            if cleaned.get(_name(question))
        }

    def weather(self) -> Weather:
        """The weather in SI units."""
        gust = self.cleaned_data["wind_gust"]
        return Weather(
            wind_gust_ms=None if gust is None else round(gust / KMH_PER_MS, 2),
            raining=self.cleaned_data["raining"],
            temperature_c=self.cleaned_data["temperature"],
            humidity_pct=self.cleaned_data["humidity"],
            uv_index=self.cleaned_data["uv_index"],
            wbgt_degc=self.cleaned_data["wbgt"],
            new_to_heat=self.cleaned_data["new_to_heat"],
        )

    def reasons(self) -> list[str]:
        """Why it was not recorded, in the order of the page."""
        if not self.is_bound:
            return []
        return [
            str(error)
            if name in {"__all__", "outcome"}
            else f"{self[name].label}: {error}"
            for name, errors in self.errors.items()
            for error in errors
        ]

    def denied(self) -> set[str]:
        """Names of the questions with a "no" that does not go with "go"."""
        if not self.is_bound or self.data.get("outcome") != DailyCheck.Outcome.GO:
            return set()
        names = map(_name, self.questions)
        return {name for name in names if self[name].value() == CheckAnswer.Answer.NO}

    def unanswered(self) -> set[str]:
        """Names of the questions that a refused check has left open."""
        if not self.is_bound or self.data.get("outcome") == DailyCheck.Outcome.NO_GO:
            return set()
        names = map(_name, self.questions)
        return {name for name in names if not self[name].value()}


# Named after what is asked, not after its place: a statement issued in the meantime
# leaves a question open, and never gives an answer to another one.
def _name(question: Question) -> str:
    return f"q:{question.key}"


def _note_name(question: Question) -> str:
    return f"q:{question.key}:note"
