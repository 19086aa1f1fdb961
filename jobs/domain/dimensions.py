"""What the office types in about a structure: its kind and its dimensions."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Structure(StrEnum):
    """The structures the method library knows."""

    ATTACHED_FLAT = "attached_flat"
    ATTACHED_GABLE = "attached_gable"
    FLAT_WITH_GABLE_BAY = "flat_with_gable_bay"
    FREESTANDING_FLAT = "freestanding_flat"
    FREESTANDING_GABLE = "freestanding_gable"
    DECK_WITH_ROOF = "deck_with_roof"

    @property
    def is_attached(self) -> bool:
        """Whether the existing building carries part of the load."""
        return self not in {Structure.FREESTANDING_FLAT, Structure.FREESTANDING_GABLE}

    @property
    def has_gable(self) -> bool:
        """Whether any part of the roof has a ridge."""
        return self in {
            Structure.ATTACHED_GABLE,
            Structure.FLAT_WITH_GABLE_BAY,
            Structure.FREESTANDING_GABLE,
        }


class Frame(StrEnum):
    """What the frame is made of."""

    LIGHT_STEEL = "light_steel"
    TIMBER = "timber"


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Dimensions of one structure, in metres, degrees and millimetres.

    The *length* runs along the house wall (and along the gutter); the *projection*
    runs out from it; both are outside sizes of the roof in plan. A gable's ridge runs
    along the projection when the structure is attached (gable end faces the garden) and
    along the length when freestanding; the span of its two slopes is the other
    direction, and its gable ends are flush with their frames. A freestanding structure
    has no house: read "house" as its near, or higher, long side.

    Section sizes come from the engineer or the supplier; nothing here is a design.
    """

    length_m: float
    projection_m: float
    pitch_deg: float
    clear_height_m: float  # floor to underside of the outer beam, at the lowest post
    overhang_m: float = 0.3  # roof beyond the outer beam
    post_spacing_max_m: float = 3.6
    rafter_spacing_max_m: float = 0.9
    purlin_spacing_max_m: float = 0.9
    sheet_cover_m: float = 0.76  # width one sheet covers once lapped
    slab_fall_mm: float = 0.0  # floor at the outer posts below the floor at the house
    slab_cross_fall_mm: float = 0.0  # floor at the far end below the near end
    slab_thickness_mm: float = 100.0
    on_footings: bool = False  # posts stand in dug footings rather than on the slab
    footing_depth_m: float = 0.6  # the engineer's drawing decides
    footing_diameter_m: float = 0.4
    anchors_per_post: int = 4  # the engineer's drawing decides
    gable_bay_length_m: float = 0.0  # raised bay of a flat roof; 0 when there is none
    gable_bay_pitch_deg: float = 0.0
    deck_height_m: float = 0.0  # top of the deck above the ground; 0 when no deck
    joist_spacing_max_m: float = 0.45
    bearer_spacing_max_m: float = 2.4  # span of a joist
    stair_width_m: float = 1.0
    frame: Frame = Frame.LIGHT_STEEL
    beam_section: str = "beam_light_steel_150"  # keys of the sections table
    rafter_section: str = "rafter_light_steel_100"
    purlin_section: str = "purlin_light_steel_61"
    post_section: str = "post_light_steel_90"
    sheet_profile: str = "sheet_steel_trapezoidal"
    joist_section: str = "joist_timber_140"
    bearer_section: str = "bearer_timber_190"
    board_section: str = "board_timber_137"


# Where a form starts for each frame; the engineer or the supplier decides the sizes.
TYPICAL_SECTIONS: Mapping[Frame, Mapping[str, str]] = {
    Frame.LIGHT_STEEL: {
        "beam_section": "beam_light_steel_150",
        "rafter_section": "rafter_light_steel_100",
        "purlin_section": "purlin_light_steel_61",
        "post_section": "post_light_steel_90",
    },
    Frame.TIMBER: {
        "beam_section": "beam_timber_190",
        "rafter_section": "rafter_timber_140",
        "purlin_section": "purlin_timber_45",
        "post_section": "post_timber_115",
    },
}
