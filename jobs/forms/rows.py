"""Read rows of a table into typed values, collecting every fault with its cure."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from difflib import get_close_matches

from jobs.domain.tables import Column, Fault, Row

_MONTHS = (
    "jan",
    "feb",
    "mar",
    "apr",
    "may",
    "jun",
    "jul",
    "aug",
    "sep",
    "oct",
    "nov",
    "dec",
)
_WEEKDAY = re.compile(r"^(mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_ISO = re.compile(r"^(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ].*)?$")
_FIGURES = re.compile(r"^(\d{1,2})\s*[/.-]\s*(\d{1,2})\s*[/.-]\s*(\d{4}|\d{2})$")
_WORDS = re.compile(
    r"^(\d{1,2})(?:st|nd|rd|th)?[\s-]+([a-z]+)\.?,?[\s-]+(\d{4}|\d{2})$", re.IGNORECASE
)
_NUMBER = re.compile(r"^[-+]?\d+(?:[.,]\d+)?$")
_TWO_WAYS = re.compile(r"^[-+]?[1-9]\d{0,2},\d{3}$")
_EXAMPLE = "Write it like 3 Aug 2026 or 2026-08-03."


def read_day(text: str) -> date:
    """A date as people here write it, day first. ValueError says what to do."""
    text = _WEEKDAY.sub("", " ".join(text.split()))
    year, month, day = _parts(text)
    if month > 12 >= day:
        raise ValueError(f"There is no month {month}: the day comes first. {_EXAMPLE}")
    try:
        return date(year if year > 99 else 2000 + year, month, day)
    except ValueError:
        raise ValueError(f"There is no such day. {_EXAMPLE}") from None


def _parts(text: str) -> tuple[int, int, int]:
    """Year, month and day as written."""
    if found := _ISO.match(text):
        return int(found[1]), int(found[2]), int(found[3])
    if found := _FIGURES.match(text):
        return int(found[3]), int(found[2]), int(found[1])
    if (found := _WORDS.match(text)) and found[2].lower()[:3] in _MONTHS:
        return int(found[3]), _MONTHS.index(found[2].lower()[:3]) + 1, int(found[1])
    raise ValueError(f"“{text[:40]}” is no date. {_EXAMPLE}")


class RowReader:
    """Reads one row; every call notes what is wrong and goes on."""

    def __init__(
        self, row: Row, columns: Sequence[Column], faults: list[Fault]
    ) -> None:
        self.row = row
        self.faults = faults
        self.titles = {column.key: column.title for column in columns}
        self.required = {column.key for column in columns if column.required}

    def fault(self, key: str, says: str) -> None:
        """Note what is wrong in a column."""
        self.faults.append(Fault(self.row.number, self.titles.get(key, ""), says))

    def has(self, key: str) -> bool:
        """Whether the cell says anything."""
        return bool(self.row.cells.get(key))

    def text(self, key: str, longest: int = 120) -> str:
        """A text; a needed one must be there."""
        value = self.row.cells.get(key, "")
        if not value and key in self.required:
            self.fault(key, "This is empty. Fill it in.")
        if len(value) > longest:
            self.fault(key, f"This is longer than {longest} characters. Shorten it.")
        return value

    def day(self, key: str) -> date | None:
        """A date, or nothing."""
        text = self.row.cells.get(key, "")
        if not text:
            return None
        try:
            return read_day(text)
        except ValueError as error:
            self.fault(key, str(error))
            return None

    def number(self, key: str, low: float, high: float) -> float | None:
        """A figure between two bounds, or nothing. A decimal comma is read as a point.

        A comma before three figures is refused: "1,200" is 1200 to some, 1.2 to others.
        """
        text = self.text(key).replace(" ", "")
        if not text:
            return None
        if not _NUMBER.match(text):
            self.fault(key, f"“{text[:40]}” is no number. Write it like 4.2.")
            return None
        if _TWO_WAYS.match(text):
            whole, part = text.replace(",", ""), text.replace(",", ".")
            says = (
                f"“{text}” may mean {whole} or {float(part):g}. Write it with no comma."
            )
            self.fault(key, says)
            return None
        value = float(text.replace(",", "."))
        if not low <= value <= high:
            self.fault(key, f"This is {text}. Make it between {low:g} and {high:g}.")
            return None
        return value

    def choice(self, key: str, choices: Mapping[str, str], what: str) -> str:
        """The key of one of the choices, named by key or by name; "" when empty."""
        text = self.text(key).casefold()
        if not text:
            return ""
        for value, name in choices.items():
            if text in {value.casefold(), name.casefold(), value.replace("_", " ")}:
                return value
        self.fault(key, f"There is no {what} “{text[:40]}”. {_instead(text, choices)}")
        return ""


def _instead(text: str, choices: Mapping[str, str]) -> str:
    """What may have been meant, or all there is to choose from."""
    names = {name.casefold(): name for name in choices.values()}
    near = get_close_matches(text, names, n=1)
    if near:
        return f"Did you mean “{names[near[0]]}”?"
    return f"Choose one of: {', '.join(choices.values())}."
