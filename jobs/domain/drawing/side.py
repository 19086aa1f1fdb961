"""The side elevation: the structure seen from its near end, house on the left."""

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
from jobs.domain.drawing.pencil import Axes, box, chain_across, figure, hatch
from jobs.domain.drawing.plan import stair_depth_m
from jobs.domain.drawing.shapes import (
    Anchor,
    Ink,
    Line,
    Pen,
    Shape,
    Text,
    View,
    ViewKind,
    text_width,
)
from jobs.domain.layout import Falls, GutterKind, Layout, Post
from jobs.domain.sections import Sections
from jobs.domain.takeoff.decking import risers_for

_GUTTER_M = 0.09
_WALL_MM = 5.0
_LEFT_MM = 12.0  # heights on the left, off the wall
_WALL_ABOVE_M = 0.25  # the wall is drawn this far above where the roof meets it
_RAIL_M = 1.0


def side(layout: Layout, axes: Axes, sections: Sections, eave_m: float | None) -> View:
    """``eave_m`` is the existing eave above the floor, None when not known."""
    look = Look(layout, axes, sections, lambda point: point.y_m)
    shapes = [
        *_house(layout, axes, eave_m),
        *ground_line(_floor(layout), axes),
        *_deck(layout, axes, sections),
        *post_shapes(_seen_posts(layout), look),
        *(beam_shape(beam.member, look) for beam in layout.beams),
        *(tie_shape(tie, look) for tie in layout.ties),
        *_roof(layout, look),
        *_gutters(layout, look),
        *_labels(layout, look),
        *_dimensions(layout, axes),
    ]
    return View(ViewKind.SIDE, "Side, from the near end", tuple(shapes))


def _seen_posts(layout: Layout) -> list[Post]:
    """One post at each place across the paper, the taller behind the shorter."""
    near: dict[tuple[float, float], Post] = {}
    for post in sorted(layout.posts, key=lambda p: -p.x_m):
        near[(round(post.y_m, 3), round(post.top_z_m, 3))] = post
    return sorted(near.values(), key=lambda p: -p.top_z_m)


def _floor(layout: Layout) -> list[tuple[float, float]]:
    """Floor levels along the near row of posts, carried on under the whole roof."""
    near = min(post.x_m for post in layout.posts)
    row = {p.y_m: p.floor_z_m for p in layout.posts if p.x_m == near}
    if layout.house_z_m is not None:
        row[0.0] = -layout.dimensions.deck_height_m if layout.deck else 0.0
    levels = sorted(row.items())
    foot = layout.deck.depth_m + stair_depth_m(layout) if layout.deck else 0.0
    out = max(layout.dimensions.projection_m, foot)
    first, last = levels[0], levels[-1]
    start = [(0.0, first[1])] if first[0] > 0.0 else []
    end = [(out, last[1])] if last[0] < out else []
    return [*start, *levels, *end]


def _house(layout: Layout, axes: Axes, eave_m: float | None) -> list[Shape]:
    if layout.house_z_m is None:
        return []
    floor = -layout.dimensions.deck_height_m if layout.deck else 0.0
    top = layout.house_z_m + _WALL_ABOVE_M if eave_m is None else eave_m
    foot, head = axes.spot(0.0, floor)[1], axes.spot(0.0, top)[1]
    shapes: list[Shape] = [
        *hatch((-_WALL_MM, head), (0.0, foot)),
        Line((0.0, foot), (0.0, head), Pen.WALL),
        Line((-_WALL_MM, foot), (-_WALL_MM, head), Pen.WALL),
    ]
    if eave_m is not None:
        shapes += [
            Line((-_LEFT_MM - 5, head), (6.0, head), Pen.EAVE),
            Text((-_LEFT_MM - 6.2, head + 1), "existing eave", Ink.WORD, Anchor.END),
        ]
    return shapes


def _roof(layout: Layout, look: Look) -> list[Shape]:
    """Faces of slopes that fall to the near end first, then the planes seen edge on."""
    faces = [p for p in layout.planes if p.falls is Falls.NEAR]
    edge_on = [p for p in layout.planes if p.falls in (Falls.FRONT, Falls.HOUSE)]
    shapes = [shape for plane in faces for shape in roof_face(plane, look)]
    return [*shapes, *(roof_edge(plane, look) for plane in edge_on)]


