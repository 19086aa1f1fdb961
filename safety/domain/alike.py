"""Sentences that are alike but for one figure, told once with all their figures.

"Put at least 2 people on it" in steps 3 and 9 and "Put at least 3 people on it" in step 7 become
"Put at least 2 (steps 3, 9) or 3 (step 7) people on it".
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from jobs.domain.spans import in_steps

Steps = tuple[int, ...]

# A figure with its unit, so that each figure is told with it. The 8 of A(8) is a name.
_UNITS = r"(?: (?:mm|m²|m/s²|m|kg|kV|dB\(A\)|N|minutes?|hours?|%))?"
_FIGURE = re.compile(rf"(?<![\w.])(?<!A\()\d+(?:,\d{{3}})*(?:\.\d+)?{_UNITS}(?![\w²])")


@dataclass(frozen=True, slots=True)
class Alike:
    """One sentence for several: its words, and what was said of which steps."""

    text: str
    of: tuple[tuple[str, Steps], ...]


def told_together(said: Mapping[str, Steps]) -> tuple[Alike, ...]:
    """Sentences with their steps, by first appearance; those that fit are told as one.

    A sentence without steps holds everywhere and is told by itself.
    """
    groups: dict[tuple[str, ...], list[tuple[str, Steps]]] = {}
    for text, steps in said.items():
        key = (text,) if not steps else _words(text)
        groups.setdefault(key, []).append((text, steps))
    return tuple(one for rows in groups.values() for one in _told(rows))


def _words(text: str) -> tuple[str, ...]:
    """The sentence without its figures; apart from every other when it has none."""
    return (*_FIGURE.split(text), "")


def _told(rows: list[tuple[str, Steps]]) -> Iterable[Alike]:
    figures = [_FIGURE.findall(text) for text, _ in rows]
    places = [n for n, found in enumerate(zip(*figures, strict=True)) if _differ(found)]
    if len(rows) == 1 or len(places) != 1:
        return tuple(Alike(text, ((text, steps),)) for text, steps in rows)
    (place,) = places
    told = [
        f"{found[place]} ({in_steps(steps)})"
        for found, (_, steps) in zip(figures, rows, strict=True)
    ]
    return (Alike(_joined(rows[0][0], place, told), tuple(rows)),)


def _differ(found: tuple[str, ...]) -> bool:
    return len(set(found)) > 1


def _joined(text: str, place: int, told: list[str]) -> str:
    here = list(_FIGURE.finditer(text))[place]
    all_of_them = f"{', '.join(told[:-1])} or {told[-1]}"
    return f"{text[: here.start()]}{all_of_them}{text[here.end() :]}"


def greatest(text: str) -> float:
    """The greatest figure in a text, 0 when there is none."""
    numbers = (
        found.replace(",", "").partition(" ")[0] for found in _FIGURE.findall(text)
    )
    return max((float(number.rstrip("%")) for number in numbers), default=0.0)
