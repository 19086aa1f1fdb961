"""Forms of the day on site, sent from a phone: sign-on, starts of work, and slips."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import panel_helper
from jobs.forms.phone import KEPT, PhoneForm
from jobs.forms.pins import PinField
from jobs.models import Person, SitePin, Task

SOMETHING_ELSE = "other"
_SLIPS = [
    ("Pressed by mistake.", "Pressed by mistake"),
    ("Wrong person, task or job.", "Wrong person, task or job"),
    (SOMETHING_ELSE, "Something else"),
]


def kept_helper(*layout: Any, save: str) -> FormHelper:
    """A panel with one button that stays in its page until it has got through."""
    helper = panel_helper(*layout, save=save)
    helper.attrs = KEPT
    helper.render_hidden_fields = True
    return helper


class SignForm(PhoneForm):
    """The typed name, with the drawn one beside it when there is one.

    With ``kept``, the PIN of who signs on another's phone, the drawn name is enough.
    """

    pin = PinField(label="Your PIN", error_messages={"required": "Type your PIN."})
    new_pin = PinField(
        label="A new PIN of your own",
        help_text="The one from the office counts once. Choose 6 to 8 digits.",
        error_messages={"required": "Choose a PIN of your own."},
    )
    signature_name = forms.CharField(
        max_length=120, error_messages={"required": "Type the full name to sign."}
    )
    signature_strokes = forms.CharField(required=False, max_length=60_000)

    def __init__(self, *args: Any, kept: SitePin | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if kept is None:
            del self.fields["pin"]
        else:
            self.fields["signature_name"].required = False
        if kept is None or not kept.once:
            del self.fields["new_pin"]

    def pins(self) -> dict[str, str]:
        """The PINs that were asked for, by what the service calls them."""
        return {
            name: self.cleaned_data[name]
            for name in ("pin", "new_pin")
            if name in self.fields
        }


class PeopleForm(PhoneForm):
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
        return kept_helper(save="They have started")


class StartForm(PeopleForm):
    """Who starts work: those of the day first, others of the firm apart."""

    def __init__(
        self, *args: Any, of_the_day: Sequence[Person], others: Sequence[Person]
    ) -> None:
        super().__init__(*args, people=[*of_the_day, *others])
        groups = [("Today", of_the_day), ("Others of the firm", others)]
        self.fields["here"].choices = [  # type: ignore[attr-defined]
            (title, [(str(person.pk), person.name) for person in people])
            for title, people in groups
            if people
        ]


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


class SlipForm(forms.Form):
    """Why something is taken back: the usual slips, or one's own words."""

    slip = forms.ChoiceField(
        label="What was wrong with it?",
        choices=_SLIPS,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what was wrong."},
        help_text="It stays on the record, with this beside it.",
    )
    reason = forms.CharField(
        label="In your words",
        max_length=240,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def clean(self) -> dict[str, Any]:
        """Something else needs words; the usual slips may have some."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        slip, words = typed.get("slip", ""), typed.get("reason", "").strip()
        typed["why"] = words or slip
        if slip == SOMETHING_ELSE and not words:
            self.add_error("reason", "Say what was wrong.")
        return typed

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="Take it back")
