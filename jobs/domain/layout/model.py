"""The shape of a structure: points, members, roof planes, posts and edges in metres.

The origin is the house wall at the near end, at floor level: x runs along the wall, y
runs out from it, z runs up. On a deck the floor is the top of the deck.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.dimensions import Dimensions, Structure


class Side(StrEnum):
    """A side of the roof, as somebody facing the house from the garden knows it."""

    HOUSE = "house"
    FRONT = "front"
    NEAR = "near"  # x = 0
    FAR = "far"  # x = length


class Falls(StrEnum):
    """The side a roof plane falls to."""

    FRONT = "front"
    HOUSE = "house"
    NEAR = "near"
    FAR = "far"


class GutterKind(StrEnum):
    """Eaves gutter on brackets, or box gutter between two roofs."""

    EAVES = "eaves"
    BOX = "box"


@dataclass(frozen=True, slots=True)
class Point:
    """A place in metres."""

    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, slots=True)
class Member:
    """A straight piece from one place to another, by its centre or set-out line."""

    name: str
    start: Point
    end: Point

    @property
    def length_m(self) -> float:
        """True length, slope included: sqrt(dx² + dy² + dz²)."""
        return math.dist(
            (self.start.x_m, self.start.y_m, self.start.z_m),
            (self.end.x_m, self.end.y_m, self.end.z_m),
        )


@dataclass(frozen=True, slots=True)
class Plane:
    """One sloping rectangle of roof, given by its rectangle in plan.

    ``low_z_m`` is the underside of the sheets along the low edge.
    """

    name: str
    x0_m: float
    x1_m: float
    y0_m: float
    y1_m: float
    falls: Falls
    pitch_deg: float
    low_z_m: float

    @property
    def falls_along_y(self) -> bool:
        """Whether water runs towards or away from the house."""
        return self.falls in (Falls.FRONT, Falls.HOUSE)

    @property
    def run_m(self) -> float:
        """Horizontal distance from the high edge to the low edge."""
        across_y = self.y1_m - self.y0_m
        return across_y if self.falls_along_y else self.x1_m - self.x0_m

    @property
    def eave_m(self) -> float:
        """Length of the low edge."""
        across_x = self.x1_m - self.x0_m
        return across_x if self.falls_along_y else self.y1_m - self.y0_m

    @property
    def rise_m(self) -> float:
        """Rise over the run: run × tan pitch."""
        return self.run_m * math.tan(math.radians(self.pitch_deg))

    @property
    def slope_m(self) -> float:
        """Length down the slope: run ÷ cos pitch."""
        return self.run_m / math.cos(math.radians(self.pitch_deg))

    @property
    def high_z_m(self) -> float:
        """Underside of the sheets along the high edge."""
        return self.low_z_m + self.rise_m

    def at(self, along_m: float, down_m: float) -> Point:
        """The place ``along_m`` the eave and ``down_m`` (in plan) from the high edge."""
        z = self.high_z_m - down_m * math.tan(math.radians(self.pitch_deg))
        match self.falls:
            case Falls.FRONT:
                return Point(self.x0_m + along_m, self.y0_m + down_m, z)
            case Falls.HOUSE:
                return Point(self.x0_m + along_m, self.y1_m - down_m, z)
            case Falls.FAR:
                return Point(self.x0_m + down_m, self.y0_m + along_m, z)
            case Falls.NEAR:
                return Point(self.x1_m - down_m, self.y0_m + along_m, z)


@dataclass(frozen=True, slots=True)
class Beam:
    """A level beam with the distances between its supports, in order."""

    member: Member  # along its underside
    bays_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Post:
    """A post: where it stands, on what level, and up to where it reaches."""

    label: str
    x_m: float
    y_m: float
    floor_z_m: float
    top_z_m: float  # underside of the beam it carries
    in_footing_m: float = 0.0  # length set in concrete

    @property
    def standing_m(self) -> float:
        """From the ground or slab to the underside of the beam."""
        return self.top_z_m - self.floor_z_m

    @property
    def cut_length_m(self) -> float:
        """Standing length and what is set in the footing."""
        return self.standing_m + self.in_footing_m


@dataclass(frozen=True, slots=True)
class Gutter:
    """One run of gutter, level in the layout; its fall is worked out in the take-off."""

    member: Member
    kind: GutterKind


@dataclass(frozen=True, slots=True)
class Edge:
    """An open edge of the roof or deck that a person could fall from."""

    side: Side
    name: str
    length_m: float
    height_m: float  # highest point of the edge above the lowest ground


@dataclass(frozen=True, slots=True)
class Deck:
    """The deck under a roof. Levels are relative to its top, z = 0."""

    length_m: float
    depth_m: float
    bearer_rows_y_m: tuple[float, ...]  # the last one stands on the roof's posts
    stumps: tuple[Post, ...]
    ground_z_m: float  # lowest ground along the front
    stair_rise_m: float


@dataclass(frozen=True, slots=True)
class Square:
    """The rectangle that the job is squared by."""

    along_m: float
    out_m: float
    says: str  # what its corners are


@dataclass(frozen=True, slots=True)
class Layout:
    """A structure in space. Geometry only: it says nothing about strength."""

    structure: Structure
    dimensions: Dimensions
    planes: tuple[Plane, ...]
    rafters: tuple[Member, ...]
    purlins: tuple[Member, ...]
    beams: tuple[Beam, ...]
    posts: tuple[Post, ...]
    gutters: tuple[Gutter, ...]
    edges: tuple[Edge, ...]
    square: Square
    low_floor_z_m: float  # lowest floor or ground that heights are measured from
    house_line_m: float = 0.0  # length of the line the roof is fixed to the house by
    house_z_m: float | None = None  # where the sheets meet the house
    ridges: tuple[Member, ...] = ()
    ties: tuple[Member, ...] = ()  # one to each gable frame
    barges: tuple[Member, ...] = ()
    flashings: tuple[Member, ...] = ()
    gable_ends: tuple[tuple[float, float], ...] = ()  # span and rise of open ends
    deck: Deck | None = None
