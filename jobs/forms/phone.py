"""Forms sent from a phone on site, perhaps twice, perhaps after a while without signal."""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.core.exceptions import ValidationError

from jobs.domain.moments import first_sent_at

# What a form of the day on site says about itself to the page's script: it stays where
# it is until it has got through, and what was typed, drawn or photographed stays in it.
KEPT = {
    "hx-post": "",
    "hx-encoding": "multipart/form-data",
    "hx-target": "#kept",
    "hx-select": "#kept",
    "hx-swap": "outerHTML",
    "hx-disabled-elt": "find [type=submit]",
    "hx-request": '{"timeout": 120000}',
}


class ForgottenInput(forms.HiddenInput):
    """Filled in by the page's script when the form is sent; empty whenever it is shown."""

    def get_context(
        self, name: str, value: Any, attrs: dict[str, Any] | None
    ) -> dict[str, Any]:
        """Without what it said the last time."""
        return super().get_context(name, None, attrs)


class DeviceTimeField(forms.DateTimeField):
    """A time off the phone's clock. One that cannot be read is none."""

    widget = ForgottenInput

    def clean(self, value: Any) -> datetime | None:
        """The time, or None."""
        try:
            found: datetime | None = super().clean(value)
        except ValidationError:
            return None
        return found


class PhoneForm(forms.Form):
    """Carries an id made when it was opened, so that sent twice is kept once.

    ``device_at`` is when its button was first pressed, ``sent_at`` when what arrived was
    sent, both off the phone's clock and filled in by a script; without one they are
    empty, and the server's own clock holds.
    """

    client_uid = forms.UUIDField(widget=forms.HiddenInput, required=False)
    device_at = DeviceTimeField(required=False)
    sent_at = DeviceTimeField(required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("client_uid", uuid4())

    def uid(self) -> UUID:
        """The id; a new one when it was lost."""
        found: UUID | None = self.cleaned_data.get("client_uid")
        return found or uuid4()

    def first_sent_at(self, at: datetime) -> datetime | None:
        """When it was first sent, by the server's clock; None: just now."""
        typed = self.cleaned_data
        return first_sent_at(typed["device_at"], typed["sent_at"], at)

    def renew(self) -> None:
        """Give it a new id: what the old one stands for is recorded already."""
        data: Any = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("client_uid")] = str(uuid4())
        self.data = data


PHONE_FIELDS = ("client_uid", "device_at", "sent_at")
