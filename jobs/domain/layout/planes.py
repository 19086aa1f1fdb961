"""Rafters, purlins and edges of a roof plane."""

import math

from jobs.domain.layout.model import Member, Plane, Point

# A length that fits a whole number of times must not gain one by rounding error.
TOLERANCE = 1e-9


def whole_to_cover(total: float, each: float) -> int:
    """How many whole things of width ``each`` cover ``total``; at least one."""
    return max(1, math.ceil(total / each - TOLERANCE))


def even(total: float, spacing_max: float) -> tuple[float, ...]:
    """Positions from 0 to ``total``, evenly spaced, no further apart than the most."""
    bays = whole_to_cover(total, spacing_max)
    return (*(total * index / bays for index in range(bays)), total)


def rafters(plane: Plane, spacing_max_m: float) -> tuple[Member, ...]:
    """Members down the slope, from the high edge to the low edge."""
    return tuple(
        Member(plane.name, plane.at(along, 0), plane.at(along, plane.run_m))
        for along in even(plane.eave_m, spacing_max_m)
    )


def purlins(plane: Plane, spacing_max_m: float) -> tuple[Member, ...]:
    """Members along the eave; their spacing is measured down the slope."""
    cos = math.cos(math.radians(plane.pitch_deg))
    return tuple(
        Member(plane.name, plane.at(0, down * cos), plane.at(plane.eave_m, down * cos))
        for down in even(plane.slope_m, spacing_max_m)
    )


def low_edge(plane: Plane) -> Member:
    """The edge the gutter hangs on."""
    return Member(
        plane.name, plane.at(0, plane.run_m), plane.at(plane.eave_m, plane.run_m)
    )


def high_edge(plane: Plane) -> Member:
    """The edge along the ridge, the house or the high side."""
    return Member(plane.name, plane.at(0, 0), plane.at(plane.eave_m, 0))


def rake(plane: Plane, *, far: bool) -> Member:
    """The sloping edge at the start of the eave, or at its far end."""
    along = plane.eave_m if far else 0.0
    return Member(plane.name, plane.at(along, 0), plane.at(along, plane.run_m))


def level(
    name: str, start: tuple[float, float], end: tuple[float, float], z: float
) -> Member:
    """A level member between two places in plan."""
    return Member(name, Point(*start, z), Point(*end, z))
