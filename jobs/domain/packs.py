"""Jurisdiction packs: what a place asks, value by value, with dates, edges and sources.

A pack is data. A state's pack extends its country's: a value of the state that is in
force on the day hides the country's value of the same key. The pack in force on the day
of the work decides, so a past day is judged by the law of that day.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import TypeVar

from jobs.domain.sources import Source
from jobs.domain.units import convert, spoken
from jobs.domain.yaml_lines import Node

_Number = TypeVar("_Number", Decimal, float)


class Edge(StrEnum):
    """On which side of a number a rule begins to bite."""

    MORE_THAN = "more than"
    AT_LEAST = "at least"
    LESS_THAN = "less than"
    AT_MOST = "at most"

    def met_by(self, number: _Number, limit: _Number) -> bool:
        """Whether ``number`` is on the biting side of ``limit``."""
        match self:
            case Edge.MORE_THAN:
                return number > limit
            case Edge.AT_LEAST:
                return number >= limit
            case Edge.LESS_THAN:
                return number < limit
            case Edge.AT_MOST:
                return number <= limit


@dataclass(frozen=True, slots=True)
class PackItem:
    """One entry of a list in a pack: a category, a required content, a control.

    ``when`` is a condition on the facts, kept as read: the hazard engine parses it and
    names its line when it is wrong. ``topics`` are the words hazards are filed under.
    """

    key: str
    says: str
    topics: tuple[str, ...] = ()
    when: Node | None = None
    needs_reading: str = ""  # what a person must still look at
    decide: bool = False  # facts can only suggest it; a person decides


@dataclass(frozen=True, slots=True)
class PackValue:
    """One value of a pack, for as long as it is in force.

    ``value`` is a number, a text or a flag; a list has ``items`` and no value.
    """

    key: str
    pack: str  # key of the pack that says so
    says: str
    source: Source
    value: float | str | bool | None = None
    unit: str = ""
    edge: Edge | None = None
    items: tuple[PackItem, ...] = ()
    effective_from: date | None = None  # None: in force since before our records
    effective_to: date | None = None  # last day in force
    note: str = ""

    @property
    def number(self) -> float:
        """The value as a number; TypeError when it is none."""
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise TypeError(f"{self.key} of {self.pack} is not a number.")
        return self.value

    @property
    def text(self) -> str:
        """The value as a text; TypeError when it is none."""
        if not isinstance(self.value, str):
            raise TypeError(f"{self.key} of {self.pack} is not a text.")
        return self.value

    @property
    def needs_check(self) -> bool:
        """Whether the page must say "check before relying on it"."""
        return self.source.needs_check

    def in_force(self, on: date) -> bool:
        """Whether the value counts on that day; both its dates are included."""
        begun = self.effective_from is None or self.effective_from <= on
        return begun and (self.effective_to is None or on <= self.effective_to)

    def exceeded_by(self, number: float, unit: str) -> bool:
        """Whether a number is on the side of this limit that its edge names.

        "More than" and "at least" speak of numbers above it, "less than" and "at most" of
        numbers below it. The number is converted into the limit's own unit first;
        ValueError when the two do not measure the same thing.
        """
        if self.edge is None:
            raise TypeError(f"{self.key} of {self.pack} has no edge.")
        limit = Decimal(str(self.number))
        return self.edge.met_by(convert(number, unit, self.unit), limit)

    def quoted(self) -> str:
        """The limit in words: "more than 2 m"."""
        value = self.value
        if isinstance(value, bool) or not isinstance(value, int | float):
            return str(value or "")
        parts = (self.edge, f"{value:.10g}", spoken(value, self.unit))
        return " ".join(part for part in parts if part)


class NoSuchValue(KeyError):
    """The pack says nothing under that key on that day."""


@dataclass(frozen=True, slots=True)
class Pack:
    """The rules of one place, with those of the packs it extends.

    ``chain`` runs from the place itself to the country; ``values`` keeps, for each pack
    of the chain in the same order, its values by key, with every dated version.
    """

    key: str
    name: str
    chain: tuple[str, ...]
    values: tuple[Mapping[str, tuple[PackValue, ...]], ...]

    def find(self, key: str, on: date) -> PackValue | None:
        """The value in force on that day, None when the pack has none."""
        for layer in self.values:
            for value in layer.get(key, ()):
                if value.in_force(on):
                    return value
        return None

    def value(self, key: str, on: date) -> PackValue:
        """The value in force on that day; NoSuchValue when there is none."""
        found = self.find(key, on)
        if found is None:
            raise NoSuchValue(f"{self.name} has no {key} on {on.isoformat()}.")
        return found

    def exceeds(self, key: str, number: float, unit: str, on: date) -> bool:
        """Whether a number is on the side that the limit ``key`` names on that day."""
        return self.value(key, on).exceeded_by(number, unit)

    def text(self, key: str, on: date) -> str:
        """A text of the pack, such as the document's own name."""
        return self.value(key, on).text

    def items(self, key: str, on: date) -> tuple[PackItem, ...]:
        """The entries of a list; an absent list is empty."""
        found = self.find(key, on)
        return found.items if found else ()

    def keys(self) -> frozenset[str]:
        """Every key the pack or one that it extends has ever had."""
        return frozenset().union(*(layer.keys() for layer in self.values))

    def in_force(self, on: date) -> tuple[PackValue, ...]:
        """All values that count on that day, by key."""
        found = (self.find(key, on) for key in sorted(self.keys()))
        return tuple(value for value in found if value is not None)

    def changes(self, after: date, until: date) -> tuple[tuple[date, PackValue], ...]:
        """Values that start to count after one day and up to another, by day.

        What a job that runs past a change of law must know before the change.
        """
        begins = [
            (value.effective_from, value)
            for layer in self.values
            for versions in layer.values()
            for value in versions
            if value.effective_from and after < value.effective_from <= until
        ]
        return tuple(sorted(begins, key=lambda pair: (pair[0], pair[1].key)))
