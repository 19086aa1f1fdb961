"""Fields and form bases that the forms of the apps share."""

from datetime import date
from typing import TYPE_CHECKING, Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.db.models import Model

if TYPE_CHECKING:
    ModelForm = forms.ModelForm[Any]
else:
    ModelForm = forms.ModelForm  # knows no brackets while running

# What validators say of a field, said as what to do.
_PLAIN = {
    "max_length": "Shorten this to %(limit_value)d characters; it has %(show_value)d.",
    "min_value": "Make it at least %(limit_value)s.",
    "max_value": "Make it at most %(limit_value)s.",
}
_NO_CHOICE = "Choose one from the list."

YES_NO_UNKNOWN = [("True", "Yes"), ("False", "No"), ("", "Nobody knows yet")]


def day_input() -> forms.DateInput:
    """A date picker; it speaks ISO whatever the page's language."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def _speak_plainly(field: forms.Field) -> None:
    """Let a field say what to do; what it says in words of its own stays."""
    said = field.error_messages
    for code, says in _PLAIN.items():
        said.setdefault(code, says)
    if str(said.get("required")) == forms.Field.default_error_messages["required"]:
        said["required"] = _needed(field)
    if str(said.get("invalid_choice", "")).startswith("Select a valid choice"):
        said["invalid_choice"] = _NO_CHOICE


def _needed(field: forms.Field) -> str:
    if isinstance(field, forms.FileField):
        return "Choose a file."
    listed = isinstance(field, forms.ChoiceField | forms.ModelChoiceField)
    return "Choose one." if listed else "Fill this in."


class PlainWords(forms.BaseForm):
    """A form whose fields say what to do, and whose lists begin with a word."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if getattr(field, "empty_label", None) == "---------":
                first = "Choose one" if field.required else "None"
                field.empty_label = first  # type: ignore[attr-defined]

    def full_clean(self) -> None:
        """Fields that came after construction speak as plainly."""
        for field in self.fields.values():
            _speak_plainly(field)
        super().full_clean()


class PlainForm(PlainWords, forms.Form):
    """A form that belongs to no one record."""


class DayField(forms.DateField):
    """A calendar day that a firm could mean; pages reckon weeks before and after it."""

    FIRST, LAST = date(1900, 1, 1), date(2100, 12, 31)

    default_error_messages = {
        "required": "Give the day.",
        "invalid": "Give the day as in 3 Aug 2026 or 2026-08-03.",
        "no_such_year": f"Give a day from {FIRST.year} to {LAST.year}.",
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", day_input())
        super().__init__(**options)

    def to_python(self, value: Any) -> date | None:
        """The day; refused when its year must be a slip of the fingers."""
        day = super().to_python(value)
        if day is not None and not self.FIRST <= day <= self.LAST:
            raise forms.ValidationError(
                self.error_messages["no_such_year"], code="no_such_year"
            )
        return day


class YesNoUnknownField(forms.NullBooleanField):
    """Yes, no, or nobody has found out yet. Unknown stays unknown."""

    sometimes_needed = True  # "nobody knows yet" is an answer, so not called optional

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.RadioSelect(choices=YES_NO_UNKNOWN))
        super().__init__(**options)


class FigureField(forms.FloatField):
    """A measured figure with its unit behind the label."""

    default_error_messages = {
        "required": "Type a number.",
        "invalid": "Type a number with figures only, such as 4.2.",
    }

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        for name in ("min_value", "max_value"):  # "at most 90", not "at most 90.0"
            limit = options.get(name)
            if isinstance(limit, float) and limit.is_integer():
                options[name] = int(limit)
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        """Without a trail of zeros."""
        return f"{value:g}" if isinstance(value, float) else value


def panel_helper(*layout: Any, save: str = "Save") -> FormHelper:
    """A form on a panel of its own, with one button."""
    helper = FormHelper()
    helper.form_class = "form panel"
    helper.render_hidden_fields = True  # the version goes along, whatever the layout
    if layout:
        helper.layout = Layout(*layout)
    helper.add_input(Submit("save", save))
    return helper


class RowForm(PlainWords, ModelForm):
    """Shapes one record; its clean data goes to a service, it never saves."""


class EditForm(RowForm):
    """Edits a record that others may edit too: it carries the version it opened.

    It never saves; the view hands ``values()`` to a service.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        instance: Model | None = kwargs.get("instance")
        if instance is None or instance.pk is None:
            del self.fields["version"]
        else:
            self.initial["version"] = getattr(instance, "version", None)

    def opened_version(self) -> int:
        """The version the person saw when the form was opened; 0 when it was lost."""
        return self.cleaned_data.get("version") or 0

    def values(self) -> dict[str, Any]:
        """What was typed, by column."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "version"
        }


def filter_helper() -> FormHelper:
    """A row of filters above a list."""
    helper = FormHelper()
    helper.form_method = "get"
    helper.form_class = "filter-row"
    helper.form_error_title = "We cannot search for that. Please put these right:"
    helper.add_input(Submit("", "Show"))
    return helper
