"""The plan: the structure seen from above, house at the top."""

from collections.abc import Iterable
from itertools import chain

from jobs.domain.drawing.pencil import (
    Axes,
    arrow,
    box,
    chain_across,
    chain_up,
    cleared,
    hatch,
)
from jobs.domain.drawing.rainwater import gutter_marks
from jobs.domain.drawing.shapes import (
    Anchor,
    Ink,
    Line,
    Pen,
    Shape,
    Spot,
    Text,
    View,
    ViewKind,
)
from jobs.domain.layout import Layout, Member, Plane, Point, Post
from jobs.domain.layout.planes import whole_to_cover
from jobs.domain.sections import Sections
from jobs.domain.takeoff.decking import risers_for
from jobs.domain.takeoff.trade import GOING_M

_WALL_MM = 5.0
_BEYOND_M = 0.5  # the house wall runs on past the roof
_FIRST_ROW_MM = 15.0  # first row of dimensions off the roof
_ROW_MM = 7.5
_POST_MIN_MM = 1.8  # smaller would not be seen


def plan(layout: Layout, axes: Axes, sections: Sections) -> View:
    """Roof, frame, posts, gutters and set-out dimensions from above."""
    shapes = [
        *_house(layout, axes),
        *chain.from_iterable(_plane(p, layout, axes) for p in layout.planes),
        *_members(layout.purlins, axes, Pen.PURLIN),
        *_members(layout.rafters, axes, Pen.RAFTER),
        *_members((beam.member for beam in layout.beams), axes, Pen.BEAM),
        *_members(layout.ties, axes, Pen.BEAM),
        *_members(layout.ridges, axes, Pen.RIDGE),
        *chain.from_iterable(gutter_marks(g, layout, axes) for g in layout.gutters),
        *_posts(layout, axes, sections),
        *_deck(layout, axes),
        *chain.from_iterable(_slope(p, layout, axes) for p in layout.planes),
        *_dimensions(layout, axes),
    ]
    return View(ViewKind.PLAN, "Plan", tuple(shapes))


def stair_depth_m(layout: Layout) -> float:
    """How far the stair runs out from the deck."""
    if layout.deck is None:
        return 0.0
    return (risers_for(layout.deck.stair_rise_m) - 1) * GOING_M


def _members(members: Iterable[Member], axes: Axes, pen: Pen) -> list[Shape]:
    return [Line(_spot(m.start, axes), _spot(m.end, axes), pen) for m in members]


def _spot(point: Point, axes: Axes) -> Spot:
    return axes.spot(point.x_m, point.y_m)


def _house(layout: Layout, axes: Axes) -> list[Shape]:
    if layout.house_z_m is None:
        return []
    left = axes.mm(-_BEYOND_M)
    right = axes.mm(layout.dimensions.length_m + _BEYOND_M)
    return [
        *hatch((left, -_WALL_MM), (right, 0.0)),
        Line((left, 0.0), (right, 0.0), Pen.WALL),
        Line((left, -_WALL_MM), (right, -_WALL_MM), Pen.WALL),
        Text((left, -_WALL_MM - 1.4), "House", Ink.WORD, Anchor.START),
    ]


def _plane(plane: Plane, layout: Layout, axes: Axes) -> list[Shape]:
    """Its outline and the laps of its sheets."""
    outline = box(
        axes.spot(plane.x0_m, plane.y0_m), axes.spot(plane.x1_m, plane.y1_m), Pen.ROOF
    )
    cover = layout.dimensions.sheet_cover_m
    laps = (
        Member("lap", plane.at(n * cover, 0), plane.at(n * cover, plane.run_m))
        for n in range(1, whole_to_cover(plane.eave_m, cover))
    )
    return [outline, *_members(laps, axes, Pen.SHEET)]


def _posts(layout: Layout, axes: Axes, sections: Sections) -> list[Shape]:
    wide = axes.mm(sections[layout.dimensions.post_section].depth_m)
    half = max(wide, _POST_MIN_MM) / 2
    shapes: list[Shape] = []
    for post in layout.posts:
        x, y = axes.spot(post.x_m, post.y_m)
        shapes.append(box((x - half, y - half), (x + half, y + half), Pen.POST))
        shapes += _number(post, (x, y), half, layout)
    return shapes


