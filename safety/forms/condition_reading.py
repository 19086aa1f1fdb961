"""What somebody typed as a condition, read: rows are checked one by one, a text by lines.

A text is written as in the files of the library. Neither is ever run.
"""

from collections.abc import Mapping
from dataclasses import replace

from jobs.domain.yaml_lines import LibraryError
from safety.domain.condition_files import Vocabulary
from safety.domain.condition_rows import (
    At,
    RowFault,
    RowsRefused,
    condition_of,
    falling_rows,
    sheet_of,
)
from safety.domain.conditions import Condition
from safety.domain.library import Scope
from safety.domain.library_files import parse_part
from safety.domain.library_writer import as_yaml, condition_plain
from safety.forms.condition_data import Turn, Typed
from safety.library import rule_words
from safety.queries.condition_choices import asked_of

_TOO_DEEP = (
    "This has groups inside groups, or asks something that rows cannot. It stays as "
    "text, so that nothing of it is lost."
)


def words_of(scope: Scope) -> Vocabulary:
    """What a hazard of that scope may name."""
    return replace(rule_words(), whole_job=scope is Scope.JOB)


def typed_of(condition: Condition | None, scope: Scope) -> Typed:
    """A condition as it stands in a form: as rows where it fits, else as a text."""
    sheet = sheet_of(condition, asked_of(scope))
    if sheet is not None:
        return Typed(sheet)
    assert condition is not None
    return Typed(text=_text(condition, scope), as_text=True, note=_TOO_DEEP)


def _text(condition: Condition | None, scope: Scope) -> str:
    if condition is None:
        return ""
    return as_yaml(condition_plain(condition, whole_job=scope is Scope.JOB))


class Unread(ValueError):
    """What was typed is no condition yet: rows at fault, or lines of the text."""

    def __init__(self, rows: tuple[RowFault, ...], lines: tuple[str, ...] = ()) -> None:
        self.rows, self.lines = rows, lines
        named = tuple(f"Row {numbered(fault.at)}: {fault.says}" for fault in rows)
        self.says = (*named, *lines)
        super().__init__("\n".join(self.says))


def numbered(at: At) -> str:
    """The place of a row in words: "2", or "2.1" for the first row of a second group."""
    return ".".join(str(n + 1) for n in at)


def read(typed: Typed, scope: Scope, *, rising: bool = True) -> Condition | None:
    """The condition that somebody typed; Unread says what is wrong, and where.

    ``rising`` refuses one that would end as the job gets more dangerous.
    """
    words, known = words_of(scope), asked_of(scope)
    if typed.as_text:
        return _read_text(typed.text, words, rising=rising)
    try:
        condition = condition_of(typed.sheet, known)
    except RowsRefused as refused:
        raise Unread(refused.faults) from refused
    falling = falling_rows(typed.sheet, known, words.pack_edges) if rising else ()
    if falling:
        raise Unread(falling)
    return condition


def _read_text(text: str, words: Vocabulary, *, rising: bool) -> Condition | None:
    if not text.strip():
        return None
    try:
        found: Condition = parse_part("when" if rising else "if", text, words)
    except LibraryError as error:
        lines = tuple(f"Line {fault.line}: {fault.says}" for fault in error.faults)
        raise Unread((), lines) from error
    return found


def turns(scope: Scope) -> Mapping[str, Turn]:
    """The two buttons that turn rows into a text and a text into rows."""
    return {
        "text": lambda typed: _as_text(typed, scope),
        "rows": lambda typed: _as_rows(typed, scope),
    }


def _as_text(typed: Typed, scope: Scope) -> Typed:
    try:
        condition = read(typed, scope, rising=False)
    except Unread as unread:
        says = " ".join(("Put the rows right first.", *unread.says))
        return replace(typed, note=says)
    return Typed(typed.sheet, _text(condition, scope), as_text=True)


def _as_rows(typed: Typed, scope: Scope) -> Typed:
    try:
        condition = read(typed, scope, rising=False)
    except Unread as unread:
        says = " ".join(("Put the text right first.", *unread.says))
        return replace(typed, note=says)
    again = typed_of(condition, scope)
    return replace(typed, note=again.note) if again.as_text else again
