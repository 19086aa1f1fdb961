"""Gutters and downpipes on the plan, with their fall."""

from jobs.domain.drawing.pencil import Axes, arrow, box, cleared
from jobs.domain.drawing.shapes import Circle, Ink, Pen, Shape, Spot, Text
from jobs.domain.layout import Gutter, GutterKind, Layout
from jobs.domain.takeoff.rainwater import downpipes_for, gutter_fall_mm
from jobs.domain.takeoff.trade import BOX_GUTTER_FALL_ONE_IN, EAVES_GUTTER_FALL_ONE_IN

_GUTTER_MM = 2.0
_ARROW_OFF_MM = 4.2
_ARROW_MM = 16.0


def gutter_marks(gutter: Gutter, layout: Layout, axes: Axes) -> list[Shape]:
    """The gutter beside its edge, its downpipes, and an arrow the way it falls."""
    a = axes.spot(gutter.member.start.x_m, gutter.member.start.y_m)
    b = axes.spot(gutter.member.end.x_m, gutter.member.end.y_m)
    if gutter.kind is GutterKind.BOX:
        return _box_gutter(a, b, gutter, layout)
    off = _outward(gutter, layout)
    strip = box(a, _add(b, off, _GUTTER_MM), Pen.GUTTER)
    pipes = downpipes_for(gutter.member.length_m)
    fall = gutter_fall_mm(gutter.member.length_m / pipes, EAVES_GUTTER_FALL_ONE_IN)
    shapes: list[Shape] = [strip]
    for share, high in _runs(pipes):
        at = _add(_between(a, b, share), off, _GUTTER_MM / 2)
        shapes.append(Circle(at, 1.1, Pen.POST))
        shapes += _fall(_between(a, b, high), _between(a, b, share), off, fall)
    return shapes


def _runs(pipes: int) -> list[tuple[float, float]]:
    """Where each downpipe is and where its gutter is highest, as shares of the run.

    One stands at the far end, two at both ends; more stand in the middle of their part.
    """
    if pipes == 1:
        return [(1.0, 0.0)]
    if pipes == 2:
        return [(0.0, 0.5), (1.0, 0.5)]
    return [((n + 0.5) / pipes, n / pipes) for n in range(pipes)]


def _fall(high: Spot, low: Spot, off: Spot, fall_mm: float) -> list[Shape]:
    """Arrow and figure outside the gutter, towards the downpipe."""
    length = max(abs(low[0] - high[0]), abs(low[1] - high[1]))
    half = min(_ARROW_MM, length) / length / 2
    start = _add(_between(high, low, 0.6 - half), off, _ARROW_OFF_MM)
    end = _add(_between(high, low, 0.6 + half), off, _ARROW_OFF_MM)
    says = f"falls {fall_mm:.0f} mm"
    if off[0]:  # a gutter that runs out from the house: figure turned beside it
        x = start[0] + (3.9 if off[0] > 0 else -1.2)
        text = Text((x, (start[1] + end[1]) / 2), says, Ink.FIGURE, turned=True)
    else:
        y = start[1] + (4.2 if off[1] > 0 else -1.4)
        text = Text(((start[0] + end[0]) / 2, y), says, Ink.FIGURE)
    return [*arrow(start, end), text]


def _box_gutter(a: Spot, b: Spot, gutter: Gutter, layout: Layout) -> list[Shape]:
    strip = box((a[0] - 1.0, a[1]), (b[0] + 1.0, b[1]), Pen.GUTTER)
    fall = gutter_fall_mm(gutter.member.length_m, BOX_GUTTER_FALL_ONE_IN)
    near = gutter.member.start.x_m < layout.dimensions.length_m / 2
    says = Text(
        (a[0] - 2.0 if near else a[0] + 4.7, _between(a, b, 0.42)[1]),
        f"box, falls {fall:.0f} mm",
        Ink.FIGURE,
        turned=True,
    )
    return [
        strip,
        Circle(b, 1.1, Pen.POST),
        *arrow(_between(a, b, 0.72), _between(a, b, 0.9)),
        *cleared(says),
    ]


def _outward(gutter: Gutter, layout: Layout) -> Spot:
    """Which way is off the roof, as a unit step on paper."""
    start, end = gutter.member.start, gutter.member.end
    dims = layout.dimensions
    if abs(end.y_m - start.y_m) < abs(end.x_m - start.x_m):
        return (0.0, 1.0) if start.y_m > dims.projection_m / 2 else (0.0, -1.0)
    return (1.0, 0.0) if start.x_m > dims.length_m / 2 else (-1.0, 0.0)


def _add(spot: Spot, step: Spot, by: float) -> Spot:
    return spot[0] + step[0] * by, spot[1] + step[1] * by


def _between(a: Spot, b: Spot, share: float) -> Spot:
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
