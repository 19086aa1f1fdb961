"""Where every member of a structure is: the geometry under take-off and drawing."""

from jobs.domain.layout.build import layout
from jobs.domain.layout.model import (
    Beam,
    Deck,
    Edge,
    Falls,
    Gutter,
    GutterKind,
    Layout,
    Member,
    Plane,
    Point,
    Post,
    Side,
    Square,
)

__all__ = [
    "Beam",
    "Deck",
    "Edge",
    "Falls",
    "Gutter",
    "GutterKind",
    "Layout",
    "Member",
    "Plane",
    "Point",
    "Post",
    "Side",
    "Square",
    "layout",
]
