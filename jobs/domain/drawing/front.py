"""The front elevation: the structure seen from the garden, facing the house."""

from jobs.domain.drawing.elevation import (
    Look,
    beam_shape,
    ground_line,
    height_chain,
    post_shapes,
    roof_edge,
    roof_face,
    tie_shape,
)
from jobs.domain.drawing.pencil import Axes, box
from jobs.domain.drawing.shapes import (
    Anchor,
    Ink,
    Line,
    Pen,
    Shape,
    Text,
    View,
    ViewKind,
)
from jobs.domain.layout import Beam, Falls, GutterKind, Layout, Post
from jobs.domain.sections import Sections
from jobs.domain.takeoff.decking import risers_for

_GUTTER_M = 0.09
_RAIL_M = 1.0
_BALUSTER_M = 0.25
_RIGHT_MM = 12.0  # heights on the right, off the roof


def front(layout: Layout, axes: Axes, sections: Sections, eave_m: float | None) -> View:
    """``eave_m`` is the existing eave above the floor, None when not known."""
    look = Look(layout, axes, sections, lambda point: point.x_m)
    shapes = [
        *_existing_eave(layout, axes, eave_m),
        *_ground(layout, axes),
        *_deck(layout, axes, sections),
        *post_shapes(front_posts(layout), look),
        *(
            beam_shape(beam.member, look)
            for beam in layout.beams
            if _seen(beam, layout)
        ),
        *(tie_shape(tie, look) for tie in layout.ties[-1:]),
        *_roof(layout, look),
        *_gutters(layout, look),
        *_heights(layout, axes),
    ]
    return View(ViewKind.FRONT, "Front, from the garden", tuple(shapes))


def front_posts(layout: Layout) -> list[Post]:
    """The outermost row of posts."""
    out = max(post.y_m for post in layout.posts)
    return [post for post in layout.posts if post.y_m == out]


def _seen(beam: Beam, layout: Layout) -> bool:
    """A beam that runs along the back is hidden by the one in front."""
    out = max(post.y_m for post in layout.posts)
    return beam.member.end.y_m == out


def _ground(layout: Layout, axes: Axes) -> list[Shape]:
    levels = [(post.x_m, post.floor_z_m) for post in front_posts(layout)]
    length = layout.dimensions.length_m
    return ground_line(_to_ends(levels, length), axes)


def _to_ends(
    levels: list[tuple[float, float]], length: float
) -> list[tuple[float, float]]:
    """The floor carried on to both ends of the roof."""
    (x0, z0), (x1, z1) = levels[0], levels[-1]
    slope = (z1 - z0) / (x1 - x0) if x1 > x0 else 0.0
    return [(0.0, z0 - slope * x0), (length, z1 + slope * (length - x1))]


def _roof(layout: Layout, look: Look) -> list[Shape]:
    """Planes that fall to the eye or away are faces, the others are edges."""
    shapes: list[Shape] = []
    for plane in layout.planes:
        if plane.falls is Falls.FRONT:
            shapes += roof_face(plane, look)
        elif plane.falls in (Falls.NEAR, Falls.FAR):
            shapes.append(roof_edge(plane, look))
    return shapes


def _gutters(layout: Layout, look: Look) -> list[Shape]:
    shapes: list[Shape] = []
    for gutter in layout.gutters:
        if gutter.kind is GutterKind.BOX:
            continue
        start, end = gutter.member.start, gutter.member.end
        at_back = start.y_m == end.y_m == 0.0
        if at_back:
            continue
        a, b = start.x_m, end.x_m
        if a == b:  # it runs out from the house: its end is seen
            a, b = (a - _GUTTER_M, a) if a < 1e-9 else (a, a + _GUTTER_M)
        z = start.z_m
        corner = look.axes.spot(a, z - _GUTTER_M)
        shapes.append(box(corner, look.axes.spot(b, z + 0.01), Pen.GUTTER))
    return shapes


def _existing_eave(layout: Layout, axes: Axes, eave_m: float | None) -> list[Shape]:
    if eave_m is None or layout.house_z_m is None:
        return []
    length = layout.dimensions.length_m
    start, end = axes.spot(-0.5, eave_m), axes.spot(length, eave_m)
    past = end[0] + _RIGHT_MM + 3
    return [
        Line(start, (past, end[1]), Pen.EAVE),
        Text((past + 1.2, end[1] + 1.0), "existing eave", Ink.WORD, Anchor.START),
    ]


def _deck(layout: Layout, axes: Axes, sections: Sections) -> list[Shape]:
    deck, dims = layout.deck, layout.dimensions
    if deck is None:
        return []
    depth = sum(
        sections[key].depth_m
        for key in (dims.board_section, dims.joist_section, dims.bearer_section)
    )
    stair = deck.length_m - dims.stair_width_m
    shapes: list[Shape] = [
        box(axes.spot(0.0, 0.0), axes.spot(deck.length_m, -depth), Pen.DECK),
        Line(axes.spot(0.0, _RAIL_M), axes.spot(stair, _RAIL_M), Pen.RAIL),
    ]
    bars = max(1, round(stair / _BALUSTER_M))
    for n in range(bars + 1):
        x = stair * n / bars
        shapes.append(Line(axes.spot(x, 0.0), axes.spot(x, _RAIL_M), Pen.SHEET))
    return shapes + _stair(layout, axes)


def _stair(layout: Layout, axes: Axes) -> list[Shape]:
    """Treads seen from the front, the deck behind them cleared."""
    deck = layout.deck
    assert deck is not None
    left, right = deck.length_m - layout.dimensions.stair_width_m, deck.length_m
    foot, risers = -deck.stair_rise_m, risers_for(deck.stair_rise_m)
    corners = axes.spot(left, 0.0), axes.spot(right, foot)
    treads = (foot * n / risers for n in range(1, risers))
    return [
        box(*corners, Pen.PAPER),
        box(*corners, Pen.RAIL),
        *(Line(axes.spot(left, z), axes.spot(right, z), Pen.RAIL) for z in treads),
    ]


def _heights(layout: Layout, axes: Axes) -> list[Shape]:
    """Left: floor, beam, low edge. Right: floor, ridge or high edge."""
    posts = front_posts(layout)
    near, far = posts[0], posts[-1]
    low = min(plane.low_z_m for plane in layout.planes)
    high = max(plane.high_z_m for plane in layout.planes)
    length = layout.dimensions.length_m
    floor = 0.0 if layout.deck else near.floor_z_m
    left = [near.floor_z_m, floor, near.top_z_m, low]
    return [
        *height_chain(axes, left, 0.0, -9.0),
        *height_chain(axes, [far.floor_z_m, high], length, _RIGHT_MM),
    ]
