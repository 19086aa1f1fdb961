"""Beams, rafters, ties, ridge and purlins."""

import math
from collections.abc import Iterable
from dataclasses import replace

from jobs.domain.layout import Layout, Plane
from jobs.domain.layout.model import Beam, Member
from jobs.domain.layout.planes import even
from jobs.domain.sections import Section, Sections
from jobs.domain.takeoff.model import Piece, SetOut
from jobs.domain.takeoff.parts import (
    Part,
    added,
    metres,
    pieces_of,
    quantity,
    stock_pieces,
    sum_by_length,
    times,
)


def rafters(layout: Layout, sections: Sections) -> Part:
    """Rafters by count and true length; ridge and ties of gables."""
    dims = layout.dimensions
    section = sections[dims.rafter_section]
    lengths = [member.length_m for member in layout.rafters]
    how = added(_spacing_how(p, dims.rafter_spacing_max_m) for p in layout.planes)
    ridge = [member.length_m for member in layout.ridges]
    tops = _tops(layout, layout.rafters)
    return Part(
        quantities=(
            quantity("rafter_count", len(lengths), how),
            quantity("rafter_length", max(lengths), _length_how(layout.planes)),
            quantity("rafter_total_length", sum(lengths), sum_by_length(lengths)),
            quantity(
                "tie_count",
                len(layout.ties),
                "One to each gable frame." * bool(layout.ties),
            ),
            quantity("ridge_length", sum(ridge), sum_by_length(ridge)),
        ),
        pieces=(
            *stock_pieces("rafter", section, lengths, tops),
            *stock_pieces("ridge", section, ridge, tops),
            *stock_pieces(
                "tie",
                section,
                [member.length_m for member in layout.ties],
                _tops(layout, layout.ties),
            ),
        ),
        set_out=tuple(_rafter_set_out(layout.planes)),
    )


def purlins(layout: Layout, sections: Sections) -> Part:
    """Purlin rows and their running length."""
    dims = layout.dimensions
    section = sections[dims.purlin_section]
    lengths = [member.length_m for member in layout.purlins]
    how = added(
        f"{p.name}: slope {metres(p.slope_m)} at most "
        f"{metres(dims.purlin_spacing_max_m)} apart, "
        f"{times(len(even(p.slope_m, dims.purlin_spacing_max_m)), 'row')}"
        for p in layout.planes
    )
    return Part(
        quantities=(
            quantity("purlin_row_count", len(lengths), how),
            quantity("purlin_total_length", sum(lengths), sum_by_length(lengths)),
        ),
        pieces=stock_pieces("purlin", section, lengths, _tops(layout, layout.purlins)),
    )


def beams(layout: Layout, sections: Sections) -> Part:
    """Beams, joined only over a post, and the line the roof is fixed to the house by."""
    dims = layout.dimensions
    section = sections[dims.beam_section]
    cut = [length for beam in layout.beams for length in _joined(beam, section)]
    total = sum(beam.member.length_m for beam in layout.beams)
    bearer = [layout.house_line_m] if layout.house_line_m else []
    tops = _tops(layout, (beam.member for beam in layout.beams))
    house_top = (layout.house_z_m or 0.0) - layout.low_floor_z_m
    return Part(
        quantities=(
            quantity("beam_count", len(cut), _beams_how(layout.beams, section)),
            quantity("beam_total_length", total, _members_how(layout.beams)),
            quantity(
                "house_bearer_length",
                layout.house_line_m,
                f"{metres(layout.house_line_m)} along the house." * bool(bearer),
            ),
        ),
        pieces=(
            *pieces_of("beam", section, cut, tops),
            *stock_pieces(
                "house_bearer", sections[dims.rafter_section], bearer, house_top
            ),
        ),
    )


