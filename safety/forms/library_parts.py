"""What the forms of hazards and of controls share: sentences and parts as text."""

from dataclasses import replace
from typing import Any

from django import forms

from jobs.domain.yaml_lines import LibraryError
from jobs.forms.fields import PlainForm
from safety.domain.condition_files import Vocabulary
from safety.domain.library import Scope
from safety.domain.library_files import parse_part
from safety.domain.library_writer import as_yaml
from safety.library import rule_words

_SENTENCES = ("text", "why")  # parts that are mostly a sentence, and need no quotes
HOW = "Written as in the library’s files. The facts you may name stand below the form."
SOURCE_HELP = (
    "“firm's decision”, “common practice”, or a rule of the place such as "
    "{pack: falls.duty}."
)


def words_of(scope: Scope) -> Vocabulary:
    """What a hazard of that scope may name."""
    return replace(rule_words(), whole_job=scope is Scope.JOB)


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
        if self.part in _SENTENCES and not text.lstrip().startswith("-"):
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


def plain(value: Any) -> str:
    """A word as it is, anything else as YAML."""
    return value if isinstance(value, str) else as_yaml(value)
