"""Anchors in the slab, or footings: holes, soil and concrete."""

import math

from jobs.domain.dimensions import Dimensions
from jobs.domain.layout import Layout
from jobs.domain.takeoff.model import Piece, Quantity
from jobs.domain.takeoff.parts import Part, metres, quantity, times
from jobs.domain.takeoff.trade import BAG_KG, BAG_YIELD_M3, CONCRETE_KG_PER_M3


def footing_volume_m3(depth_m: float, diameter_m: float) -> float:
    """Round hole: π/4 × diameter² × depth."""
    return math.pi / 4 * diameter_m**2 * depth_m


def ground(layout: Layout) -> Part:
    """What is drilled or dug below the posts. The engineer decides sizes and anchors."""
    dims = layout.dimensions
    in_ground = sum(post.in_footing_m > 0 for post in layout.posts)
    stumps = len(layout.deck.stumps) if layout.deck else 0
    drilled = _drilled(dims, len(layout.posts) - in_ground)
    dug = _dug(dims, in_ground + stumps) if in_ground + stumps else Part()
    return Part(quantities=(drilled, *dug.quantities), pieces=dug.pieces)


def _drilled(dims: Dimensions, posts: int) -> Quantity:
    each = dims.anchors_per_post
    how = (
        f"{times(posts, 'post')} on the slab × {each} anchors. Depth, edge distance and "
        "spacing come from the anchor's own data."
    )
    return quantity("slab_hole_count", posts * each, how if posts else "")


def _dug(dims: Dimensions, footings: int) -> Part:
    each = footing_volume_m3(dims.footing_depth_m, dims.footing_diameter_m)
    total = each * footings
    bags = math.ceil(total / BAG_YIELD_M3 - 1e-9)
    hole = (
        f"{times(footings, 'hole')}, {metres(dims.footing_diameter_m)} across and "
        f"{metres(dims.footing_depth_m)} deep = {total:.3f} m3."
    )
    mass_how = f"{total:.3f} m3 × {CONCRETE_KG_PER_M3:g} kg/m3."
    bags_how = f"{total:.3f} m3 / {BAG_YIELD_M3:g} m3 a bag, rounded up."
    return Part(
        quantities=(
            quantity("footing_count", footings, "One under each post and stump."),
            quantity("excavation_volume", total, hole),
            quantity("concrete_volume", total, f"{hole} No waste is added."),
            quantity("concrete_mass", total * CONCRETE_KG_PER_M3, mass_how),
            quantity("concrete_bag_count", bags, bags_how),
        ),
        pieces=(Piece("concrete_bag", "Bag of concrete", "", bags, 0.0, BAG_KG, 0.0),),
    )
