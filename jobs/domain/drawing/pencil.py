"""Marks that a draughtsperson makes often: dimensions, hatching, arrows, the scale bar."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from jobs.domain.drawing.shapes import (
    HEIGHT_MM,
    Anchor,
    Ink,
    Line,
    Pen,
    Polygon,
    Shape,
    Spot,
    Text,
    extent,
    text_width,
)

_TICK_MM = 1.1
_GAP_MM = 1.2  # between the object and an extension line
_PAST_MM = 1.4  # an extension line runs past the dimension line
_HATCH_MM = 2.4


@dataclass(frozen=True, slots=True)
class Axes:
    """From metres of the structure to millimetres on paper."""

    scale: int  # 50 means 1:50
    upright: bool = False  # an elevation: the second axis points up

    def mm(self, metres: float) -> float:
        """A length."""
        return metres * 1000 / self.scale

    def spot(self, along_m: float, other_m: float) -> Spot:
        """A place: along, and out (plan) or up (elevation)."""
        other = self.mm(other_m)
        return self.mm(along_m), -other if self.upright else other


def figure(metres: float) -> str:
    """Millimetres without a unit, as on a building drawing."""
    return f"{metres * 1000:.0f}"


def chain_across(
    axes: Axes, along_m: Sequence[float], edge: float, at: float
) -> list[Shape]:
    """Dimensions in a row, left to right, at height ``at`` on paper.

    ``edge`` is where the object ends; extension lines start a little off it.
    """
    xs = [axes.mm(along) for along in along_m]
    sign = 1 if at > edge else -1
    shapes: list[Shape] = [Line((xs[0], at), (xs[-1], at), Pen.DIMENSION)]
    for x in xs:
        shapes += [
            Line((x, edge + sign * _GAP_MM), (x, at + sign * _PAST_MM), Pen.DIMENSION),
            Line(
                (x - _TICK_MM, at + _TICK_MM), (x + _TICK_MM, at - _TICK_MM), Pen.TICK
            ),
        ]
    steps = list(zip(pairwise(xs), pairwise(along_m), strict=True))
    for index, ((x0, x1), (a, b)) in enumerate(steps):
        says = figure(b - a)
        shapes.append(_figure_across(x0, x1, at, says, index, len(steps)))
    return shapes


def chain_up(axes: Axes, up_m: Sequence[float], edge: float, at: float) -> list[Shape]:
    """Dimensions in a column at distance ``at`` on paper, figures turned."""
    ys = [axes.spot(0.0, up)[1] for up in up_m]
    sign = 1 if at > edge else -1
    shapes: list[Shape] = [Line((at, ys[0]), (at, ys[-1]), Pen.DIMENSION)]
    for y in ys:
        shapes += [
            Line((edge + sign * _GAP_MM, y), (at + sign * _PAST_MM, y), Pen.DIMENSION),
            Line(
                (at - _TICK_MM, y + _TICK_MM), (at + _TICK_MM, y - _TICK_MM), Pen.TICK
            ),
        ]
    steps = list(zip(pairwise(ys), pairwise(up_m), strict=True))
    for index, ((y0, y1), (a, b)) in enumerate(steps):
        says = figure(abs(b - a))
        shapes.append(_figure_up(at, y0, y1, says, index, len(steps)))
    return shapes


def _figure_across(
    x0: float, x1: float, at: float, says: str, index: int, count: int
) -> Text:
    """Over its line; beside it when the step is too short for its figure."""
    if text_width(says, Ink.FIGURE) <= abs(x1 - x0) - 0.6:
        return Text(((x0 + x1) / 2, at - 0.9), says)
    if index == 0 and count > 1:
        return Text((min(x0, x1) - 1.6, at - 0.9), says, anchor=Anchor.END)
    if index == count - 1:
        return Text((max(x0, x1) + 1.6, at - 0.9), says, anchor=Anchor.START)
    return Text(((x0 + x1) / 2, at - 1.2 - HEIGHT_MM[Ink.FIGURE]), says)


def _figure_up(
    at: float, y0: float, y1: float, says: str, index: int, count: int
) -> Text:
    if text_width(says, Ink.FIGURE) <= abs(y1 - y0) - 0.6:
        return Text((at - 0.9, (y0 + y1) / 2), says, turned=True)
    below = (y0 > y1) == (index == 0)
    if below:
        return Text((at - 0.9, max(y0, y1) + 1.6), says, anchor=Anchor.END, turned=True)
    return Text((at - 0.9, min(y0, y1) - 1.6), says, anchor=Anchor.START, turned=True)


def box(a: Spot, b: Spot, pen: Pen) -> Polygon:
    """A rectangle between two opposite corners."""
    (x0, y0), (x1, y1) = a, b
    return Polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), pen)


def hatch(a: Spot, b: Spot) -> list[Shape]:
    """Slanting lines inside a rectangle, the sign for a cut wall."""
    left, right = sorted((a[0], b[0]))
    top, bottom = sorted((a[1], b[1]))
    height = bottom - top
    count = math.floor((right - left + height) / _HATCH_MM)
    lines: list[Shape] = []
    for index in range(1, count + 1):
        foot = left + index * _HATCH_MM  # where the line would meet the bottom
        x0, x1 = max(left, foot - height), min(right, foot)
        if x1 > x0:
            start = (x0, bottom - (foot - x0) if foot - x0 <= height else top)
            lines.append(Line(start, (x1, bottom - (foot - x1)), Pen.HATCH))
    return lines


def earth(spots: Sequence[Spot]) -> list[Shape]:
    """A ground line with short strokes under it."""
    shapes: list[Shape] = [Line(a, b, Pen.GROUND) for a, b in pairwise(spots)]
    for (x0, y0), (x1, y1) in pairwise(spots):
        steps = max(1, int(abs(x1 - x0) / 4))
        for index in range(steps):
            share = (index + 0.5) / steps
            x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
            shapes.append(Line((x, y), (x - 1.3, y + 1.3), Pen.HATCH))
    return shapes


def arrow(start: Spot, end: Spot, pen: Pen = Pen.TICK) -> list[Shape]:
    """A line with a head at its end."""
    (x0, y0), (x1, y1) = start, end
    angle = math.atan2(y1 - y0, x1 - x0)
    wings = [
        (x1 - 2.2 * math.cos(angle + turn), y1 - 2.2 * math.sin(angle + turn))
        for turn in (0.35, -0.35)
    ]
    return [Line(start, end, pen), Polygon((end, *wings), Pen.BAR)]


def cleared(text: Text) -> list[Shape]:
    """A text on a patch of bare paper, so that lines under it do not run through."""
    corners = extent(text)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    patch = box(
        (min(xs) - 0.6, min(ys) - 0.5), (max(xs) + 0.6, max(ys) + 0.7), Pen.PAPER
    )
    return [patch, text]


def shifted(shapes: Iterable[Shape], dx: float, dy: float) -> list[Shape]:
    """Shapes moved on the paper."""
    return [_shift(shape, dx, dy) for shape in shapes]


def _shift(shape: Shape, dx: float, dy: float) -> Shape:
    match shape:
        case Line(start=(x0, y0), end=(x1, y1), pen=pen):
            return Line((x0 + dx, y0 + dy), (x1 + dx, y1 + dy), pen)
        case Polygon(spots=spots, pen=pen):
            return Polygon(tuple((x + dx, y + dy) for x, y in spots), pen)
        case Text(spot=(x, y)):
            return Text(
                (x + dx, y + dy), shape.says, shape.ink, shape.anchor, shape.turned
            )
        case _:
            x, y = shape.centre
            return type(shape)((x + dx, y + dy), shape.radius, shape.pen)


def scale_bar(axes: Axes) -> list[Shape]:
    """A bar of whole metres, black and white by turns."""
    metres = 5 if axes.mm(5) <= 90 else 2
    shapes: list[Shape] = []
    for index in range(metres):
        x0, x1 = axes.mm(index), axes.mm(index + 1)
        pen = Pen.BAR if index % 2 == 0 else Pen.WALL
        shapes.append(box((x0, 0), (x1, 1.6), pen))
    shapes += [Text((axes.mm(n), -1.2), str(n)) for n in range(metres + 1)]
    end = axes.mm(metres) + 3
    shapes.append(
        Text(
            (end, 1.6),
            f"metres; 1:{axes.scale} at full size",
            Ink.WORD,
            Anchor.START,
        )
    )
    return shapes
