"""The words of the take-off: every quantity and every piece by its key.

Methods and hazard rules name these keys; a take-off always holds all of them, with zero
for what a structure does not have.
"""

from collections.abc import Mapping

# key: (name, unit)
QUANTITIES: Mapping[str, tuple[str, str]] = {
    "job": ("The job as a whole", "each"),
    # roof
    "roof_plan_area": ("Roof area in plan", "m2"),
    "roof_slope_area": ("Roof area on the slope", "m2"),
    "sheet_count": ("Roof sheets", "each"),
    "sheet_length": ("Longest roof sheet", "m"),
    "sheet_total_length": ("Roof sheets, running length", "m"),
    # frame
    "rafter_count": ("Rafters", "each"),
    "rafter_length": ("Longest rafter", "m"),
    "rafter_total_length": ("Rafters, running length", "m"),
    "purlin_row_count": ("Purlin rows", "each"),
    "purlin_total_length": ("Purlins, running length", "m"),
    "beam_count": ("Beam pieces", "each"),
    "beam_total_length": ("Beams, running length", "m"),
    "tie_count": ("Gable ties", "each"),
    "ridge_length": ("Ridge", "m"),
    "house_bearer_length": ("Bearer or bracket line on the house", "m"),
    "post_count": ("Posts", "each"),
    "post_length_max": ("Longest post", "m"),
    "post_total_length": ("Posts, running length", "m"),
    "frame_piece_count": ("Frame pieces", "each"),
    # rainwater
    "gutter_length": ("Eaves gutter", "m"),
    "box_gutter_length": ("Box gutter", "m"),
    "gutter_bracket_count": ("Gutter brackets", "each"),
    "downpipe_count": ("Downpipes", "each"),
    "downpipe_total_length": ("Downpipes, running length", "m"),
    # caps and flashings
    "barge_length": ("Barge caps", "m"),
    "flashing_length": ("Flashings", "m"),
    "gable_infill_area": ("Gable infill", "m2"),
    "sealant_length": ("Sealant", "m"),
    # fixings
    "roof_screw_count": ("Roof screws", "each"),
    "purlin_screw_count": ("Purlin screws", "each"),
    "frame_bolt_count": ("Frame bolts", "each"),
    "rivet_count": ("Rivets in caps and flashings", "each"),
    # existing building
    "house_bracket_count": ("Brackets on the house", "each"),
    "house_hole_count": ("Fixings into the house", "each"),
    # cuts
    "steel_cut_count": ("Cuts in steel sections", "each"),
    "timber_cut_count": ("Cuts in timber", "each"),
    "sheet_cut_count": ("Roof sheets to trim", "each"),
    "sheet_cut_length": ("Trimming of roof sheets", "m"),
    "trim_cut_count": ("Cuts in gutter, caps and flashings", "each"),
    # ground
    "slab_hole_count": ("Anchor holes in the slab", "each"),
    "footing_count": ("Footings", "each"),
    "excavation_volume": ("Soil dug for footings", "m3"),
    "concrete_volume": ("Concrete in footings", "m3"),
    "concrete_mass": ("Concrete in footings, by mass", "kg"),
    "concrete_bag_count": ("Bags of concrete, 20 kg", "each"),
    # deck
    "deck_area": ("Deck area", "m2"),
    "joist_count": ("Deck joists", "each"),
    "joist_total_length": ("Deck joists, running length", "m"),
    "deck_bearer_total_length": ("Deck bearers, running length", "m"),
    "stump_count": ("Deck stumps", "each"),
    "board_row_count": ("Rows of deck boards", "each"),
    "board_total_length": ("Deck boards, running length", "m"),
    "deck_screw_count": ("Deck screws", "each"),
    "stair_riser_count": ("Stair risers", "each"),
    "guardrail_length": ("Guardrail", "m"),
    # masses
    "frame_mass": ("Frame, by mass", "kg"),
    "sheet_mass": ("Roof sheets, by mass", "kg"),
    "load_mass": ("Load delivered, by mass", "kg"),
    "load_line_count": ("Lines on the cutting list", "each"),
    "heaviest_piece_mass": ("Heaviest piece", "kg"),
    "heaviest_lift_mass": ("Heaviest lift, frames put together included", "kg"),
    "longest_piece_length": ("Longest piece", "m"),
    # heights above the lowest floor or ground
    "height_eave": ("Low edge of the roof", "m"),
    "height_ridge": ("Highest point of the roof", "m"),
    "height_beam": ("Underside of the highest beam", "m"),
    "height_platform": ("Feet when working at the beam", "m"),
    "height_house": ("Where the roof meets the house", "m"),
    "height_deck": ("Top of the deck", "m"),
    # open edges
    "exposed_edge_length": ("Open edges of the roof", "m"),
    "exposed_edge_height": ("Highest open edge of the roof", "m"),
    "edge_house_length": ("Open edge, house or back side", "m"),
    "edge_house_height": ("Height of the edge, house or back side", "m"),
    "edge_front_length": ("Open edge, front", "m"),
    "edge_front_height": ("Height of the edge, front", "m"),
    "edge_near_length": ("Open edge, near end", "m"),
    "edge_near_height": ("Height of the edge, near end", "m"),
    "edge_far_length": ("Open edge, far end", "m"),
    "edge_far_height": ("Height of the edge, far end", "m"),
    "deck_edge_length": ("Open edges of the deck", "m"),
}

QUANTITY_KEYS = frozenset(QUANTITIES)
HEIGHT_KEYS = frozenset(key for key in QUANTITIES if key.startswith("height_"))

# Pieces of the cutting list, and assemblies that are lifted as one.
PIECES: Mapping[str, str] = {
    "post": "Post",
    "beam": "Beam",
    "house_bearer": "House bearer",
    "rafter": "Rafter",
    "tie": "Gable tie",
    "ridge": "Ridge",
    "purlin": "Purlin",
    "sheet": "Roof sheet",
    "gutter": "Gutter",
    "box_gutter": "Box gutter",
    "downpipe": "Downpipe",
    "ridge_cap": "Ridge cap",
    "barge_cap": "Barge cap",
    "flashing": "Flashing",
    "joist": "Deck joist",
    "deck_bearer": "Deck bearer",
    "stump": "Deck stump",
    "board": "Deck board",
    "stringer": "Stair stringer",
    "guardrail": "Guardrail panel",
    "concrete_bag": "Bag of concrete",
    "gable_frame": "Gable frame, put together",
    "loose_rafter": "Rafter, fixed singly",
}

PIECE_KEYS = frozenset(PIECES)
