"""People, their roles, and the tickets they hold."""

from datetime import date
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings

from jobs.domain.roles import Can, Role
from jobs.forms.fields import (
    DayField,
    EditForm,
    PlainForm,
    RowForm,
    filter_helper,
    panel_helper,
)
from jobs.library import ticket_kinds
from jobs.models import Person, Ticket

ROLE_NAMES = {
    Role.OFFICE: "Office: jobs, approvals, plans, people",
    Role.SITE_LEAD: "Site lead: runs the day on site",
    Role.OWNER: "Owner: sees everything, gives out roles",
    Role.CREW: "Crew member: signs on and works",
}


class PersonForm(EditForm):
    """Someone who works for the firm."""

    joined_on = DayField(label="Started on", required=False)

    class Meta:
        model = Person
        fields = ("name", "email", "phone", "joined_on", "is_active")
        help_texts: ClassVar[dict[str, str]] = {
            "email": "They log in with it. Leave it empty for someone who only signs on "
            "with the site lead's phone.",
            "is_active": "Take this off when somebody leaves. Their records stay.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].required = False

    def clean_email(self) -> str | None:
        """Lower case, and nobody else's."""
        email = (self.cleaned_data["email"] or "").lower() or None
        others = Person.objects.exclude(pk=self.instance.pk)
        if email and others.filter(email__iexact=email).exists():
            raise forms.ValidationError(
                "Somebody already logs in with this email. Use another."
            )
        return email

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class NewPersonForm(PersonForm):
    """Someone new, with the first roles."""

    roles = forms.MultipleChoiceField(
        label="What they do",
        choices=(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    invite = forms.BooleanField(
        label="Send them an email with a link to set a password",
        required=False,
        initial=True,
    )

    class Meta(PersonForm.Meta):
        exclude = ("is_active",)

    def __init__(self, *args: Any, actor: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        allowed = (
            list(Role) if actor.can(Can.EDIT_ROLES) else [Role.SITE_LEAD, Role.CREW]
        )
        self.fields["roles"].choices = [  # type: ignore[attr-defined]
            (role.value, ROLE_NAMES[role]) for role in allowed
        ]
        if not actor.can(Can.EDIT_ROLES):
            self.fields[
                "roles"
            ].help_text = "Only an owner makes someone office or owner."

    def clean_roles(self) -> set[Role]:
        """As roles."""
        return {Role(value) for value in self.cleaned_data["roles"]}

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Add this person")


class RolesForm(PlainForm):
    """Exactly these roles, from now on."""

    roles = forms.MultipleChoiceField(
        label="What they do",
        choices=[(role.value, name) for role, name in ROLE_NAMES.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="One person may do several.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    def clean_roles(self) -> set[Role]:
        """As roles."""
        return {Role(value) for value in self.cleaned_data["roles"]}

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Save the roles")


def ticket_choices() -> list[tuple[str, str]]:
    """Kinds of ticket by name."""
    kinds = ticket_kinds().values()
    pairs = [(kind.key, kind.name) for kind in kinds]
    return [("", "Choose one"), *sorted(pairs, key=lambda pair: pair[1])]


class TicketForm(RowForm):
    """A licence or competency, with a picture of it."""

    kind = forms.ChoiceField(label="What it is", choices=ticket_choices)
    issued_on = DayField(label="Issued on", required=False)
    expires_on = DayField(
        label="Last day it is good for",
        required=False,
        help_text="The date on the card. Without one we count from the day of issue, "
        "when this kind runs out.",
    )
    evidence = forms.FileField(
        label="Picture or PDF of it",
        required=False,
        help_text=f"PDF, JPEG, PNG or WebP, up to {settings.UPLOAD_LIMIT_MB} MB.",
    )

    class Meta:
        model = Ticket
        fields = ("kind", "number", "issued_on", "expires_on")

    def clean(self) -> dict[str, Any]:
        """Work out the last day when the card shows none and the kind runs out."""
        cleaned = super().clean() or self.cleaned_data
        kind = ticket_kinds().get(cleaned.get("kind", ""))
        issued, expires = cleaned.get("issued_on"), cleaned.get("expires_on")
        if issued and expires and expires < issued:
            self.add_error(
                "expires_on", "It ends before it was issued. Check both days."
            )
        if kind and kind.expires_after_months and not expires:
            if issued:
                cleaned["expires_on"] = months_later(issued, kind.expires_after_months)
            else:
                self.add_error("expires_on", f"Give a day. {kind.expiry}")
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Record the ticket")


def months_later(day: date, months: int) -> date:
    """The same day of the month so many months on, or the month's last day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, last)
        except ValueError:
            continue
    raise AssertionError("every month has a 28th")


class PeopleFilter(PlainForm):
    """Which people a list shows."""

    q = forms.CharField(label="Name", required=False)
    role = forms.ChoiceField(
        label="What they do",
        required=False,
        choices=[
            ("", "Everybody"),
            (Role.OFFICE.value, "Office"),
            (Role.SITE_LEAD.value, "Site leads"),
            (Role.CREW.value, "Crew members"),
            (Role.OWNER.value, "Owners"),
            ("gone", "No longer here"),
        ],
    )

    @property
    def helper(self) -> FormHelper:
        """Asked by GET, in one row."""
        return filter_helper()
