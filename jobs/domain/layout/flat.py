"""Flat (skillion) roofs: fixed to the house, or standing free on two rows of posts."""

import math

from jobs.domain.dimensions import Dimensions, Structure
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


def tan(pitch_deg: float) -> float:
    """Tangent of a pitch in degrees."""
    return math.tan(math.radians(pitch_deg))


def attached_flat(
    dims: Dimensions, sections: Sections, floor: Floor | None = None
) -> Layout:
    """One plane falling from the house to an outer beam on posts.

    ``floor`` is what the posts stand on; a deck passes the ground below it.
    """
    beam_y = dims.projection_m - dims.overhang_m
    under_floor = floor is not None
    floor = floor or Floor(dims, beam_y)
    columns = even(dims.length_m, dims.post_spacing_max_m)
    low_floor = floor.lowest((x, beam_y) for x in columns)
    beam_z = dims.clear_height_m + (0.0 if under_floor else low_floor)
    plane = _plane(dims, sections, beam_y, beam_z)
    set_in = in_footing_m(dims, footings=dims.on_footings or under_floor)
    return Layout(
        structure=Structure.ATTACHED_FLAT,
        dimensions=dims,
        planes=(plane,),
        rafters=rafters(plane, dims.rafter_spacing_max_m),
        purlins=purlins(plane, dims.purlin_spacing_max_m),
        beams=(_beam("Outer beam", dims, beam_y, beam_z),),
        posts=stand(((x, beam_y, beam_z) for x in columns), floor, set_in),
        gutters=(Gutter(low_edge(plane), GutterKind.EAVES),),
        edges=flat_edges(plane, low_floor),
        square=Square(dims.length_m, beam_y, "house wall to outside of the posts"),
        low_floor_z_m=low_floor,
        house_line_m=dims.length_m,
        house_z_m=plane.high_z_m,
        barges=(rake(plane, far=False), rake(plane, far=True)),
        flashings=(high_edge(plane),),
    )


def freestanding_flat(dims: Dimensions, sections: Sections) -> Layout:
    """One plane on a high and a low beam, each on its own row of posts."""
    high_y, low_y = dims.overhang_m, dims.projection_m - dims.overhang_m
    floor = Floor(dims, low_y, inner_y_m=high_y)
    columns = even(dims.length_m, dims.post_spacing_max_m)
    low_floor = floor.lowest((x, y) for x in columns for y in (high_y, low_y))
    low_z = low_floor + dims.clear_height_m
    high_z = low_z + (low_y - high_y) * tan(dims.pitch_deg)
    plane = _plane(dims, sections, low_y, low_z)
    rows = [(x, high_y, high_z) for x in columns] + [(x, low_y, low_z) for x in columns]
    top = Edge(Side.HOUSE, "high side", plane.eave_m, plane.high_z_m - low_floor)
    return Layout(
        structure=Structure.FREESTANDING_FLAT,
        dimensions=dims,
        planes=(plane,),
        rafters=rafters(plane, dims.rafter_spacing_max_m),
        purlins=purlins(plane, dims.purlin_spacing_max_m),
        beams=(
            _beam("High beam", dims, high_y, high_z),
            _beam("Low beam", dims, low_y, low_z),
        ),
        posts=stand(rows, floor, in_footing_m(dims, footings=dims.on_footings)),
        gutters=(Gutter(low_edge(plane), GutterKind.EAVES),),
        edges=(*flat_edges(plane, low_floor), top),
        square=Square(dims.length_m, low_y - high_y, "outside of the corner posts"),
        low_floor_z_m=low_floor,
        barges=(rake(plane, far=False), rake(plane, far=True)),
        flashings=(high_edge(plane),),
    )


def flat_edges(plane: Plane, low_floor: float) -> tuple[Edge, ...]:
    """The eave and the two ends of a plane that falls to the front."""
    eave = Edge(Side.FRONT, "front eave", plane.eave_m, plane.low_z_m - low_floor)
    end_height = plane.high_z_m - low_floor
    near = Edge(Side.NEAR, "near end", plane.slope_m, end_height)
    far = Edge(Side.FAR, "far end", plane.slope_m, end_height)
    return eave, near, far


def _plane(dims: Dimensions, sections: Sections, beam_y: float, beam_z: float) -> Plane:
    at_beam = beam_z + depths(dims, sections).above_beam(dims.pitch_deg)
    beyond = dims.projection_m - beam_y
    low_z = at_beam - beyond * tan(dims.pitch_deg)
    return Plane(
        "roof",
        0.0,
        dims.length_m,
        0.0,
        dims.projection_m,
        Falls.FRONT,
        dims.pitch_deg,
        low_z,
    )


def _beam(name: str, dims: Dimensions, y: float, z: float) -> Beam:
    bays = len(even(dims.length_m, dims.post_spacing_max_m)) - 1
    member: Member = level(name, (0.0, y), (dims.length_m, y), z)
    return Beam(member, (dims.length_m / bays,) * bays)
