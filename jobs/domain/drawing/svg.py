"""A drawing as SVG text: one sheet of all views, or a single view.

Colours are ``currentColor`` in attributes, which a style sheet may override by class;
nothing depends on colour, so it prints in greyscale. Sizes are millimetres on paper.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from jobs.domain.drawing.pencil import Axes, scale_bar, shifted
from jobs.domain.drawing.shapes import (
    HEIGHT_MM,
    Anchor,
    Circle,
    Drawing,
    Ink,
    Line,
    Pen,
    Polygon,
    Shape,
    Text,
    View,
    ViewKind,
)

_MARGIN_MM = 5.0
_GAP_MM = 12.0
_NOTE_MM = 5.0
_INK = "currentColor"


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a pen draws: width in mm, dashes, and what it fills with."""

    width: float
    dashes: str = ""
    fill: str = "none"
    fade: float = 1.0  # opacity of line and fill


STROKES = {
    Pen.WALL: Stroke(0.6),
    Pen.HATCH: Stroke(0.18, fade=0.7),
    Pen.GROUND: Stroke(0.7),
    Pen.ROOF: Stroke(0.45),
    Pen.SHEET: Stroke(0.13, fade=0.45),
    Pen.RAFTER: Stroke(0.25),
    Pen.PURLIN: Stroke(0.18, "2 1.2", fade=0.7),
    Pen.BEAM: Stroke(0.8),
    Pen.EDGE: Stroke(0.35),
    Pen.POST: Stroke(0.2, fill=_INK),
    Pen.FOOTING: Stroke(0.25, "1.4 1"),
    Pen.GUTTER: Stroke(0.35),
    Pen.RIDGE: Stroke(0.5, "6 1.2 1.2 1.2"),
    Pen.EAVE: Stroke(0.35, "4 1.5"),
    Pen.DECK: Stroke(0.4),
    Pen.HIDDEN: Stroke(0.3, "3 1.2"),
    Pen.RAIL: Stroke(0.3),
    Pen.DIMENSION: Stroke(0.15),
    Pen.TICK: Stroke(0.35),
    Pen.BAR: Stroke(0.15, fill=_INK),
    Pen.PAPER: Stroke(0.0, fill="#fff"),
}


def to_svg(
    drawing: Drawing,
    *,
    only: ViewKind | None = None,
    name: str = "drawing",
    true_size: bool = False,
    bar: bool = True,
) -> str:
    """SVG text without a fixed size, so that the page or the print decides it.

    ``only`` picks one view, for a narrow screen; ``name`` keeps the ids of several
    drawings on a page apart. At ``true_size`` its scale holds on paper; a view without
    a ``bar`` stands beside one that has it.
    """
    shapes = _sheet(drawing) if only is None else _view(drawing, only, bar=bar)
    left, top, width, height = _bounds(shapes)
    size = f'width="{_n(width)}mm" height="{_n(height)}mm" ' if true_size else ""
    body = "".join(_element(shape) for shape in shapes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" {size}'
        f'viewBox="{_n(left)} {_n(top)} {_n(width)} {_n(height)}" '
        f'aria-labelledby="{name}-title {name}-desc" fill="none" '
        f'stroke="{_INK}" stroke-linecap="round" stroke-linejoin="round" '
        f'font-family="inherit, sans-serif">'
        f'<title id="{name}-title">{escape(drawing.title)}</title>'
        f'<desc id="{name}-desc">{escape(drawing.describes)}</desc>'
        f"{body}</svg>"
    )


def size_of(drawing: Drawing, only: ViewKind, *, bar: bool) -> tuple[float, float]:
    """Width and height of one view with its title, in mm on paper."""
    return _bounds(_view(drawing, only, bar=bar))[2:]


def _view(drawing: Drawing, only: ViewKind, *, bar: bool) -> list[Shape]:
    (view,) = (view for view in drawing.views if view.kind is only)
    return [*_titled(view), *(_bar_under(drawing, view) if bar else ())]


