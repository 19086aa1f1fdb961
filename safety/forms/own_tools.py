"""What the firm knows of its tools of one kind."""

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import FigureField, PlainForm, panel_helper
from safety.domain.own_tools import OwnTool


class OwnToolForm(PlainForm):
    """Figures that take the place of typical ones."""

    noise_dba = FigureField(
        label="Noise at the ear, dB(A)", required=False, min_value=20, max_value=140
    )
    vibration_ms2 = FigureField(
        label="Vibration of the worse handle, m/s²",
        required=False,
        min_value=0,
        max_value=50,
        help_text="The three axes together, as the maker declares it or as measured.",
    )
    source = forms.CharField(
        label="Where the figures come from",
        required=False,
        max_length=200,
        help_text="Who measured it and when, or where the maker declares it.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    def opened_version(self) -> int:
        """The version of the firm's settings that the person saw."""
        version: int = self.cleaned_data["version"]
        return version

    def tool(self) -> OwnTool:
        """What was typed."""
        typed = self.cleaned_data
        return OwnTool(
            noise_dba=typed["noise_dba"],
            vibration_ms2=typed["vibration_ms2"],
            source=typed["source"],
        )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper("noise_dba", "vibration_ms2", "source")