def _gutters(layout: Layout, look: Look) -> list[Shape]:
    shapes: list[Shape] = []
    for gutter in layout.gutters:
        start, end = gutter.member.start, gutter.member.end
        along_wall = start.y_m == end.y_m
        hidden = gutter.kind is GutterKind.BOX or (not along_wall and start.x_m > 0.0)
        if hidden:
            continue
        a, b = start.y_m, end.y_m
        if along_wall:
            b = a - _GUTTER_M if a == 0.0 else a + _GUTTER_M
        foot = look.axes.spot(a, start.z_m - _GUTTER_M)
        shapes.append(box(foot, look.axes.spot(b, start.z_m + 0.01), Pen.GUTTER))
    return shapes


def _deck(layout: Layout, axes: Axes, sections: Sections) -> list[Shape]:
    deck, dims = layout.deck, layout.dimensions
    if deck is None:
        return []
    depth = sum(
        sections[key].depth_m
        for key in (dims.board_section, dims.joist_section, dims.bearer_section)
    )
    rail = Line(axes.spot(0.0, _RAIL_M), axes.spot(deck.depth_m, _RAIL_M), Pen.RAIL)
    look = Look(layout, axes, sections, lambda point: point.y_m)
    near = [stump for stump in deck.stumps if stump.x_m == 0.0]
    return [
        *post_shapes(near, look),
        box(axes.spot(0.0, 0.0), axes.spot(deck.depth_m, -depth), Pen.DECK),
        rail,
        *_balusters(deck.depth_m, axes),
        *_stair(layout, axes),
    ]


def _balusters(length_m: float, axes: Axes) -> list[Shape]:
    count = max(1, round(length_m / 0.25))
    places = [length_m * n / count for n in range(count + 1)]
    return [Line(axes.spot(y, 0.0), axes.spot(y, _RAIL_M), Pen.SHEET) for y in places]


def _stair(layout: Layout, axes: Axes) -> list[Shape]:
    """Steps down from the front of the deck."""
    deck = layout.deck
    assert deck is not None
    risers = risers_for(deck.stair_rise_m)
    rise, going = deck.stair_rise_m / risers, stair_depth_m(layout) / max(1, risers - 1)
    shapes: list[Shape] = []
    y, z = deck.depth_m, 0.0
    for n in range(risers):
        shapes.append(Line(axes.spot(y, z), axes.spot(y, z - rise), Pen.RAIL))
        z -= rise
        if n < risers - 1:
            shapes.append(Line(axes.spot(y, z), axes.spot(y + going, z), Pen.RAIL))
            y += going
    return shapes


def _labels(layout: Layout, look: Look) -> list[Shape]:
    """Pitch and rafter length under the slopes seen edge on, where there is room."""
    planes = [
        p
        for p in layout.planes
        if p.falls in (Falls.FRONT, Falls.HOUSE) and p.x0_m == 0.0
    ]
    if not planes:
        return []
    ys = [post.y_m for post in layout.posts]
    left = 0.0 if layout.house_z_m is not None else min(ys)
    room = look.axes.mm(max(ys) - left) - 5.0
    each = "each slope " if len(planes) > 1 else ""
    pitch = f"{each}{planes[0].pitch_deg:g}°"
    full = f"{pitch}, rafter {figure(planes[0].slope_m)}"
    says = full if text_width(full, Ink.FIGURE) <= room else pitch
    beam = min(b.member.start.z_m for b in layout.beams)
    x, y = look.axes.spot((left + max(ys)) / 2, beam)
    return [Text((x, y + 5.0), says, Ink.FIGURE)]


def _dimensions(layout: Layout, axes: Axes) -> list[Shape]:
    dims = layout.dimensions
    attached = layout.house_z_m is not None
    places = sorted({0.0, dims.projection_m, *(round(p.y_m, 3) for p in layout.posts)})
    lowest = min(post.floor_z_m for post in layout.posts)
    deep = dims.footing_depth_m if layout.posts[0].in_footing_m else 0.0
    under = axes.spot(0.0, lowest - deep)[1]
    outer = max(layout.posts, key=lambda p: (p.y_m, -p.x_m))
    low = min(p.low_z_m for p in layout.planes)
    high = max(p.high_z_m for p in layout.planes)
    floor = 0.0 if layout.deck else outer.floor_z_m
    left = 0.0 if layout.deck or attached else layout.posts[0].floor_z_m
    edge = dims.projection_m + max(0.0, stair_depth_m(layout) - dims.overhang_m)
    return [
        *chain_across(axes, places, under + 1.5, under + 8.5),
        *height_chain(axes, [outer.floor_z_m, floor, outer.top_z_m, low], edge, 11.0),
        *height_chain(axes, [left, high], 0.0, -_LEFT_MM),
    ]
