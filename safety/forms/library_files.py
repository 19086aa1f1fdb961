"""The hazard library: what to show of it, switching off, files and updates."""

from collections.abc import Iterable, Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import PlainForm, filter_helper, panel_helper
from safety.domain.merge import Side

STANDINGS = {
    "shipped": "As shipped",
    "changed": "Changed by us",
    "own": "Our own",
    "off": "Switched off",
}
_MOST_BYTES = 2_000_000


class SwitchForm(PlainForm):
    """Why a hazard is switched off."""

    reason = forms.CharField(
        label="Why does it not count for this firm?",
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="A sentence. It is kept for whoever asks later.",
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    @property
    def helper(self) -> FormHelper:
        """On one panel."""
        return panel_helper("reason", save="Switch it off")


class HazardFilter(PlainForm):
    """What of the library to show."""

    file = forms.ChoiceField(label="About", required=False)
    state = forms.ChoiceField(
        label="Standing",
        required=False,
        choices=[("", "All"), *STANDINGS.items()],
    )
    words = forms.CharField(label="Words in it", required=False, max_length=60)

    def __init__(self, *args: Any, themes: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(key, theme.capitalize()) for key, theme in themes.items()]
        self.fields["file"].choices = [("", "Everything"), *named]  # type: ignore[attr-defined]

    @property
    def helper(self) -> FormHelper:
        """A row above the list."""
        return filter_helper()


class LibraryUploadForm(PlainForm):
    """A library that was taken out before."""

    file = forms.FileField(
        label="File",
        help_text="One text file (.yaml) as “Take the library out” gives it.",
        widget=forms.ClearableFileInput(attrs={"accept": ".yaml,.yml,.txt"}),
    )

    def clean_file(self) -> tuple[str, str]:
        """Its name and its text."""
        upload = self.cleaned_data["file"]
        if upload.size > _MOST_BYTES:
            raise forms.ValidationError("That is too large to be a hazard library.")
        try:
            return upload.name, upload.read().decode("utf-8-sig")
        except UnicodeDecodeError as error:
            says = "This is not a text file. Choose the one you took out."
            raise forms.ValidationError(says) from error

    @property
    def helper(self) -> FormHelper:
        """On one panel."""
        return panel_helper(save="Look at what it says")


class UpdateForm(PlainForm):
    """Who is right, point by point, where the firm and the update differ."""

    seen = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, choices: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in choices:
            self.fields[name] = forms.ChoiceField(
                label="Which one counts?",
                choices=[(Side.OURS.value, "Ours"), (Side.THEIRS.value, "The new one")],
                widget=forms.RadioSelect,
                error_messages={"required": "Decide this one."},
            )

    def decided(self) -> dict[str, Side]:
        """The side by the name of each point."""
        return {
            name: Side(value)
            for name, value in self.cleaned_data.items()
            if name != "seen"
        }
