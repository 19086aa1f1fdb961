"""What each part of the take-off hands over, and how figures are written out."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from jobs.domain.layout.planes import whole_to_cover
from jobs.domain.sections import Section
from jobs.domain.takeoff.keys import PIECES, QUANTITIES
from jobs.domain.takeoff.model import Piece, Quantity, SetOut

NONE_HERE = "None in this structure."


@dataclass(frozen=True, slots=True)
class Part:
    """Quantities, pieces and set-out figures of one part of the structure."""

    quantities: tuple[Quantity, ...] = ()
    pieces: tuple[Piece, ...] = ()
    set_out: tuple[SetOut, ...] = ()


def quantity(key: str, value: float, how: str) -> Quantity:
    """A quantity by its key; name and unit come from the table of keys.

    An empty ``how`` says that the structure has none of it.
    """
    name, unit = QUANTITIES[key]
    return Quantity(key, name, float(value), unit, how or NONE_HERE)


def pieces_of(
    key: str, section: Section, lengths: Iterable[float], top_m: float, name: str = ""
) -> tuple[Piece, ...]:
    """Lines of the cutting list: equal lengths (to the millimetre) count together."""
    millimetres = sorted((round(length * 1000) for length in lengths), reverse=True)
    return tuple(
        Piece(
            key=key,
            name=name or PIECES[key],
            section=section.key,
            count=len(list(equal)),
            length_m=length / 1000,
            mass_kg=round(section.kg_per_m * length / 1000, 3),
            top_m=round(top_m, 3),
        )
        for length, equal in groupby(millimetres)
        if length > 0
    )


def in_stock_lengths(lengths: Iterable[float], section: Section) -> list[float]:
    """Each length in equal parts no longer than the section is sold."""
    parts: list[float] = []
    for length in lengths:
        count = whole_to_cover(length, section.stock_max_m)
        parts += [length / count] * count
    return parts


def stock_pieces(
    key: str, section: Section, lengths: Iterable[float], top_m: float
) -> tuple[Piece, ...]:
    """Lines of the cutting list for lengths that may need joining."""
    return pieces_of(key, section, in_stock_lengths(lengths, section), top_m)


def metres(value: float) -> str:
    """Two decimals: "6.00 m"."""
    return f"{value:.2f} m"


def millimetres(value_m: float) -> str:
    """A length in metres, written in millimetres: "2410 mm"."""
    return f"{value_m * 1000:.0f} mm"


def times(count: float, noun: str) -> str:
    """A count and its noun: "1 post", "8 posts"."""
    return f"{count:g} {noun}" if count == 1 else f"{count:g} {plural(noun)}"


def plural(noun: str) -> str:
    """Plain English plural of the nouns used here."""
    return f"{noun}es" if noun.endswith(("ch", "s", "x")) else f"{noun}s"


def added(parts: Iterable[str]) -> str:
    """Sentence from parts of a sum."""
    says = "; ".join(parts)
    return f"{says[:1].upper()}{says[1:]}." if says else ""


def sum_by_length(lengths: Iterable[float]) -> str:
    """Working of a sum, equal lengths together: "8 × 4.006 m"."""
    counts: dict[int, int] = {}
    for length in lengths:
        mm = round(length * 1000)
        counts[mm] = counts.get(mm, 0) + 1
    says = " + ".join(f"{n} × {mm / 1000:.3f} m" for mm, n in counts.items())
    return f"{says}." if says else ""
