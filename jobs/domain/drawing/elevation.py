"""What both elevations share: looking along one axis of the structure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from jobs.domain.drawing.pencil import Axes, box, chain_up, earth
from jobs.domain.drawing.shapes import Line, Pen, Polygon, Shape
from jobs.domain.layout import Layout, Member, Plane, Point, Post
from jobs.domain.layout.planes import whole_to_cover
from jobs.domain.sections import Sections

Along = Callable[[Point], float]


@dataclass(frozen=True, slots=True)
class Look:
    """One way of looking: which coordinate runs across the paper, and the sizes."""

    layout: Layout
    axes: Axes
    sections: Sections
    along: Along

    @property
    def roof_depth_m(self) -> float:
        """Rafter and purlin together."""
        dims = self.layout.dimensions
        keys = (dims.rafter_section, dims.purlin_section)
        return sum(self.sections[key].depth_m for key in keys)

    def spot(self, point: Point) -> tuple[float, float]:
        """A point of the structure on paper."""
        return self.axes.spot(self.along(point), point.z_m)


def post_shapes(posts: Iterable[Post], look: Look) -> list[Shape]:
    """Posts as upright bars with their footings below the ground."""
    dims = look.layout.dimensions
    half = max(look.sections[dims.post_section].depth_m / 2, 0.0009 * look.axes.scale)
    shapes: list[Shape] = []
    for post in posts:
        at = look.along(Point(post.x_m, post.y_m, 0.0))
        shapes += _footing(post, at, look)
        foot = post.floor_z_m
        shapes.append(
            box(
                look.axes.spot(at - half, foot),
                look.axes.spot(at + half, post.top_z_m),
                Pen.POST,
            )
        )
    return shapes


def _footing(post: Post, at: float, look: Look) -> list[Shape]:
    if not post.in_footing_m:
        return []
    dims = look.layout.dimensions
    half, deep = dims.footing_diameter_m / 2, dims.footing_depth_m
    corner = look.axes.spot(at - half, post.floor_z_m)
    return [box(corner, look.axes.spot(at + half, post.floor_z_m - deep), Pen.FOOTING)]


def beam_shape(member: Member, look: Look) -> Polygon:
    """A beam from the side, or its end when it runs into the paper."""
    depth = look.sections[look.layout.dimensions.beam_section].depth_m
    a, b = look.along(member.start), look.along(member.end)
    half = 0.03 if abs(b - a) < 0.01 else 0.0
    z = member.start.z_m
    return box(
        look.axes.spot(a - half, z), look.axes.spot(b + half, z + depth), Pen.EDGE
    )


def tie_shape(member: Member, look: Look) -> Polygon:
    """A gable's tie lies on the beams."""
    dims = look.layout.dimensions
    beam = look.sections[dims.beam_section].depth_m
    deep = look.sections[dims.rafter_section].depth_m
    a, b = look.along(member.start), look.along(member.end)
    half = 0.03 if abs(b - a) < 0.01 else 0.0
    z = member.start.z_m + beam
    return box(
        look.axes.spot(a - half, z), look.axes.spot(b + half, z + deep), Pen.RAFTER
    )


def roof_face(plane: Plane, look: Look) -> list[Shape]:
    """A plane that falls towards or away from the eye: a face with its sheet laps."""
    low, high = plane.at(0.0, plane.run_m), plane.at(plane.eave_m, 0.0)
    a, b = look.along(low), look.along(high)
    top, foot = plane.high_z_m, plane.low_z_m
    cover = look.layout.dimensions.sheet_cover_m
    shapes: list[Shape] = [
        box(look.axes.spot(a, foot), look.axes.spot(b, top), Pen.ROOF)
    ]
    for n in range(1, whole_to_cover(plane.eave_m, cover)):
        at = look.along(plane.at(n * cover, 0.0))
        shapes.append(
            Line(look.axes.spot(at, foot), look.axes.spot(at, top), Pen.SHEET)
        )
    return shapes


def roof_edge(plane: Plane, look: Look) -> Polygon:
    """A plane seen along its eave: the slope with the depth of rafter and purlin."""
    high, low = plane.at(0.0, 0.0), plane.at(0.0, plane.run_m)
    down = look.axes.mm(look.roof_depth_m)
    (x0, y0), (x1, y1) = look.spot(high), look.spot(low)
    return Polygon(((x0, y0), (x1, y1), (x1, y1 + down), (x0, y0 + down)), Pen.ROOF)


def ground_line(levels: list[tuple[float, float]], axes: Axes) -> list[Shape]:
    """The floor or ground from (along, level) places, drawn on past both ends."""
    (a0, z0), (a1, z1) = levels[0], levels[-1]
    beyond = 0.35
    places = [(a0 - beyond, z0), *levels, (a1 + beyond, z1)]
    return earth([axes.spot(along, z) for along, z in places])


def height_chain(
    axes: Axes, levels_m: Iterable[float], edge_m: float, off_mm: float
) -> list[Shape]:
    """Heights beside an elevation; levels closer than a figure is tall are dropped."""
    kept: list[float] = []
    for level in sorted(set(levels_m)):
        if not kept or axes.mm(level - kept[-1]) > 1.0:
            kept.append(level)
    edge = axes.mm(edge_m)
    return chain_up(axes, kept, edge, edge + off_mm) if len(kept) > 1 else []
