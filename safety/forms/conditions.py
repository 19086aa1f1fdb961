"""The condition of a hazard, reason or control as a field of a form: rows, or a text."""

from typing import Any

from django import forms

from safety.domain.conditions import Condition
from safety.domain.library import Scope
from safety.forms.condition_data import Typed, typed_from
from safety.forms.condition_page import editor
from safety.forms.condition_reading import Unread, read, typed_of
from safety.forms.fieldset import FieldsetWidget
from safety.queries.condition_choices import asked_of


class ConditionWidget(FieldsetWidget):
    """The rows of a condition, or its text."""

    def __init__(self, attrs: dict[str, Any] | None = None, *, told: bool) -> None:
        super().__init__(attrs)
        self.told = told  # whether it says itself what its rows say
        self.scope = Scope.TASK
        self.unread: Unread | None = None

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Typed:
        """What was sent."""
        return typed_from(data, name, asked_of(self.scope))

    def render(
        self, name: str, value: Any, attrs: Any = None, renderer: Any = None
    ) -> Any:
        """The editor."""
        return editor(name, value, self.scope, unread=self.unread, told=self.told)


class ConditionField(forms.Field):
    """A condition; None without any row. The form sets its scope."""

    sometimes_needed = True  # none is an answer, so it is not called optional
    widget: ConditionWidget

    def __init__(
        self, *, rising: bool = True, told: bool = True, **options: Any
    ) -> None:
        super().__init__(widget=ConditionWidget(told=told), required=False, **options)
        self.rising = rising

    def see(self, scope: Scope) -> None:
        """Let it name the facts of this scope only."""
        self.widget.scope = scope

    def prepare_value(self, value: Any) -> Typed:
        """A condition of the library, or what was typed, as it stands in the form."""
        return value if isinstance(value, Typed) else typed_of(value, self.widget.scope)

    def clean(self, value: Any) -> Condition | None:
        """The condition; each error names its row or line."""
        try:
            return read(value, self.widget.scope, rising=self.rising)
        except Unread as unread:
            self.widget.unread = unread
            raise forms.ValidationError(list(unread.says)) from unread
