"""Whether dimensions can be taken off at all, with what to do about each that cannot."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.sections import Role, Sections


@dataclass(frozen=True, slots=True)
class Range:
    """The least and the most that a dimension may be; what it is called; its unit."""

    low: float
    high: float
    name: str
    unit: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One dimension that cannot be used, and what to do about it."""

    field: str  # of Dimensions
    says: str


# What this program is made for: single-storey outdoor structures of a small firm.
RANGES: Mapping[str, Range] = {
    "length_m": Range(1.5, 20.0, "Length", "m"),
    "projection_m": Range(1.5, 12.0, "Projection", "m"),
    "pitch_deg": Range(1.0, 40.0, "Pitch", "°"),
    "clear_height_m": Range(1.9, 4.5, "Clear height", "m"),
    "overhang_m": Range(0.0, 0.9, "Overhang", "m"),
    "post_spacing_max_m": Range(0.9, 7.0, "Post spacing", "m"),
    "rafter_spacing_max_m": Range(0.3, 1.8, "Rafter spacing", "m"),
    "purlin_spacing_max_m": Range(0.3, 1.8, "Purlin spacing", "m"),
    "sheet_cover_m": Range(0.3, 1.2, "Sheet cover", "m"),
    "slab_fall_mm": Range(-200.0, 600.0, "Fall of the floor", "mm"),
    "slab_cross_fall_mm": Range(-600.0, 600.0, "Cross fall of the floor", "mm"),
    "slab_thickness_mm": Range(50.0, 400.0, "Slab thickness", "mm"),
    "footing_depth_m": Range(0.2, 1.4, "Footing depth", "m"),
    "footing_diameter_m": Range(0.2, 1.2, "Footing diameter", "m"),
    "anchors_per_post": Range(1, 8, "Anchors per post", ""),
    "joist_spacing_max_m": Range(0.3, 0.6, "Joist spacing", "m"),
    "bearer_spacing_max_m": Range(0.9, 4.0, "Bearer spacing", "m"),
    "stair_width_m": Range(0.6, 3.0, "Stair width", "m"),
}
_BAY_RANGES: Mapping[str, Range] = {
    "gable_bay_length_m": Range(1.5, 8.0, "Length of the gable bay", "m"),
    "gable_bay_pitch_deg": Range(5.0, 40.0, "Pitch of the gable bay", "°"),
}
_DECK_RANGES: Mapping[str, Range] = {
    "deck_height_m": Range(0.45, 3.0, "Deck height", "m"),
}
GABLE_PITCH_MIN_DEG = 5.0
FLAT_PITCH_MAX_DEG = 15.0
SIDE_OF_BAY_MIN_M = 0.6
_STUMP_MIN_M = 0.05
_SPAN_MIN_M = 0.9

_SECTIONS: Mapping[str, Role] = {
    "beam_section": Role.BEAM,
    "rafter_section": Role.RAFTER,
    "purlin_section": Role.PURLIN,
    "post_section": Role.POST,
    "sheet_profile": Role.SHEET,
    "joist_section": Role.JOIST,
    "bearer_section": Role.BEARER,
    "board_section": Role.BOARD,
}


def ranges_for(structure: Structure) -> Mapping[str, Range]:
    """The ranges that apply to a kind of structure, for a form as well as for checks."""
    ranges = dict(RANGES)
    pitch = RANGES["pitch_deg"]
    if structure in (Structure.ATTACHED_GABLE, Structure.FREESTANDING_GABLE):
        ranges["pitch_deg"] = Range(GABLE_PITCH_MIN_DEG, pitch.high, "Pitch", "°")
    else:
        ranges["pitch_deg"] = Range(pitch.low, FLAT_PITCH_MAX_DEG, "Pitch", "°")
    if structure is Structure.FLAT_WITH_GABLE_BAY:
        ranges |= _BAY_RANGES
    if structure is Structure.DECK_WITH_ROOF:
        ranges |= _DECK_RANGES
    return ranges