def _number(post: Post, at: Spot, half: float, layout: Layout) -> list[Shape]:
    """The post's number stands inside the roof, clear of its edges."""
    dims = layout.dimensions
    last = post.x_m > dims.length_m - 0.6
    inner = post.y_m < dims.projection_m / 2
    across = -half - 1.2 if last else half + 1.2
    down = half + 4.2 if inner else -half - 1.4
    anchor = Anchor.END if last else Anchor.START
    spot = (at[0] + across, at[1] + down)
    return cleared(Text(spot, post.label, Ink.WORD, anchor))


def _deck(layout: Layout, axes: Axes) -> list[Shape]:
    """The deck's edge under the roof, and the stair in front of it."""
    deck = layout.deck
    if deck is None:
        return []
    right, left = deck.length_m, deck.length_m - layout.dimensions.stair_width_m
    out = deck.depth_m + stair_depth_m(layout)
    treads = round(stair_depth_m(layout) / GOING_M)
    shapes: list[Shape] = [
        box(axes.spot(0.0, 0.0), axes.spot(right, deck.depth_m), Pen.HIDDEN)
    ]
    for n in range(treads + 1):
        y = deck.depth_m + n * GOING_M
        shapes.append(Line(axes.spot(left, y), axes.spot(right, y), Pen.RAIL))
    shapes += [
        Line(axes.spot(x, deck.depth_m), axes.spot(x, out), Pen.RAIL)
        for x in (left, right)
    ]
    middle = (left + right) / 2
    shapes += arrow(axes.spot(middle, out), axes.spot(middle, deck.depth_m + 0.1))
    foot = axes.spot(middle, out)
    shapes.append(Text((foot[0] + 1.2, foot[1] + 3.4), "up", Ink.WORD))
    return shapes


def _slope(plane: Plane, layout: Layout, axes: Axes) -> list[Shape]:
    """Which way the roof falls, and how steeply."""
    along = _clear_of_members(plane, layout)
    start = _spot(plane.at(along, plane.run_m * 0.30), axes)
    end = _spot(plane.at(along, plane.run_m * 0.62), axes)
    if plane.falls_along_y:  # the figure stands behind the arrow's tail
        spot = (start[0], start[1] + (-1.5 if end[1] > start[1] else 4.2))
    else:
        spot = ((start[0] + end[0]) / 2, start[1] - 1.5)
    says = Text(spot, f"{plane.pitch_deg:g}° fall", Ink.WORD)
    return [*arrow(start, end), *cleared(says)]


def _clear_of_members(plane: Plane, layout: Layout) -> float:
    """Middle of a rafter bay that no tie crosses, as near the middle as can be."""
    spacing = layout.dimensions.rafter_spacing_max_m
    bays = whole_to_cover(plane.eave_m, spacing)
    middles = [plane.eave_m * (n + 0.5) / bays for n in range(bays)]
    origin = plane.x0_m if plane.falls_along_y else plane.y0_m
    ties = [
        (tie.start.x_m if plane.falls_along_y else tie.start.y_m) - origin
        for tie in layout.ties
    ]
    free = [m for m in middles if all(abs(m - tie) > 0.3 for tie in ties)]
    return min(free or middles, key=lambda m: (abs(m - plane.eave_m / 2), m))


def _dimensions(layout: Layout, axes: Axes) -> list[Shape]:
    dims = layout.dimensions
    length, out = dims.length_m, dims.projection_m
    deck_out = layout.deck.depth_m + stair_depth_m(layout) if layout.deck else 0.0
    under = axes.mm(max(out, deck_out))
    right = axes.mm(length)
    columns = _steps([0.0, *(p.x_m for p in layout.posts), length])
    rows = _steps([0.0, *(p.y_m for p in layout.posts), out])
    first = under + _FIRST_ROW_MM
    shapes: list[Shape] = []
    if len(columns) > 2:
        shapes += chain_across(axes, columns, under + 7.5, first)
        first += _ROW_MM
    shapes += chain_across(axes, [0.0, length], under + 7.5, first)
    if len(rows) > 2:
        shapes += chain_up(axes, rows, right + 4, right + _FIRST_ROW_MM)
    shapes += chain_up(axes, [0.0, out], -4, -_FIRST_ROW_MM)
    return shapes


def _steps(places: Iterable[float]) -> list[float]:
    """Distinct places in order, to the millimetre."""
    return sorted({round(place, 3) for place in places})
