"""Heights people work at, and the open edges they could fall from.

All are measured above the lowest floor or ground below the structure, which is the
careful reading: on the high side of a slope the real height is less.
"""

from jobs.domain.layout import Edge, Layout, Side
from jobs.domain.takeoff.model import Quantity
from jobs.domain.takeoff.parts import added, metres, quantity
from jobs.domain.takeoff.trade import REACH_ABOVE_FEET_M


def heights(layout: Layout) -> tuple[Quantity, ...]:
    """Working heights in metres."""
    base, deck = layout.low_floor_z_m, layout.dimensions.deck_height_m
    low = min(plane.low_z_m for plane in layout.planes) - base
    high = max(plane.high_z_m for plane in layout.planes) - base
    beam = max(b.member.start.z_m for b in layout.beams) - base
    house = 0.0 if layout.house_z_m is None else layout.house_z_m - base
    platform = max(0.0, beam - REACH_ABOVE_FEET_M)
    return (
        quantity("height_eave", low, _above("underside of the sheets, low edge")),
        quantity("height_ridge", high, _above("underside of the sheets, high edge")),
        quantity("height_beam", beam, _above("underside of the highest beam")),
        quantity(
            "height_platform",
            platform,
            f"Beam {metres(beam)} − {metres(REACH_ABOVE_FEET_M)}, so that the work is "
            "about chest high.",
        ),
        quantity("height_house", house, _at_house(layout)),
        quantity(
            "height_deck",
            deck and -base,
            _deck_how(deck),
        ),
    )


def edges(layout: Layout) -> tuple[Quantity, ...]:
    """Open edges of the roof by side, and all of them together."""
    roof = [edge for edge in layout.edges if edge.name != "deck edge"]
    together = (
        quantity("exposed_edge_length", _length(roof), _how(roof)),
        quantity(
            "exposed_edge_height",
            max(edge.height_m for edge in roof),
            "The highest of the open edges, above the lowest floor or ground.",
        ),
    )
    return together + tuple(found for side in Side for found in _side(side, roof))


def _side(side: Side, roof: list[Edge]) -> tuple[Quantity, ...]:
    here = [edge for edge in roof if edge.side is side]
    if not here:
        return ()
    return (
        quantity(f"edge_{side}_length", _length(here), _how(here)),
        quantity(
            f"edge_{side}_height",
            max(edge.height_m for edge in here),
            _above("highest point of this edge"),
        ),
    )


def _length(some: list[Edge]) -> float:
    return sum(edge.length_m for edge in some)


def _how(some: list[Edge]) -> str:
    return added(f"{edge.name} {metres(edge.length_m)}" for edge in some)


def _at_house(layout: Layout) -> str:
    if layout.house_z_m is None:
        return ""
    return _above("underside of the sheets at the house")


def _deck_how(deck_m: float) -> str:
    if not deck_m:
        return ""
    return (
        f"Deck {metres(deck_m)} above the ground at the house, and the ground's fall."
    )


def _above(what: str) -> str:
    return f"{what[0].upper()}{what[1:]}, above the lowest floor or ground."