def check_dimensions(
    structure: Structure, dims: Dimensions, sections: Sections | None = None
) -> list[Problem]:
    """All that is wrong with some dimensions; empty when they can be taken off.

    Section keys are looked up only when the sections are given.
    """
    problems = list(_out_of_range(structure, dims))
    if not problems:
        problems += _shape(structure, dims)
    if sections is not None:
        unknown = list(_unknown_sections(dims, sections))
        problems += unknown
        if not problems and structure is Structure.DECK_WITH_ROOF:
            problems += _deck_shape(dims, sections)
    return problems


def _out_of_range(structure: Structure, dims: Dimensions) -> Iterator[Problem]:
    for field, allowed in ranges_for(structure).items():
        says = out_of_range(float(getattr(dims, field)), allowed)
        if says:
            yield Problem(field, says)


def out_of_range(value: float, allowed: Range) -> str:
    """What is wrong with one figure and what to do about it; nothing when it fits.

    A length that would fit in millimetres is a slip of the unit, and is said to be one.
    """
    if not math.isfinite(value):
        return f"{allowed.name}: type a number."
    if allowed.low <= value <= allowed.high:
        return ""
    unit = allowed.unit if allowed.unit in ("", "°") else f" {allowed.unit}"
    says = (
        f"{allowed.name} is {value:g}{unit}; make it between "
        f"{allowed.low:g} and {allowed.high:g}{unit}."
    )
    if allowed.unit == "m" and allowed.low <= value / 1000 <= allowed.high:
        says += f" Is that in millimetres? Then type {value / 1000:g}."
    return says


def _shape(structure: Structure, dims: Dimensions) -> Iterator[Problem]:
    yield from _overhang(structure, dims)
    if structure is Structure.FLAT_WITH_GABLE_BAY:
        side = (dims.length_m - dims.gable_bay_length_m) / 2
        if side < SIDE_OF_BAY_MIN_M:
            most = dims.length_m - 2 * SIDE_OF_BAY_MIN_M
            yield Problem(
                "gable_bay_length_m",
                f"The gable bay leaves only {side:.2f} m of flat roof on each side; make "
                f"the bay at most {most:.2f} m, or choose an attached gable.",
            )


def _overhang(structure: Structure, dims: Dimensions) -> Iterator[Problem]:
    """What is left between the beams, or between house and beam, must be a span."""
    span, sides = {
        Structure.ATTACHED_GABLE: (dims.length_m, 2),
        Structure.FREESTANDING_FLAT: (dims.projection_m, 2),
        Structure.FREESTANDING_GABLE: (dims.projection_m, 2),
    }.get(structure, (dims.projection_m, 1))
    left = span - sides * dims.overhang_m
    if left < _SPAN_MIN_M:
        most = max(0.0, (span - _SPAN_MIN_M) / sides)
        yield Problem(
            "overhang_m",
            f"The overhang leaves only {left:.2f} m of span; make it at most {most:.2f} m.",
        )


def _deck_shape(dims: Dimensions, sections: Sections) -> Iterator[Problem]:
    """The deck's frame must clear the ground everywhere."""
    keys = (dims.board_section, dims.joist_section, dims.bearer_section)
    frame = sum(sections[key].depth_m for key in keys)
    rises = min(0.0, dims.slab_fall_mm) + min(0.0, dims.slab_cross_fall_mm)
    room = dims.deck_height_m + rises / 1000 - frame
    if room < _STUMP_MIN_M:
        least = dims.deck_height_m + _STUMP_MIN_M - room
        yield Problem(
            "deck_height_m",
            f"Boards, joists and bearers are {frame * 1000:.0f} mm deep and would touch "
            f"the ground; make the deck at least {least:.2f} m high.",
        )
    open_front = dims.length_m - dims.stair_width_m
    if open_front < 0:
        yield Problem(
            "stair_width_m",
            f"The stair is wider than the deck; make it at most {dims.length_m:.2f} m.",
        )


def _unknown_sections(dims: Dimensions, sections: Sections) -> Iterator[Problem]:
    for field, role in _SECTIONS.items():
        key = getattr(dims, field)
        section = sections.get(key)
        if section is None:
            yield Problem(
                field, f'There is no section "{key}"; choose a {role} from the table.'
            )
        elif section.role is not role:
            yield Problem(
                field, f"{section.name} is a {section.role}; choose a {role} instead."
            )
