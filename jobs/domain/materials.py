"""A bill of materials against the take-off: what seems missing before it is ordered.

Lengths are cut from stock: a longer piece on the list may serve for several shorter ones.
Pieces are fitted longest first into the shortest length that still has room (best fit
decreasing), so "missing" can be wrong by a piece where a cleverer cut exists; the page
says "seems".
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from jobs.domain.takeoff import PIECES, Piece

TOLERANCE_M = 0.0015  # a saw cut is wider than any rounding of ours


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a bill of materials, as far as it matters here."""

    part: str  # piece key; empty lines match nothing
    quantity: float
    length_m: float | None


@dataclass(frozen=True, slots=True)
class Gap:
    """Pieces that nothing on the list can be cut from."""

    part: str
    name: str
    length_m: float  # 0 for what has no length
    needed: int  # of this length
    missing: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """What the take-off needs and the list does not have, and the other way round."""

    missing: tuple[Gap, ...]
    unknown: tuple[str, ...]  # names of parts on the list that the take-off has not


def compare(pieces: Iterable[Piece], lines: Iterable[Line]) -> Comparison:
    """Match a cutting list with a bill of materials, part by part."""
    needed: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        needed[piece.key].append(piece)
    have: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if line.part:
            have[line.part].append(line)
    gaps = [gap for part in needed for gap in _gaps(needed[part], have[part])]
    return Comparison(
        missing=tuple(gaps),
        unknown=tuple(PIECES.get(part, part) for part in have if part not in needed),
    )


def _gaps(pieces: Sequence[Piece], lines: Sequence[Line]) -> Iterable[Gap]:
    loose = sum(int(line.quantity) for line in lines if not line.length_m)
    stock = [
        line.length_m
        for line in lines
        if line.length_m
        for _ in range(ceil(line.quantity - 1e-9))
    ]
    for piece in sorted(pieces, key=lambda piece: -piece.length_m):
        missing = 0
        for _ in range(piece.count):
            if _cut(stock, piece.length_m):
                continue
            if loose:
                loose -= 1
            else:
                missing += 1
        if missing:
            yield Gap(piece.key, piece.name, piece.length_m, piece.count, missing)


def _cut(stock: list[float], length_m: float) -> bool:
    """Take a length from the shortest stock that has it; whether there was one."""
    fits = [i for i, left in enumerate(stock) if left + TOLERANCE_M >= length_m]
    if not fits:
        return False
    best = min(fits, key=lambda i: stock[i])
    if length_m:
        stock[best] -= length_m
    else:
        del stock[best]
    return True
