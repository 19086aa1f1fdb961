"""Facts of a site that drive hazards and time."""

from dataclasses import dataclass
from enum import StrEnum


class ExistingRoof(StrEnum):
    """What covers the house where the new roof meets it."""

    NONE = "none"
    STEEL_SHEET = "steel_sheet"
    CONCRETE_TILE = "concrete_tile"
    CLAY_TILE = "clay_tile"
    FIBRE_CEMENT = "fibre_cement"  # may hold asbestos in an older house
    OTHER = "other"


class Ground(StrEnum):
    """What people, props and ladders stand on."""

    CONCRETE_SLAB = "concrete_slab"
    PAVERS = "pavers"
    FIRM_SOIL = "firm_soil"
    SOFT_SOIL = "soft_soil"
    SLOPING = "sloping"


class Access(StrEnum):
    """How a truck and long pieces get to the work."""

    TRUCK_TO_SLAB = "truck_to_slab"
    SIDE_GATE = "side_gate"
    NARROW_SIDE = "narrow_side"
    THROUGH_HOUSE = "through_house"
    OVER_ROOF = "over_roof"


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """Site facts. ``None`` means nobody has found out yet, and counts as the worse case."""

    existing_roof: ExistingRoof
    existing_eave_height_m: float | None
    building_year: int | None
    overhead_line: bool | None
    overhead_line_distance_m: float | None
    overhead_line_kv: float | None
    ground: Ground
    slab_slope_pct: float | None
    access: Access
    carry_distance_m: float | None  # from truck to work
    neighbour_distance_m: float | None  # nearest boundary
    near_traffic: bool
    occupied: bool  # people live in the house during the work
    children_or_pets: bool
    buried_services_known: bool | None
    power_on_site: bool
    water_on_site: bool
    fascia_is_metal: bool | None
    state: str  # pack key of the place, for example "au-nsw"
    yard_distance_km: float | None
    drive_minutes: int | None
