"""Whether the material of a line is on site, on its way, short, or not ordered.

Quantities are in the unit of the line. Only whole and right pieces count as here; damaged
and wrong ones are still missing until a later load makes up for them.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from scheduling.domain.calendar import Half, Slot

TOLERANCE = 1e-6  # quantities are typed by hand; a difference below this is rounding


class Standing(StrEnum):
    """Where the material of a line stands."""

    HERE = "here"
    DUE = "on its way"
    LATE = "late"
    SHORT = "short"
    NOT_ORDERED = "not ordered"


@dataclass(frozen=True, slots=True)
class Load:
    """What one delivery brings of one line. ``checked_in`` when somebody counted it.

    ``due`` is None when the supplier has not given a day.
    """

    delivery: int
    ordered: float
    due: Slot | None
    checked_in: bool
    good: float = 0.0
    damaged: float = 0.0
    wrong: float = 0.0

    @property
    def missing(self) -> float:
        """Pieces that a counted load did not bring whole and right."""
        return max(0.0, self.ordered - self.good) if self.checked_in else 0.0


@dataclass(frozen=True, slots=True)
class Supply:
    """One line of the bill of materials and the loads that bring it."""

    needed: float
    loads: tuple[Load, ...]

    @property
    def good(self) -> float:
        """Whole and right pieces on site."""
        return sum(load.good for load in self.loads)

    @property
    def missing(self) -> float:
        """Pieces still wanted on site."""
        return max(0.0, self.needed - self.good)

    @property
    def is_here(self) -> bool:
        """Whether enough is on site."""
        return self.missing <= TOLERANCE

    def to_come(self) -> tuple[Load, ...]:
        """Loads that nobody has counted yet, the earliest first, without a day last."""
        waiting = [load for load in self.loads if not load.checked_in]
        return tuple(sorted(waiting, key=lambda load: load.due or LAST_SLOT))

    def awaited(self) -> tuple[tuple[Load, ...], bool]:
        """Loads until nothing is missing any more, and whether they are enough."""
        missing, loads = self.missing, []
        for load in self.to_come():
            if missing <= TOLERANCE:
                break
            loads.append(load)
            missing -= load.ordered
        return tuple(loads), missing <= TOLERANCE

    def covering(self) -> Load | None:
        """The load after which nothing is missing any more; None when none will do."""
        missing = self.missing
        for load in self.to_come():
            missing -= load.ordered
            if missing <= TOLERANCE:
                return load
        return None

    def short_load(self) -> Load | None:
        """The last counted load that did not bring what was ordered."""
        short = [load for load in self.loads if load.missing > TOLERANCE]
        return short[-1] if short else None

    def standing(self, day: date) -> Standing:
        """Where it stands at the start of ``day``."""
        if self.is_here:
            return Standing.HERE
        if self.short_load() is not None:
            return Standing.SHORT
        cover = self.covering()
        if cover is None:
            return Standing.NOT_ORDERED
        if cover.due is not None and cover.due.day < day:
            return Standing.LATE
        return Standing.DUE

    def likely_here(self, day: date) -> Slot | None:
        """The half-day the last missing piece should come; None when nobody can say."""
        cover = self.covering()
        if cover is None or cover.due is None or cover.due.day < day:
            return None
        return cover.due


LAST_SLOT = Slot(date.max, Half.PM)


def part_words(load: Load, name: str, unit: str = "") -> str:
    """What is wrong with a counted load, in words: "3 of 12 roof sheets: 3 damaged"."""
    absent = max(0.0, load.ordered - load.good - load.damaged - load.wrong)
    reasons = [
        f"{number:g} {word}"
        for number, word in (
            (load.damaged, "damaged"),
            (load.wrong, "wrong"),
            (absent, "did not come"),
        )
        if number > TOLERANCE
    ]
    kind = f" {unit}" if unit and unit != "each" else ""
    return f"{name}: {' and '.join(reasons)}, of {load.ordered:g}{kind} ordered"
