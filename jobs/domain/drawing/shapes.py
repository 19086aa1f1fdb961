"""Shapes of a drawing in millimetres on paper; x runs right and y runs down."""

from dataclasses import dataclass
from enum import StrEnum

Spot = tuple[float, float]


class Pen(StrEnum):
    """What a shape stands for; the weight of its line follows from it."""

    WALL = "wall"
    HATCH = "hatch"
    GROUND = "ground"
    ROOF = "roof"
    SHEET = "sheet"
    RAFTER = "rafter"
    PURLIN = "purlin"
    BEAM = "beam"
    EDGE = "edge"  # outline of a member in an elevation
    POST = "post"
    FOOTING = "footing"
    GUTTER = "gutter"
    RIDGE = "ridge"
    EAVE = "eave"
    DECK = "deck"
    HIDDEN = "hidden"  # below something else
    RAIL = "rail"
    DIMENSION = "dimension"
    TICK = "tick"
    BAR = "bar"  # scale bar and arrow heads
    PAPER = "paper"  # clears the lines under a text


class Ink(StrEnum):
    """What a text is: a figure, a word, a title."""

    FIGURE = "figure"
    WORD = "word"
    TITLE = "title"


# Heights of letters on paper, in millimetres: 8 points at least, to be read on site.
HEIGHT_MM = {Ink.FIGURE: 2.85, Ink.WORD: 2.9, Ink.TITLE: 3.8}
# A wide letter of a plain typeface, as a share of its height.
_WIDTH_OF_HEIGHT = 0.58


class Anchor(StrEnum):
    """Which point of a text lies on its spot."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Spot
    end: Spot
    pen: Pen


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline, filled as its pen says."""

    spots: tuple[Spot, ...]
    pen: Pen


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, for downpipes."""

    centre: Spot
    radius: float
    pen: Pen


@dataclass(frozen=True, slots=True)
class Text:
    """Words or a figure, upright or turned a quarter to the left."""

    spot: Spot
    says: str
    ink: Ink = Ink.FIGURE
    anchor: Anchor = Anchor.MIDDLE
    turned: bool = False


Shape = Line | Polygon | Circle | Text


@dataclass(frozen=True, slots=True)
class Box:
    """The rectangle around shapes."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Width in millimetres on paper."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height in millimetres on paper."""
        return self.bottom - self.top


class ViewKind(StrEnum):
    """Which way the structure is looked at."""

    PLAN = "plan"
    FRONT = "front"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class View:
    """One view; its spots are relative to the structure's origin."""

    kind: ViewKind
    title: str
    shapes: tuple[Shape, ...]

    def box(self) -> Box:
        """The rectangle around all its shapes, texts included."""
        spots = [spot for shape in self.shapes for spot in extent(shape)]
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Drawing:
    """All views at one scale."""

    title: str
    describes: str  # the drawing in words, for somebody who cannot see it
    scale: int  # 50 means 1:50
    views: tuple[View, ...]
    notes: tuple[str, ...]


def text_width(says: str, ink: Ink) -> float:
    """About how wide a text is on paper, in millimetres."""
    return len(says) * HEIGHT_MM[ink] * _WIDTH_OF_HEIGHT


def extent(shape: Shape) -> tuple[Spot, ...]:
    """Corners that a shape reaches to."""
    match shape:
        case Line(start=start, end=end):
            return (start, end)
        case Polygon(spots=spots):
            return spots
        case Circle(centre=(x, y), radius=radius):
            return ((x - radius, y - radius), (x + radius, y + radius))
        case Text():
            return _text_extent(shape)


def _text_extent(text: Text) -> tuple[Spot, ...]:
    """From baseline to capital height, and along by anchor."""
    width, height = text_width(text.says, text.ink), HEIGHT_MM[text.ink]
    before = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor]
    x, y = text.spot
    if text.turned:
        return ((x - height, y + before * width), (x, y - (1 - before) * width))
    return ((x - before * width, y - height), (x + (1 - before) * width, y))
