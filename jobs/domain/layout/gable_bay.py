"""A flat roof with a raised gable bay in the middle of it.

The bay's two side beams run level from the house to taller front posts, high enough to
clear the flat roof where it meets the house. Its slopes fall on both sides into box
gutters beside the flat roof. The gable end is flush with the outer beam.
"""

from dataclasses import dataclass
from itertools import pairwise

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout.flat import flat_edges, tan
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


@dataclass(frozen=True, slots=True)
class _Frame:
    """The lines and levels that the flat sides and the bay share."""

    dims: Dimensions
    left_x_m: float  # the bay lies between left and right
    right_x_m: float
    beam_y_m: float
    beam_z_m: float  # underside of the outer beam of the flat sides
    bay_z_m: float  # underside of the bay's beams
    above_flat_m: float
    above_bay_m: float

    def flat(self, name: str, x0: float, x1: float) -> Plane:
        """One flat side, from the house to the gutter."""
        dims = self.dims
        low_z = (
            self.beam_z_m + self.above_flat_m - dims.overhang_m * tan(dims.pitch_deg)
        )
        return Plane(
            name, x0, x1, 0.0, dims.projection_m, Falls.FRONT, dims.pitch_deg, low_z
        )

    def slope(self, name: str, x0: float, x1: float, falls: Falls) -> Plane:
        """One slope of the bay, from its ridge to a box gutter."""
        low_z = self.bay_z_m + self.above_bay_m
        pitch = self.dims.gable_bay_pitch_deg
        return Plane(name, x0, x1, 0.0, self.beam_y_m, falls, pitch, low_z)


def flat_with_gable_bay(dims: Dimensions, sections: Sections) -> Layout:
    """Two flat sides and a gable between them, all fixed to the house."""
    columns = _columns(dims)
    floor = Floor(dims, dims.projection_m - dims.overhang_m)
    low_floor = floor.lowest((x, floor.outer_y_m) for x in columns)
    frame = _frame(dims, sections, low_floor + dims.clear_height_m)
    flats, slopes = _planes(frame)
    posts = ((x, frame.beam_y_m, _top(frame, x)) for x in columns)
    return Layout(
        structure=Structure.FLAT_WITH_GABLE_BAY,
        dimensions=dims,
        planes=flats + slopes,
        rafters=_of_all(flats + slopes, dims.rafter_spacing_max_m, rows=False),
        purlins=_of_all(flats + slopes, dims.purlin_spacing_max_m, rows=True),
        beams=_beams(frame, columns),
        posts=stand(posts, floor, in_footing_m(dims, footings=dims.on_footings)),
        gutters=_gutters(frame, flats),
        edges=_edges(flats, slopes[0], low_floor),
        square=Square(
            dims.length_m, frame.beam_y_m, "house wall to outside of the posts"
        ),
        low_floor_z_m=low_floor,
        house_line_m=dims.length_m,
        house_z_m=slopes[0].high_z_m,
        ridges=(high_edge(slopes[0]),),
        ties=(
            level("Tie at the house", *_across(frame, 0.0)),
            level("Front tie of the bay", *_across(frame, frame.beam_y_m)),
        ),
        barges=(
            rake(flats[0], far=False),
            rake(flats[1], far=True),
            rake(slopes[0], far=True),
            rake(slopes[1], far=True),
        ),
        flashings=(
            high_edge(flats[0]),
            high_edge(flats[1]),
            rake(slopes[0], far=False),
            rake(slopes[1], far=False),
        ),
        gable_ends=((dims.gable_bay_length_m, slopes[0].rise_m),),
    )


def bay_edges(dims: Dimensions) -> tuple[float, float]:
    """The bay stands in the middle of the length."""
    left = (dims.length_m - dims.gable_bay_length_m) / 2
    return left, left + dims.gable_bay_length_m


