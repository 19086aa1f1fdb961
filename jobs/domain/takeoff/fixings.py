"""Screws, bolts and what goes into the existing building."""

from jobs.domain.layout import Layout
from jobs.domain.layout.planes import even
from jobs.domain.sections import Sections
from jobs.domain.takeoff.model import Quantity
from jobs.domain.takeoff.parts import Part, added, metres, quantity, times
from jobs.domain.takeoff.roofing import roof_screws
from jobs.domain.takeoff.trade import (
    BOLTS_PER_MEMBER_END,
    BOLTS_PER_POST_HEAD,
    FIXINGS_PER_HOUSE_BRACKET,
    HOUSE_BRACKET_SPACING_M,
    LEDGER_FIXING_SPACING_M,
    PURLIN_SCREWS_PER_CROSSING,
)


def fixings(layout: Layout, sections: Sections) -> Part:
    """Fixings by kind. Rules of thumb; the drawing's schedule of fixings wins."""
    screws, screws_how = roof_screws(layout, sections)
    return Part(
        quantities=(
            quantity("roof_screw_count", screws, screws_how),
            _purlin_screws(layout),
            _bolts(layout),
            *_into_house(layout),
        )
    )


def _purlin_screws(layout: Layout) -> Quantity:
    dims, total, says = layout.dimensions, 0, []
    for plane in layout.planes:
        rows = len(even(plane.slope_m, dims.purlin_spacing_max_m))
        over = len(even(plane.eave_m, dims.rafter_spacing_max_m))
        total += rows * over * PURLIN_SCREWS_PER_CROSSING
        says.append(
            f"{plane.name}: {times(rows, 'row')} × {times(over, 'rafter')} × "
            f"{PURLIN_SCREWS_PER_CROSSING}"
        )
    return quantity("purlin_screw_count", total, added(says))


def _bolts(layout: Layout) -> Quantity:
    ends = 2 * (len(layout.rafters) + len(layout.ties))
    heads = len(layout.posts)
    return quantity(
        "frame_bolt_count",
        ends * BOLTS_PER_MEMBER_END + heads * BOLTS_PER_POST_HEAD,
        f"{BOLTS_PER_MEMBER_END} at each of {ends} ends of rafters and ties, "
        f"{BOLTS_PER_POST_HEAD} at each of {times(heads, 'post head')} "
        "(common practice; the drawing decides).",
    )


def _into_house(layout: Layout) -> tuple[Quantity, ...]:
    line = layout.house_line_m
    if not line:
        return ()
    brackets = len(even(line, HOUSE_BRACKET_SPACING_M))
    holes = brackets * FIXINGS_PER_HOUSE_BRACKET
    says = f"{times(brackets, 'bracket')} × {FIXINGS_PER_HOUSE_BRACKET} fixings"
    if layout.deck:
        ledger = 2 * len(even(layout.deck.length_m, LEDGER_FIXING_SPACING_M))
        holes += ledger
        says += f", and {ledger} in two rows in the deck's ledger"
    return (
        quantity(
            "house_bracket_count",
            brackets,
            f"{metres(line)} at most {metres(HOUSE_BRACKET_SPACING_M)} apart "
            "(common practice; the drawing decides).",
        ),
        quantity("house_hole_count", holes, f"{says}."),
    )
