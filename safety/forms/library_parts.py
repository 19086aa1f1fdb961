"""What the forms of hazards and of controls share: sentences, sources, their frame."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Layout
from django import forms

from jobs.domain.yaml_lines import LibraryError
from jobs.forms.fields import PlainForm
from safety.domain.library import Scope
from safety.domain.library_files import parse_part
from safety.domain.library_writer import as_yaml
from safety.forms.condition_lines import LinesField
from safety.forms.condition_reading import words_of
from safety.forms.conditions import ConditionField
from safety.library import rule_words

# Enter in a field saves; it does not press the first button of a condition.
SAVES_FIRST = HTML(
    '<button type="submit" class="vh" tabindex="-1" aria-hidden="true">Save</button>'
)
ROWS_TEMPLATE = "safety/conditions/field.html"
SOURCE_HELP = (
    "“firm's decision”, “common practice”, or a rule of the place such as "
    "{pack: falls.duty}."
)


class PartField(forms.CharField):
    """A part of a hazard as the library's files write it; faults name their line."""

    def __init__(self, part: str, *, rows: int = 2, **options: Any) -> None:
        widget = forms.Textarea(attrs={"rows": rows, "spellcheck": "false"})
        super().__init__(widget=widget, strip=False, **options)
        self.part, self.words = part, rule_words()

    def to_python(self, value: Any) -> Any:
        """What the text says."""
        text = str(value or "").replace("\r\n", "\n")
        if not text.strip():
            return None
        if self.part == "text":  # a sentence needs no quotes
            text = as_yaml(" ".join(text.split()))
        try:
            return parse_part(self.part, text, self.words)
        except LibraryError as error:
            lines = [f"Line {fault.line}: {fault.says}" for fault in error.faults]
            raise forms.ValidationError(lines) from error


def sentence(label: str, **options: Any) -> PartField:
    """A sentence that may hold names of facts."""
    return PartField("text", label=label, **options)


class ScopedForm(PlainForm):
    """A form whose conditions see the whole job, or one step with its job."""

    def see(self, scope: Scope) -> None:
        """Let every condition name the facts of this scope only."""
        for field in self.fields.values():
            if isinstance(field, PartField):
                field.words = words_of(scope)
            elif isinstance(field, ConditionField | LinesField):
                field.see(scope)


def plain(value: Any) -> str:
    """A word as it is, anything else as YAML."""
    return value if isinstance(value, str) else as_yaml(value)


def part_helper(*layout: Any) -> FormHelper:
    """A part of a form whose tag and button stand in the page."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.render_hidden_fields = True
    helper.layout = Layout(*layout)
    return helper
