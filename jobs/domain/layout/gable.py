"""Gable roofs: ridge out from the house, or along a freestanding carport."""

from collections.abc import Callable
from itertools import pairwise

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout.flat import tan
from jobs.domain.layout.levels import Floor, depths, in_footing_m, stand
from jobs.domain.layout.model import (
    Beam,
    Edge,
    Falls,
    Gutter,
    GutterKind,
    Layout,
    Member,
    Plane,
    Side,
    Square,
)
from jobs.domain.layout.planes import (
    even,
    high_edge,
    level,
    low_edge,
    purlins,
    rafters,
    rake,
)
from jobs.domain.sections import Sections


def attached_gable(dims: Dimensions, sections: Sections) -> Layout:
    """Ridge along the projection; two side beams from the house to the front posts."""
    near_x, far_x = dims.overhang_m, dims.length_m - dims.overhang_m
    floor = Floor(dims, dims.projection_m)
    rows = even(dims.projection_m, dims.post_spacing_max_m)
    places = [(x, y) for y in rows[1:] for x in (near_x, far_x)]
    low_floor = floor.lowest(places)
    beam_z = low_floor + dims.clear_height_m
    near, far = _planes_along_y(dims, _low_z(dims, sections, beam_z))
    posts = ((x, y, beam_z) for x, y in places)
    return Layout(
        structure=Structure.ATTACHED_GABLE,
        dimensions=dims,
        planes=(near, far),
        rafters=_each(rafters, (near, far), dims.rafter_spacing_max_m),
        purlins=_each(purlins, (near, far), dims.purlin_spacing_max_m),
        beams=tuple(
            Beam(
                level(name, (x, 0.0), (x, dims.projection_m), beam_z),
                _bays(rows),
            )
            for name, x in (("Near side beam", near_x), ("Far side beam", far_x))
        ),
        posts=stand(posts, floor, in_footing_m(dims, footings=dims.on_footings)),
        gutters=tuple(Gutter(low_edge(p), GutterKind.EAVES) for p in (near, far)),
        edges=_gable_edges(near, low_floor, (Side.NEAR, Side.FAR), (Side.FRONT,)),
        square=Square(far_x - near_x, dims.projection_m, _SQUARE_ATTACHED),
        low_floor_z_m=low_floor,
        house_line_m=far_x - near_x,
        house_z_m=near.high_z_m,
        ridges=(high_edge(near),),
        ties=tuple(level("Tie", (near_x, y), (far_x, y), beam_z) for y in rows[1:]),
        barges=(rake(near, far=True), rake(far, far=True)),
        flashings=(rake(near, far=False), rake(far, far=False)),
        gable_ends=((dims.length_m, near.rise_m),),
    )


def freestanding_gable(dims: Dimensions, sections: Sections) -> Layout:
    """Ridge along the length; a beam on posts along each long side."""
    back_y, front_y = dims.overhang_m, dims.projection_m - dims.overhang_m
    floor = Floor(dims, front_y, inner_y_m=back_y)
    columns = even(dims.length_m, dims.post_spacing_max_m)
    places = [(x, y) for y in (back_y, front_y) for x in columns]
    low_floor = floor.lowest(places)
    beam_z = low_floor + dims.clear_height_m
    back, front = _planes_along_x(dims, _low_z(dims, sections, beam_z))
    posts = ((x, y, beam_z) for x, y in places)
    return Layout(
        structure=Structure.FREESTANDING_GABLE,
        dimensions=dims,
        planes=(back, front),
        rafters=_each(rafters, (back, front), dims.rafter_spacing_max_m),
        purlins=_each(purlins, (back, front), dims.purlin_spacing_max_m),
        beams=tuple(
            Beam(level(name, (0.0, y), (dims.length_m, y), beam_z), _bays(columns))
            for name, y in (("Back beam", back_y), ("Front beam", front_y))
        ),
        posts=stand(posts, floor, in_footing_m(dims, footings=dims.on_footings)),
        gutters=tuple(Gutter(low_edge(p), GutterKind.EAVES) for p in (back, front)),
        edges=_gable_edges(
            back, low_floor, (Side.HOUSE, Side.FRONT), (Side.NEAR, Side.FAR)
        ),
        square=Square(dims.length_m, front_y - back_y, "outside of the corner posts"),
        low_floor_z_m=low_floor,
        ridges=(high_edge(back),),
        ties=tuple(level("Tie", (x, back_y), (x, front_y), beam_z) for x in columns),
        barges=tuple(rake(p, far=end) for p in (back, front) for end in (False, True)),
        gable_ends=((dims.projection_m, back.rise_m),) * 2,
    )


_SQUARE_ATTACHED = "house wall to outside of the front posts"


def _low_z(dims: Dimensions, sections: Sections, beam_z: float) -> float:
    at_beam = beam_z + depths(dims, sections).above_beam(dims.pitch_deg)
    return at_beam - dims.overhang_m * tan(dims.pitch_deg)


def _planes_along_y(dims: Dimensions, low_z: float) -> tuple[Plane, Plane]:
    mid, out = dims.length_m / 2, dims.projection_m
    near = Plane("near slope", 0.0, mid, 0.0, out, Falls.NEAR, dims.pitch_deg, low_z)
    far = Plane(
        "far slope", mid, dims.length_m, 0.0, out, Falls.FAR, dims.pitch_deg, low_z
    )
    return near, far


def _planes_along_x(dims: Dimensions, low_z: float) -> tuple[Plane, Plane]:
    mid, along, out = dims.projection_m / 2, dims.length_m, dims.projection_m
    back = Plane("back slope", 0.0, along, 0.0, mid, Falls.HOUSE, dims.pitch_deg, low_z)
    front = Plane(
        "front slope", 0.0, along, mid, out, Falls.FRONT, dims.pitch_deg, low_z
    )
    return back, front


def _each(
    lay: Callable[[Plane, float], tuple[Member, ...]],
    planes: tuple[Plane, ...],
    spacing_max_m: float,
) -> tuple[Member, ...]:
    return tuple(m for plane in planes for m in lay(plane, spacing_max_m))


def _bays(supports: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(b - a for a, b in pairwise(supports))


def _gable_edges(
    plane: Plane,
    low_floor: float,
    eaves: tuple[Side, ...],
    gables: tuple[Side, ...],
) -> tuple[Edge, ...]:
    """Eaves on both long sides; the two rakes of each gable end counted together."""
    low = plane.low_z_m - low_floor
    high = plane.high_z_m - low_floor
    along = tuple(Edge(side, f"{side} eave", plane.eave_m, low) for side in eaves)
    ends = tuple(
        Edge(side, f"{side} gable end", 2 * plane.slope_m, high) for side in gables
    )
    return along + ends