def _sheet(drawing: Drawing) -> list[Shape]:
    """Plan over front, side beside front, notes beside the plan."""
    by_kind = {view.kind: view for view in drawing.views}
    above = by_kind[ViewKind.PLAN]
    below, beside = by_kind[ViewKind.FRONT], by_kind[ViewKind.SIDE]
    plan_box, front_box, side_box = above.box(), below.box(), beside.box()
    down = plan_box.bottom + _GAP_MM + 4 - min(front_box.top, side_box.top)
    right_of = max(plan_box.right, front_box.right) + _GAP_MM
    across = right_of - side_box.left
    floor = max(front_box.bottom, side_box.bottom) + down + 13
    return [
        *_titled(above),
        *shifted(_titled(below), 0.0, down),
        *shifted(_titled(beside), across, down),
        *_notes(drawing, right_of, plan_box.top),
        *shifted(scale_bar(Axes(drawing.scale)), plan_box.left + 4, floor),
    ]


def _titled(view: View) -> list[Shape]:
    box = view.box()
    title = Text((box.left, box.top - 3.5), view.title, Ink.TITLE, Anchor.START)
    return [title, *view.shapes]


def _bar_under(drawing: Drawing, view: View) -> list[Shape]:
    box = view.box()
    return shifted(scale_bar(Axes(drawing.scale)), box.left + 4, box.bottom + 10)


def _notes(drawing: Drawing, left: float, top: float) -> list[Shape]:
    title = Text((left, top), drawing.title, Ink.TITLE, Anchor.START)
    lines: list[Shape] = [
        Text((left, top + 3 + n * _NOTE_MM), says, Ink.WORD, Anchor.START)
        for n, says in enumerate(drawing.notes, start=1)
    ]
    return [title, *lines]


def _bounds(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    box = View(ViewKind.PLAN, "", tuple(shapes)).box()
    return (
        box.left - _MARGIN_MM,
        box.top - _MARGIN_MM,
        box.width + 2 * _MARGIN_MM,
        box.height + 2 * _MARGIN_MM,
    )


def _element(shape: Shape) -> str:
    match shape:
        case Line(start=(x0, y0), end=(x1, y1), pen=pen):
            ends = f'x1="{_n(x0)}" y1="{_n(y0)}" x2="{_n(x1)}" y2="{_n(y1)}"'
            return f"<line {ends}{_stroke(pen)}/>"
        case Polygon(spots=spots, pen=pen):
            points = " ".join(f"{_n(x)},{_n(y)}" for x, y in spots)
            return f'<polygon points="{points}"{_stroke(pen)}/>'
        case Circle(centre=(x, y), radius=radius, pen=pen):
            return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"{_stroke(pen)}/>'
        case Text():
            return _text(shape)


def _stroke(pen: Pen) -> str:
    stroke = STROKES[pen]
    says = f' class="drawing-{pen}" stroke-width="{stroke.width}"'
    if stroke.dashes:
        says += f' stroke-dasharray="{stroke.dashes}"'
    if stroke.fill != "none":
        says += f' fill="{stroke.fill}"'
    if stroke.fade < 1:
        says += f' stroke-opacity="{stroke.fade}"'
    if not stroke.width:
        says += ' stroke="none"'
    return says


def _text(text: Text) -> str:
    x, y = text.spot
    turned = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if text.turned else ""
    weight = ' font-weight="600"' if text.ink is Ink.TITLE else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" class="drawing-{text.ink}" fill="{_INK}" '
        f'stroke="none" font-size="{HEIGHT_MM[text.ink]}" '
        f"text-anchor={quoteattr(text.anchor.value)}{weight}{turned}>"
        f"{escape(text.says)}</text>"
    )


def _n(value: float) -> str:
    """A hundredth of a millimetre is finer than any printer."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"
