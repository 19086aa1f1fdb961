"""Floor levels, and the posts that stand on them."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from jobs.domain.dimensions import Dimensions
from jobs.domain.layout.model import Post
from jobs.domain.sections import Sections

# Concrete under the foot of a post that is set in a footing (common practice, no source).
UNDER_POST_M = 0.1


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor that falls evenly outwards, and evenly from the near end to the far end.

    ``near_z_m`` is its level where the fall starts; below zero under a deck.
    """

    dims: Dimensions
    outer_y_m: float  # where the full outward fall is reached
    inner_y_m: float = 0.0  # where it starts
    near_z_m: float = 0.0

    def z(self, x_m: float, y_m: float) -> float:
        """Level at a place in plan."""
        share = (y_m - self.inner_y_m) / (self.outer_y_m - self.inner_y_m)
        out = self.dims.slab_fall_mm / 1000 * share
        across = self.dims.slab_cross_fall_mm / 1000 * x_m / self.dims.length_m
        return self.near_z_m - out - across

    def lowest(self, places: Iterable[tuple[float, float]]) -> float:
        """Level at the lowest of some places."""
        return min(self.z(x, y) for x, y in places)


@dataclass(frozen=True, slots=True)
class Depths:
    """How far the sheets lie above the underside of a beam, at the beam."""

    beam_m: float
    rafter_m: float
    purlin_m: float

    def above_beam(self, pitch_deg: float) -> float:
        """Beam, then rafter and purlin measured upright through the slope."""
        upright = (self.rafter_m + self.purlin_m) / math.cos(math.radians(pitch_deg))
        return self.beam_m + upright


def depths(dims: Dimensions, sections: Sections) -> Depths:
    """Depths of the sections that were chosen."""
    return Depths(
        beam_m=sections[dims.beam_section].depth_m,
        rafter_m=sections[dims.rafter_section].depth_m,
        purlin_m=sections[dims.purlin_section].depth_m,
    )


def in_footing_m(dims: Dimensions, *, footings: bool) -> float:
    """Length of a post that is set in concrete."""
    return max(0.0, dims.footing_depth_m - UNDER_POST_M) if footings else 0.0


def stand(
    places: Iterable[tuple[float, float, float]], floor: Floor, set_in_m: float
) -> tuple[Post, ...]:
    """Posts at (x, y, top) places, numbered from 1 as they come."""
    return tuple(
        Post(str(number), x, y, floor.z(x, y), top, set_in_m)
        for number, (x, y, top) in enumerate(places, start=1)
    )