def _frame(dims: Dimensions, sections: Sections, beam_z: float) -> _Frame:
    left, right = bay_edges(dims)
    deep = depths(dims, sections)
    beam_y = dims.projection_m - dims.overhang_m
    return _Frame(
        dims=dims,
        left_x_m=left,
        right_x_m=right,
        beam_y_m=beam_y,
        beam_z_m=beam_z,
        bay_z_m=beam_z + deep.beam_m + beam_y * tan(dims.pitch_deg),
        above_flat_m=deep.above_beam(dims.pitch_deg),
        above_bay_m=deep.above_beam(dims.gable_bay_pitch_deg),
    )


def _columns(dims: Dimensions) -> tuple[float, ...]:
    left, right = bay_edges(dims)
    side = even(left, dims.post_spacing_max_m)
    return side + tuple(right + x for x in side)


def _top(frame: _Frame, x: float) -> float:
    at_bay = x in (frame.left_x_m, frame.right_x_m)
    return frame.bay_z_m if at_bay else frame.beam_z_m


def _planes(frame: _Frame) -> tuple[tuple[Plane, Plane], tuple[Plane, Plane]]:
    middle = (frame.left_x_m + frame.right_x_m) / 2
    flats = (
        frame.flat("near flat side", 0.0, frame.left_x_m),
        frame.flat("far flat side", frame.right_x_m, frame.dims.length_m),
    )
    slopes = (
        frame.slope("near slope of the bay", frame.left_x_m, middle, Falls.NEAR),
        frame.slope("far slope of the bay", middle, frame.right_x_m, Falls.FAR),
    )
    return flats, slopes


def _of_all(
    planes: tuple[Plane, ...], spacing_max_m: float, *, rows: bool
) -> tuple[Member, ...]:
    lay = purlins if rows else rafters
    return tuple(m for plane in planes for m in lay(plane, spacing_max_m))


def _across(
    frame: _Frame, y: float
) -> tuple[tuple[float, float], tuple[float, float], float]:
    return (frame.left_x_m, y), (frame.right_x_m, y), frame.bay_z_m


def _beams(frame: _Frame, columns: tuple[float, ...]) -> tuple[Beam, ...]:
    y, half = frame.beam_y_m, len(columns) // 2
    bays = tuple(b - a for a, b in pairwise(columns[:half]))
    sides = (
        ("Near outer beam", 0.0, frame.left_x_m),
        ("Far outer beam", frame.right_x_m, frame.dims.length_m),
    )
    outer = tuple(
        Beam(level(name, (x0, y), (x1, y), frame.beam_z_m), bays)
        for name, x0, x1 in sides
    )
    inner = tuple(
        Beam(level(name, (x, 0.0), (x, y), frame.bay_z_m), (y,))
        for name, x in (
            ("Near bay beam", frame.left_x_m),
            ("Far bay beam", frame.right_x_m),
        )
    )
    return outer + inner


def _gutters(frame: _Frame, flats: tuple[Plane, Plane]) -> tuple[Gutter, ...]:
    eaves = tuple(Gutter(low_edge(plane), GutterKind.EAVES) for plane in flats)
    low_z = frame.bay_z_m + frame.above_bay_m
    box = tuple(
        Gutter(level(name, (x, 0.0), (x, frame.beam_y_m), low_z), GutterKind.BOX)
        for name, x in (
            ("near side of the bay", frame.left_x_m),
            ("far side of the bay", frame.right_x_m),
        )
    )
    return eaves + box


def _edges(
    flats: tuple[Plane, Plane], slope: Plane, low_floor: float
) -> tuple[Edge, ...]:
    near_eave, near_end, _ = flat_edges(flats[0], low_floor)
    far_eave, _, far_end = flat_edges(flats[1], low_floor)
    gable = Edge(
        Side.FRONT, "front gable end", 2 * slope.slope_m, slope.high_z_m - low_floor
    )
    return near_eave, far_eave, near_end, far_end, gable