def gable_frames(layout: Layout, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Two rafters and a tie put together on the ground and lifted as one.

    The rafters that are left are lifted singly.
    """
    by_key = {piece.key: piece for piece in pieces}
    if "tie" not in by_key:
        return ()
    rafter, tie = _steepest(layout, pieces), by_key["tie"]
    frames = Piece(
        key="gable_frame",
        name="Gable frame, put together",
        section=rafter.section,
        count=tie.count,
        length_m=tie.length_m,
        mass_kg=2 * rafter.mass_kg + tie.mass_kg,
        top_m=rafter.top_m,
    )
    loose = tuple(
        replace(
            line,
            key="loose_rafter",
            name="Rafter, fixed singly",
            count=line.count - (2 * tie.count if line is rafter else 0),
        )
        for line in pieces
        if line.key == "rafter"
    )
    return (frames, *(line for line in loose if line.count > 0))


def _steepest(layout: Layout, pieces: tuple[Piece, ...]) -> Piece:
    """The rafter line of the gable planes: the length of their slope."""
    slope = max(layout.planes, key=lambda plane: plane.pitch_deg).slope_m
    found = [piece for piece in pieces if piece.key == "rafter"]
    return min(found, key=lambda piece: abs(piece.length_m - slope))


def _joined(beam: Beam, section: Section) -> list[float]:
    """Pieces of a beam: as many whole bays as one stock length reaches over."""
    each = beam.bays_m[0]
    per_piece = max(1, math.floor(section.stock_max_m / each + 1e-9))
    count = len(beam.bays_m)
    return [
        sum(beam.bays_m[first : first + per_piece])
        for first in range(0, count, per_piece)
    ]


def _tops(layout: Layout, members: Iterable[Member]) -> float:
    highest = [max(m.start.z_m, m.end.z_m) for m in members]
    return max(highest, default=layout.low_floor_z_m) - layout.low_floor_z_m


def _spacing_how(plane: Plane, spacing_max_m: float) -> str:
    spaces = len(even(plane.eave_m, spacing_max_m)) - 1
    return (
        f"{plane.name}: {metres(plane.eave_m)} at most {metres(spacing_max_m)} apart = "
        f"{times(spaces, 'space')} of {plane.eave_m / spaces * 1000:.0f} mm, "
        f"{times(spaces + 1, 'rafter')}"
    )


def _length_how(planes: tuple[Plane, ...]) -> str:
    plane = max(planes, key=lambda p: p.slope_m)
    return (
        f"Run {metres(plane.run_m)} / cos {plane.pitch_deg:g}° = {plane.slope_m:.3f} m, "
        "before any deduction for the ridge."
    )


def _rafter_set_out(planes: tuple[Plane, ...]) -> Iterable[SetOut]:
    seen: set[tuple[float, float]] = set()
    for plane in planes:
        shape = (round(plane.run_m, 4), plane.pitch_deg)
        if shape in seen:
            continue
        seen.add(shape)
        number, angle = len(seen), f"{plane.pitch_deg:g}°"
        run = metres(plane.run_m)
        yield SetOut(
            f"rafter_length_{number}",
            f"Rafter length, {plane.name}",
            plane.slope_m,
            "m",
            f"Run {run} / cos {angle}.",
        )
        yield SetOut(
            f"rafter_rise_{number}",
            f"Rise, {plane.name}",
            plane.rise_m,
            "m",
            f"Run {run} × tan {angle}.",
        )


def _beams_how(all_beams: tuple[Beam, ...], section: Section) -> str:
    return added(
        f"{b.member.name}: {metres(b.member.length_m)} over "
        f"{times(len(b.bays_m), 'bay')} of {metres(b.bays_m[0])}, joined only over a "
        f"post, longest stock {metres(section.stock_max_m)}, "
        f"{times(len(_joined(b, section)), 'piece')}"
        for b in all_beams
    )


def _members_how(all_beams: tuple[Beam, ...]) -> str:
    return " + ".join(metres(beam.member.length_m) for beam in all_beams) + "."
