"""A file that somebody hands in."""

from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings

from jobs.forms.fields import PlainForm, panel_helper


class DocumentForm(PlainForm):
    """A document of a job."""

    title = forms.CharField(label="What is it?", max_length=160)
    file = forms.FileField(
        label="File",
        help_text=f"PDF, JPEG, PNG or WebP, up to {settings.UPLOAD_LIMIT_MB} MB.",
    )

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Keep it")
