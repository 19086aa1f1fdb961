"""The ledger in words."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Model
from django.utils import timezone
from django.utils.formats import date_format

from jobs.models import LedgerEntry

_LONGEST = 300  # characters of one detail
_MOST = 8  # details of one entry; the rest is in the record itself
_NOT_SAID = {"digest", "sha256", "size_bytes"}  # for machines


@dataclass(frozen=True, slots=True)
class Line:
    """One entry as people read it."""

    entry: LedgerEntry
    says: str
    details: tuple[str, ...]


def last_change(row: Model) -> LedgerEntry | None:
    """The newest entry about a record. One query."""
    subject = f"{row._meta.label_lower}:{row.pk}"
    return LedgerEntry.objects.filter(subject=subject).order_by("-at", "-pk").first()


def in_words(entries: Iterable[LedgerEntry]) -> list[Line]:
    """Entries as people read them. No queries."""
    return [
        Line(entry, verb_in_words(entry.verb), tuple(_details(entry)))
        for entry in entries
    ]


def verb_in_words(verb: str) -> str:
    """``job:approval:step`` as "Approval step"."""
    words = " ".join(verb.split(":")[1:]) or verb
    return words.replace("-", " ").replace("_", " ").capitalize()


def _details(entry: LedgerEntry) -> Iterator[str]:
    payload = json.loads(entry.payload)
    said = [
        f"{_label(key)}: {shown}"[:_LONGEST].rstrip(".")
        for key, value in sorted(payload.items())
        if key not in _NOT_SAID and (shown := _value(value))
    ]
    yield from said[:_MOST]
    if len(said) > _MOST:
        yield f"And {len(said) - _MOST} more"


def _label(key: str) -> str:
    return key.replace("_", " ").replace("-", " ").capitalize()


def _value(value: Any) -> str:
    if _is_change(value):
        return f"{_value(value[0]) or 'nothing'} → {_value(value[1]) or 'nothing'}"
    if isinstance(value, Mapping) and "description" in value:
        return f"{_scalar(value.get('quantity'))} × {value['description']}"
    if isinstance(value, Mapping):
        parts = ((_label(key).lower(), _value(item)) for key, item in value.items())
        return ", ".join(f"{key} {item}" for key, item in parts if item)
    if isinstance(value, list):
        return "; ".join(item for item in map(_value, value) if item)
    return _scalar(value)


def _is_change(value: Any) -> bool:
    """Whether it is [old, new] of one field rather than a list."""
    if not isinstance(value, list) or len(value) != 2:
        return False
    return not any(isinstance(item, list | Mapping) for item in value)


def _scalar(value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    return _day(value) if isinstance(value, str) else str(value)


def _here(moment: datetime) -> datetime:
    return moment if timezone.is_naive(moment) else timezone.localtime(moment)


def _day(text: str) -> str:
    """An ISO date as people write it, a key as words; any other text as it is."""
    try:
        if len(text) == len("2026-08-03"):
            return date_format(date.fromisoformat(text), "D j M Y")
        if len(text) >= len("2026-08-03T07:00:00") and text[10] == "T":
            return date_format(_here(datetime.fromisoformat(text)), "D j M Y, g:i a")
    except ValueError:
        pass
    return text.replace("_", " ") if " " not in text and "@" not in text else text
