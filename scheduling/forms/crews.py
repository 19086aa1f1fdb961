"""Crews, who is in them, and who is away."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Button
from django import forms
from django.db.models import Q

from jobs.forms.fields import DayField, EditForm, PlainForm, panel_helper
from jobs.models import Job, Person
from scheduling.models import Crew

THEN_DRAFT = "then_draft"


def then_draft() -> Button:
    """A second button: record what went wrong and make a draft around it."""
    button = Button(THEN_DRAFT, "Record it and plan around it", css_class="btn")
    button.input_type = "submit"
    return button


class CrewForm(EditForm):
    """A crew's name, its lead, and where it starts from."""

    class Meta:
        model = Crew
        fields = (
            "name",
            "lead",
            "base",
            "base_latitude",
            "base_longitude",
            "is_active",
        )
        help_texts = {
            "lead": "Sees the crew's jobs and runs their days on site.",
            "base": "The yard, or where the crew's truck stands at night.",
            "base_latitude": "With both figures, driving time is reckoned from here.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        leads = Person.objects.filter(is_active=True, is_site_lead=True)
        field = self.fields["lead"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset, field.empty_label = leads, "Nobody yet"
        if self.instance.pk is None:
            del self.fields["is_active"]

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


def person_choice(**options: Any) -> "forms.ModelChoiceField[Person]":
    """Somebody who works here and goes out with a crew."""
    workers = Person.objects.filter(
        Q(is_crew=True) | Q(is_site_lead=True), is_active=True
    )
    return forms.ModelChoiceField(queryset=workers, **options)


class JoinForm(PlainForm):
    """Somebody joins a crew."""

    person = person_choice(
        label="Who", help_text="They leave the crew they are in on the day before."
    )
    from_on = DayField(label="First day in this crew")
    to_on = DayField(label="Last day, if it is known", required=False)

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Put them in the crew")


class LeaveForm(PlainForm):
    """Somebody leaves a crew."""

    to_on = DayField(label="Last day in this crew")

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="End their place")


class AbsenceForm(PlainForm):
    """A person or a whole crew is away."""

    person = person_choice(label="Who", required=False, empty_label="Choose one")
    crew = forms.ModelChoiceField(
        label="Or a whole crew",
        queryset=Crew.objects.filter(is_active=True),
        required=False,
        empty_label="No whole crew",
    )
    from_on = DayField(label="First day away")
    to_on = DayField(label="Last day away")
    reason = forms.CharField(
        label="Why",
        max_length=120,
        help_text="A word is enough: leave, sick, training. The plan shows it.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("person", "crew"):
            self.fields[name].sometimes_needed = True  # type: ignore[attr-defined]

    @property
    def helper(self) -> FormHelper:
        """One panel; it can be planned around at once."""
        helper = panel_helper(save="Record it")
        helper.add_input(then_draft())
        return helper


class ClosureForm(PlainForm):
    """The whole firm is shut."""

    from_on = DayField(label="First day shut")
    to_on = DayField(label="Last day shut")
    reason = forms.CharField(label="Why", max_length=120)

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Shut the firm on these days")


class LostDayForm(PlainForm):
    """A day is called off for weather."""

    day = DayField(label="Which day")
    job = forms.ModelChoiceField(
        label="Which job",
        queryset=Job.objects.none(),
        required=False,
        empty_label="All jobs",
    )
    reason = forms.CharField(
        label="Why",
        max_length=120,
        help_text="Such as “rain all day” or “gusts above the sheet limit”.",
    )

    def __init__(self, *args: Any, jobs: Any, all_jobs: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["job"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = jobs
        self.may_draft = all_jobs
        if not all_jobs:
            field.required, field.empty_label = True, None

    @property
    def helper(self) -> FormHelper:
        """One panel; the office can plan around it at once."""
        helper = panel_helper(save="Call the day off")
        if self.may_draft:
            helper.add_input(then_draft())
        return helper
