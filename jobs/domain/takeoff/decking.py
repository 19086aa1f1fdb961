"""The deck: frame, boards, stairs and guardrail."""

import math

from jobs.domain.layout import Deck, Layout
from jobs.domain.layout.planes import even, whole_to_cover
from jobs.domain.sections import Sections
from jobs.domain.takeoff.model import Quantity, SetOut
from jobs.domain.takeoff.parts import (
    Part,
    metres,
    millimetres,
    pieces_of,
    quantity,
    stock_pieces,
    sum_by_length,
    times,
)
from jobs.domain.takeoff.trade import GOING_M, RISER_MAX_M, SCREWS_PER_BOARD_CROSSING


def risers_for(rise_m: float) -> int:
    """Risers of a stair, none above 190 mm. Source: NCC Housing Provisions 11.2.2."""
    return whole_to_cover(rise_m, RISER_MAX_M)


def stringer_length_m(rise_m: float) -> float:
    """Sloping length of a stringer: sqrt(rise² + run²), run = goings × 250 mm."""
    run = (risers_for(rise_m) - 1) * GOING_M
    return math.hypot(rise_m, run)


def decking(layout: Layout, sections: Sections) -> Part:
    """Empty for a structure without a deck."""
    if layout.deck is None:
        return Part()
    frame = _frame(layout, layout.deck, sections)
    stairs = _stairs(layout, layout.deck, sections)
    return Part(
        quantities=frame.quantities + stairs.quantities,
        pieces=frame.pieces + stairs.pieces,
        set_out=stairs.set_out,
    )


def _frame(layout: Layout, deck: Deck, sections: Sections) -> Part:
    dims = layout.dimensions
    joists = [deck.depth_m] * len(even(deck.length_m, dims.joist_spacing_max_m))
    bearers = [deck.length_m] * (len(deck.bearer_rows_y_m) + 1)
    board = sections[dims.board_section]
    rows = whole_to_cover(deck.depth_m, board.cover_mm / 1000)
    boards = [deck.length_m] * rows
    stumps = [stump.cut_length_m for stump in deck.stumps]
    top = dims.deck_height_m
    return Part(
        quantities=(
            *_counts(layout, deck, len(joists), rows),
            quantity("joist_total_length", sum(joists), sum_by_length(joists)),
            quantity(
                "deck_bearer_total_length",
                sum(bearers),
                f"The ledger and {times(len(bearers) - 1, 'bearer row')}: "
                f"{sum_by_length(bearers)}",
            ),
            quantity("board_total_length", sum(boards), sum_by_length(boards)),
        ),
        pieces=(
            *stock_pieces("joist", sections[dims.joist_section], joists, top),
            *stock_pieces("deck_bearer", sections[dims.bearer_section], bearers, top),
            *stock_pieces("stump", sections[dims.post_section], stumps, top),
            *stock_pieces("board", board, boards, top),
        ),
    )


def _counts(layout: Layout, deck: Deck, joists: int, rows: int) -> tuple[Quantity, ...]:
    dims = layout.dimensions
    screws = rows * joists * SCREWS_PER_BOARD_CROSSING
    return (
        quantity(
            "deck_area",
            deck.length_m * deck.depth_m,
            f"{metres(deck.length_m)} × {metres(deck.depth_m)}.",
        ),
        quantity(
            "joist_count",
            joists,
            f"{metres(deck.length_m)} at most {metres(dims.joist_spacing_max_m)} apart.",
        ),
        quantity(
            "stump_count",
            len(deck.stumps),
            "Under the inner bearer rows; the outer row stands on the roof's posts.",
        ),
        quantity(
            "board_row_count",
            rows,
            f"{metres(deck.depth_m)} / board and gap, rounded up.",
        ),
        quantity(
            "deck_screw_count",
            screws,
            f"{times(rows, 'row')} × {times(joists, 'joist')} × "
            f"{SCREWS_PER_BOARD_CROSSING}.",
        ),
    )


def _stairs(layout: Layout, deck: Deck, sections: Sections) -> Part:
    dims = layout.dimensions
    rise, risers = deck.stair_rise_m, risers_for(deck.stair_rise_m)
    panel = sections["rail_light_steel"]
    rail = deck.length_m + 2 * deck.depth_m - dims.stair_width_m
    per_riser = rise / risers
    return Part(
        quantities=(
            quantity(
                "stair_riser_count",
                risers,
                f"{millimetres(rise)} / {millimetres(RISER_MAX_M)} at most, rounded up: "
                f"{times(risers, 'riser')} of {millimetres(per_riser)}.",
            ),
            quantity(
                "guardrail_length",
                rail,
                f"{metres(deck.length_m)} + 2 × {metres(deck.depth_m)} − stair "
                f"{metres(dims.stair_width_m)}.",
            ),
            quantity(
                "deck_edge_length",
                deck.length_m + 2 * deck.depth_m,
                f"{metres(deck.length_m)} + 2 × {metres(deck.depth_m)}.",
            ),
        ),
        pieces=(
            *pieces_of(
                "stringer",
                sections["stair_stringer_timber_240"],
                [stringer_length_m(rise)] * 2,
                dims.deck_height_m,
            ),
            *stock_pieces("guardrail", panel, [rail], dims.deck_height_m + 1.0),
        ),
        set_out=(
            SetOut(
                "stair_riser",
                "Height of each stair riser",
                per_riser,
                "m",
                f"{millimetres(rise)} / {risers} risers, all equal.",
            ),
        ),
    )
