"""The take-off: all that follows from a structure's dimensions. Not structural design.

Quantities, cutting list and set-out figures drive safety and time. Section sizes,
spacings, anchors and footings come from the engineer or the supplier: they are counted
and weighed here, and nothing says that they are strong enough.
"""

from jobs.domain.takeoff.build import take_off
from jobs.domain.takeoff.check import (
    RANGES,
    Problem,
    Range,
    check_dimensions,
    ranges_for,
)
from jobs.domain.takeoff.keys import (
    HEIGHT_KEYS,
    PIECE_KEYS,
    PIECES,
    QUANTITIES,
    QUANTITY_KEYS,
)
from jobs.domain.takeoff.model import Piece, Quantity, SetOut, TakeOff

__all__ = [
    "HEIGHT_KEYS",
    "PIECES",
    "PIECE_KEYS",
    "QUANTITIES",
    "QUANTITY_KEYS",
    "RANGES",
    "Piece",
    "Problem",
    "Quantity",
    "Range",
    "SetOut",
    "TakeOff",
    "check_dimensions",
    "ranges_for",
    "take_off",
]
