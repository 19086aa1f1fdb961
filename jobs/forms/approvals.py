"""Steps of an approval, whether it is needed, and the kinds there are."""

from collections.abc import Collection
from datetime import date
from typing import Any, ClassVar

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Row
from django import forms
from django.conf import settings
from django.db.models import QuerySet
from django.utils.text import slugify

from jobs.domain.approvals import Step
from jobs.domain.holds import Basis
from jobs.forms.fields import DayField, EditForm, PlainForm, RowForm, panel_helper
from jobs.models import Approval, ApprovalKind


class StepForm(PlainForm):
    """What happened to an approval."""

    step = forms.ChoiceField(label="What happened?", widget=forms.RadioSelect)
    happened_on = DayField(
        label="On what day?",
        help_text="The day it happened, not the day you type it in.",
    )
    reference = forms.CharField(
        label="Their number or reference", required=False, max_length=80
    )
    conditions = forms.CharField(
        label="Conditions, or what they ask for",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    expires_on = DayField(
        label="Last day it is good for",
        required=False,
        help_text="Only when it was granted, and only when it runs out.",
    )
    note = forms.CharField(
        label="Note", required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    document = forms.FileField(
        label="The paper itself",
        required=False,
        help_text=f"PDF, JPEG, PNG or WebP, up to {settings.UPLOAD_LIMIT_MB} MB.",
    )

    def __init__(
        self, *args: Any, steps: Collection[Step], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        choices = [(step.value, step.says) for step in Step if step in steps]
        self.fields["step"].choices = choices  # type: ignore[attr-defined]
        self.initial.setdefault("happened_on", today)

    def clean(self) -> dict[str, Any]:
        """An end only for what was granted."""
        cleaned = super().clean() or self.cleaned_data
        granted = {Step.GRANTED.value, Step.GRANTED_IF.value}
        if cleaned.get("expires_on") and cleaned.get("step") not in granted:
            self.add_error(
                "expires_on", "Only a granted approval runs out. Leave it empty."
            )
        if cleaned.get("step") == Step.GRANTED_IF and not cleaned.get("conditions"):
            self.add_error(
                "conditions", "Write down the conditions it was granted with."
            )
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(
            "step",
            "happened_on",
            "reference",
            "conditions",
            "expires_on",
            "document",
            "note",
            save="Record it",
        )


class NeededForm(EditForm):
    """Whether the job needs this approval."""

    required = forms.TypedChoiceField(
        label="Does this job need it?",
        choices=[("True", "Yes"), ("False", "No")],
        coerce=lambda value: value == "True",
        widget=forms.RadioSelect,
    )

    class Meta:
        model = Approval
        fields = ("required", "not_required_reason")
        labels: ClassVar[dict[str, str]] = {"not_required_reason": "Why not?"}
        help_texts: ClassVar[dict[str, str]] = {
            "not_required_reason": "Say who decided it and on what ground, such as the "
            "rule it is exempt under."
        }

    def clean(self) -> dict[str, Any]:
        """ "Not needed" needs a reason."""
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("required") is False and not cleaned.get("not_required_reason"):
            self.add_error("not_required_reason", "Say why it is not needed.")
        return cleaned

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class ExpectedForm(EditForm):
    """When somebody said it will be back."""

    expected_on = DayField(
        label="Expected back on",
        required=False,
        help_text="What they told you. Empty it to go by past approvals again.",
    )

    class Meta:
        model = Approval
        fields = ("expected_on",)

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper()


class AddApprovalForm(PlainForm):
    """A kind of approval that a job does not have yet."""

    kind = forms.ModelChoiceField(
        label="Which approval?", queryset=ApprovalKind.objects.none(), empty_label=None
    )

    def __init__(
        self, *args: Any, kinds: QuerySet[ApprovalKind], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].queryset = kinds  # type: ignore[attr-defined]

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(save="Add it to the job")


class ApprovalKindForm(RowForm):
    """A kind of approval of the firm's own."""

    basis = forms.ChoiceField(
        label="What it rests on",
        choices=[(b.value, b.value.capitalize()) for b in Basis],
    )

    class Meta:
        model = ApprovalKind
        fields = (
            "name",
            "given_by",
            "why",
            "basis",
            "usual_days",
            "needed_before_booking",
            "needed_when_attached",
            "needed_when_freestanding",
        )
        labels: ClassVar[dict[str, str]] = {
            "why": "Why it is needed, in a sentence",
            "needed_before_booking": "A job is only pencilled in until it is back",
            "needed_when_attached": "Needed when the structure is fixed to a house",
            "needed_when_freestanding": "Needed when it stands by itself",
        }

    def clean_name(self) -> str:
        """A name that no other kind has."""
        name: str = self.cleaned_data["name"]
        key = slugify(name)[:40]
        if not key:
            raise forms.ValidationError("Use letters in the name.")
        taken = ApprovalKind.objects.exclude(pk=self.instance.pk).filter(key=key)
        if taken.exists():
            raise forms.ValidationError("There is a kind of this name already.")
        return name

    @property
    def helper(self) -> FormHelper:
        """One panel."""
        return panel_helper(
            "name",
            "given_by",
            "why",
            Row("basis", "usual_days"),
            Fieldset(
                "When",
                "needed_before_booking",
                "needed_when_attached",
                "needed_when_freestanding",
            ),
            save="Add this kind",
        )
