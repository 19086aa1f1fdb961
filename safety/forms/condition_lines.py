"""Sentences of a hazard, each perhaps with a condition: why it is there, what is worse."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.template.loader import render_to_string

from jobs.domain.yaml_lines import LibraryError
from safety.domain.conditions import Condition
from safety.domain.library import Raise, Reason, Scope
from safety.domain.library_files import parse_part
from safety.domain.library_writer import as_yaml
from safety.domain.risk import LOWEST
from safety.domain.templates import Template
from safety.forms.condition_data import Line, Lines, Typed, lines_from
from safety.forms.condition_page import Option, editor
from safety.forms.condition_reading import Unread, read, typed_of, words_of
from safety.forms.fieldset import FieldsetWidget
from safety.queries.condition_choices import asked_of

Steps = Mapping[str, str]  # a step of the rating: its words

_EMPTY = "Write the sentence, or take it away."
_UNASKED = "Say when this makes it worse: add a row."
_UNRAISED = "Choose how likely or how bad it is then."


class LinesWidget(FieldsetWidget):
    """Sentences one under the other, each with the rows of its condition."""

    def __init__(self, *, another: str, raises: bool = False) -> None:
        super().__init__()
        self.another, self.raises = another, raises
        self.scope = Scope.TASK
        self.likelihoods: Steps = {}
        self.consequences: Steps = {}
        self.faults: dict[int, tuple[str, ...]] = {}
        self.unread: dict[int, Unread] = {}

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Lines:
        """What was sent."""
        return lines_from(data, name, asked_of(self.scope))

    def render(
        self, name: str, value: Any, attrs: Any = None, renderer: Any = None
    ) -> Any:
        """The sentences with their editors."""
        context = {
            "name": name,
            "raises": self.raises,
            "another": self.another,
            "lines": [self._line(name, n, line) for n, line in enumerate(value.lines)],
            "focus": value.focus,
        }
        return render_to_string("safety/conditions/lines.html", context)

    def _line(self, name: str, n: int, line: Line) -> dict[str, Any]:
        here = f"{name}-{n}"
        unread = self.unread.get(n)
        return {
            "name": here,
            "number": n + 1,
            "says": line.says,
            "faults": self.faults.get(n, ()),
            "likelihood": _options(self.likelihoods, line.likelihood),
            "consequence": _options(self.consequences, line.consequence),
            "only": editor(
                f"{here}-only", line.only, self.scope, unread=unread, told=True
            ),
            "open": self.raises or line.only != Typed() or unread is not None,
        }


def _options(steps: Steps, chosen: str) -> list[Option]:
    return [(key, words, key == chosen) for key, words in steps.items()]


class LinesField(forms.Field):
    """Sentences with conditions; the form sets their scope."""

    sometimes_needed = True  # what is needed says so itself
    widget: LinesWidget

    def __init__(
        self, *, another: str, raises: bool = False, needed: str = "", **options: Any
    ) -> None:
        widget = LinesWidget(another=another, raises=raises)
        super().__init__(widget=widget, required=False, **options)
        self.needed = needed

    def see(self, scope: Scope) -> None:
        """Let it name the facts of this scope only."""
        self.widget.scope = scope

    def clean(self, value: Lines) -> tuple[Any, ...]:
        """The sentences; each error names the one it is about."""
        # New ones each time: copies of a widget share what they hold.
        self.widget.faults, self.widget.unread = {}, {}
        if self.needed and not value.lines:
            raise forms.ValidationError(self.needed)
        found = [self._read(n, line) for n, line in enumerate(value.lines)]
        said = [
            f"Sentence {n + 1}: {says}"
            for n in range(len(value.lines))
            for says in self._said(n)
        ]
        if said:
            raise forms.ValidationError(said)
        return tuple(found)

    def _said(self, n: int) -> Iterable[str]:
        unread = self.widget.unread.get(n)
        return (*self.widget.faults.get(n, ()), *(unread.says if unread else ()))

    def _read(self, n: int, line: Line) -> Any:
        raises = self.widget.raises
        try:
            condition = read(line.only, self.widget.scope, rising=raises)
        except Unread as unread:
            self.widget.unread[n] = unread
            condition = None
        else:
            self._fault(n, _UNASKED if raises and condition is None else "")
        says = self._sentence(n, line)
        return self._raise(n, line, condition, says) if raises else (condition, says)

    def _sentence(self, n: int, line: Line) -> Template:
        text = " ".join(line.says.split())
        if not text:
            self._fault(n, _EMPTY)
            return Template("")
        try:
            found: Template = parse_part(
                "text", as_yaml(text), words_of(self.widget.scope)
            )
        except LibraryError as error:
            for fault in error.faults:
                self._fault(n, fault.says)
            return Template(text)
        return found

    def _raise(self, n: int, line: Line, only: Condition | None, says: Template) -> Any:
        likelihood = _step(line.likelihood, self.widget.likelihoods)
        consequence = _step(line.consequence, self.widget.consequences)
        if likelihood == consequence == LOWEST:
            self._fault(n, _UNRAISED)
        return only, says, likelihood, consequence

    def _fault(self, n: int, says: str) -> None:
        if says:
            faults = self.widget.faults
            faults[n] = (*faults.get(n, ()), says)


def _step(typed: str, steps: Steps) -> int:
    """The step that was chosen; the lowest, which raises nothing, for none."""
    return int(typed) if typed in steps and typed else LOWEST


class ReasonsField(LinesField):
    """Why a hazard is there."""

    def prepare_value(self, value: Any) -> Lines:
        """Reasons of the library, or what was typed, as they stand in the form."""
        if value is None or isinstance(value, Lines):
            return value or Lines()
        scope = self.widget.scope
        lines = (Line(r.says.text, typed_of(r.condition, scope)) for r in value)
        return Lines(tuple(lines))

    def clean(self, value: Lines) -> tuple[Reason, ...]:
        """The reasons."""
        return tuple(Reason(says, only) for only, says in super().clean(value))


class RaisesField(LinesField):
    """What makes a hazard worse."""

    def prepare_value(self, value: Any) -> Lines:
        """The same for what raises a rating."""
        if value is None or isinstance(value, Lines):
            return value or Lines()
        return Lines(tuple(self._shown(step) for step in value))

    def _shown(self, step: Raise) -> Line:
        return Line(
            says=step.says.text,
            only=typed_of(step.condition, self.widget.scope),
            likelihood=_raised(step.likelihood),
            consequence=_raised(step.consequence),
        )

    def clean(self, value: Lines) -> tuple[Raise, ...]:
        """What raises the rating."""
        return tuple(
            Raise(only, says, likelihood, consequence)
            for only, says, likelihood, consequence in super().clean(value)
        )


def _raised(step: int) -> str:
    return "" if step == LOWEST else str(step)
