"""Log in, set the firm up, get a new password."""

from collections.abc import Iterator
from typing import Any
from zoneinfo import available_timezones

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Submit
from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordResetForm
from django.contrib.auth.password_validation import (
    password_validators_help_texts,
    validate_password,
)
from django.core.exceptions import ValidationError

from jobs.domain.refusals import Refused
from jobs.forms.fields import PlainForm
from jobs.library import packs
from jobs.models import Person
from jobs.services.tries import (
    TooMany,
    count_try,
    forget_tries,
    refuse_when_too_many,
)


def pack_choices() -> list[tuple[str, str]]:
    """Places whose law the program knows: states rather than their country."""
    known = packs().values()
    parents = {key for pack in known for key in pack.chain[1:]}
    return sorted(
        ((pack.key, pack.name) for pack in known if pack.key not in parents),
        key=lambda pair: pair[1],
    )


def zone_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Time zones by continent, Australia first."""
    groups: dict[str, list[tuple[str, str]]] = {"Australia": []}
    for zone in sorted(available_timezones()):
        region, _, place = zone.partition("/")
        if place and region not in {"Etc", "SystemV", "posix", "right"}:
            words = place.replace("_", " ").replace("/", ", ")
            groups.setdefault(region, []).append((zone, words))
    return list(groups.items())


class LogInForm(AuthenticationForm):
    """Email and password, with a limit on wrong ones."""

    username = forms.EmailField(
        label="Email",
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
    )
    error_messages = {
        "invalid_login": "That email and password do not go together. "
        "Check both, then try again.",
        "inactive": "This account is closed. Ask the office.",
    }
    address = ""  # where the person comes from; the view sets it
    locked = False

    def clean(self) -> dict[str, Any]:
        """Check the two against each other, counting what fails."""
        who = {
            "what": "log-in",
            "email": self.cleaned_data.get("username", ""),
            "address": self.address,
        }
        try:
            refuse_when_too_many(**who)
        except TooMany as error:
            self.locked = True
            raise ValidationError(list(error.reasons)) from error
        try:
            cleaned = super().clean()
        except ValidationError:
            count_try(**who)
            raise
        forget_tries(**who)
        return cleaned


class NewPasswordForm(PasswordResetForm):
    """Asks for a link to set a password; also for people who never had one."""

    email = forms.EmailField(
        label="Email",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    address = ""

    def get_users(self, email: str) -> Iterator[Person]:
        """People who work here with that email."""
        return iter(Person.objects.filter(email__iexact=email, is_active=True))

    def clean_email(self) -> str:
        """Refuse to fill somebody's mailbox."""
        email: str = self.cleaned_data["email"]
        who = {"what": "new-password", "email": email, "address": self.address}
        try:
            refuse_when_too_many(**who)
        except Refused as error:
            raise ValidationError(list(error.reasons)) from error
        count_try(**who)
        return email


class SetUpForm(PlainForm):
    """The firm and its owner's account, asked once."""

    firm_name = forms.CharField(label="Name of the firm", max_length=120)
    pack = forms.ChoiceField(
        label="Where the firm works",
        choices=pack_choices,
        initial="au-nsw",
        help_text="This decides which law the hazard plans go by. "
        "Each site may name another place.",
    )
    time_zone = forms.ChoiceField(
        label="Clock of the firm", choices=zone_choices, initial="Australia/Sydney"
    )
    owner_name = forms.CharField(
        label="Your full name",
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    owner_email = forms.EmailField(
        label="Your email",
        help_text="You log in with it.",
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
    )
    owner_password = forms.CharField(
        label="A password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="The same password again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rules = password_validators_help_texts()
        self.fields["owner_password"].help_text = " ".join(rules)

    @property
    def helper(self) -> FormHelper:
        """The firm first, then who owns it."""
        helper = FormHelper()
        helper.form_class = "form panel"
        helper.layout = Layout(
            Fieldset("The firm", "firm_name", "pack", "time_zone"),
            Fieldset(
                "You, the owner",
                "owner_name",
                "owner_email",
                "owner_password",
                "again",
            ),
        )
        helper.add_input(Submit("save", "Set the firm up"))
        return helper

    def clean(self) -> dict[str, Any]:
        """The two passwords are the same, and good enough."""
        cleaned = super().clean() or self.cleaned_data
        password = cleaned.get("owner_password")
        if password and password != cleaned.get("again"):
            self.add_error("again", "The two passwords differ. Type both again.")
        elif password:
            owner = Person(
                name=cleaned.get("owner_name", ""), email=cleaned.get("owner_email")
            )
            try:
                validate_password(password, owner)
            except ValidationError as error:
                self.add_error("owner_password", error)
        return cleaned
