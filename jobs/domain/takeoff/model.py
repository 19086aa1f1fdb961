"""What a take-off holds: quantities, pieces, and the figures a crew sets out by."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """A counted or measured amount, with how it was worked out."""

    key: str
    name: str
    value: float
    unit: str  # "m", "m2", "each", "kg", "mm", "deg"
    how: str  # the working in words and numbers, for the page


@dataclass(frozen=True, slots=True)
class Piece:
    """One line of the cutting list: equal pieces of one section."""

    key: str  # "beam", "rafter", "sheet", "post" ...
    name: str
    section: str
    count: int
    length_m: float
    mass_kg: float  # of one piece
    top_m: float = 0.0  # height it ends up at above the lowest floor or ground


@dataclass(frozen=True, slots=True)
class SetOut:
    """A figure a crew needs on the day: diagonal, rafter length, prop height."""

    key: str
    name: str
    value: float
    unit: str
    how: str


@dataclass(frozen=True, slots=True)
class TakeOff:
    """All that follows from a structure's dimensions. Not structural design.

    Section sizes, spacings, anchors and footings come from the engineer or the supplier;
    they are counted and weighed here, and nothing says that they are strong enough.
    """

    quantities: Mapping[str, Quantity]
    pieces: tuple[Piece, ...]
    set_out: tuple[SetOut, ...]
    warnings: tuple[str, ...]
    assemblies: tuple[Piece, ...] = ()  # of pieces above, lifted as one; not extra mass

    def value(self, key: str) -> float:
        """The number of one quantity; KeyError when the take-off has none."""
        return self.quantities[key].value

    def lifted(self, key: str) -> tuple[Piece, ...]:
        """The lines of pieces or assemblies with this key, heaviest first."""
        lines = [line for line in self.pieces + self.assemblies if line.key == key]
        return tuple(sorted(lines, key=lambda line: -line.mass_kg))
