"""An elevated deck fixed to the house, under a flat roof on the same posts."""

from dataclasses import replace

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.layout.flat import attached_flat
from jobs.domain.layout.levels import Floor, in_footing_m, stand
from jobs.domain.layout.model import Deck, Edge, Layout, Post, Side
from jobs.domain.layout.planes import even
from jobs.domain.sections import Sections


def deck_with_roof(dims: Dimensions, sections: Sections) -> Layout:
    """The flat roof stands on posts that run past the deck to the ground."""
    beam_y = dims.projection_m - dims.overhang_m
    ground = Floor(dims, beam_y, near_z_m=-dims.deck_height_m)
    roof = attached_flat(dims, sections, floor=ground)
    deck = _deck(dims, sections, ground)
    return replace(
        roof,
        structure=Structure.DECK_WITH_ROOF,
        deck=deck,
        edges=roof.edges + _deck_edges(deck, roof.low_floor_z_m),
    )


def frame_depth_m(dims: Dimensions, sections: Sections) -> float:
    """From the top of the deck to the underside of its bearers."""
    keys = (dims.board_section, dims.joist_section, dims.bearer_section)
    return sum(sections[key].depth_m for key in keys)


def _deck(dims: Dimensions, sections: Sections, ground: Floor) -> Deck:
    rows = even(ground.outer_y_m, dims.bearer_spacing_max_m)[1:]
    front = [(x, ground.outer_y_m) for x in (0.0, dims.length_m)]
    low = ground.lowest(front)
    return Deck(
        length_m=dims.length_m,
        depth_m=ground.outer_y_m,
        bearer_rows_y_m=rows,
        stumps=_stumps(dims, sections, ground, rows[:-1]),
        ground_z_m=low,
        stair_rise_m=-low,
    )


def _stumps(
    dims: Dimensions, sections: Sections, ground: Floor, rows: tuple[float, ...]
) -> tuple[Post, ...]:
    top = -frame_depth_m(dims, sections)
    columns = even(dims.length_m, dims.post_spacing_max_m)
    places = ((x, y, top) for y in rows for x in columns)
    return stand(places, ground, in_footing_m(dims, footings=True))


def _deck_edges(deck: Deck, low_z: float) -> tuple[Edge, ...]:
    return (
        Edge(Side.FRONT, "deck edge", deck.length_m, -low_z),
        Edge(Side.NEAR, "deck edge", deck.depth_m, -low_z),
        Edge(Side.FAR, "deck edge", deck.depth_m, -low_z),
    )
