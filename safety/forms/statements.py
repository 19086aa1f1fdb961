"""Review, issue and drop a version."""

from crispy_forms.helper import FormHelper
from django import forms

from jobs.forms.fields import panel_helper


class ReviewForm(forms.Form):
    """A competent person says that they have read the plan and stand by it."""

    note = forms.CharField(
        label="Note",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What you looked at, and whom you asked. It stays with the version.",
    )
    competent = forms.BooleanField(
        label="I have read the whole plan, know this kind of work, and the plan fits "
        "this job and site.",
        error_messages={"required": "Read the plan first, then say so here."},
    )
    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="Review this plan")


class IssueForm(forms.Form):
    """The version goes to the crew."""

    consulted = forms.BooleanField(
        label="The people who do the work were asked about it, or will be before they "
        "start.",
        error_messages={"required": "Ask them first, then say so here."},
    )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="Issue it")


class DropForm(forms.Form):
    """Give a reviewed version up."""

    reason = forms.CharField(
        label="Why is it dropped?", widget=forms.Textarea(attrs={"rows": 2})
    )

    @property
    def helper(self) -> FormHelper:
        """One button."""
        return panel_helper(save="Drop it")
