"""Figures of the trade that the take-off counts with, each with its source.

None of them is a design value: the drawing, the engineer and the maker's data win.
"""

# Eaves gutter falls at least 1 in 500, box gutter at least 1 in 100: NCC 2019 Vol 2,
# 3.5.3 (NCC 2022 Housing Provisions Part 7.4), read,
# https://ncc.abcb.gov.au/editions/2019/ncc-2019-volume-two/part-35-roof-and-wall-cladding/part-353-gutters-and-downpipes
EAVES_GUTTER_FALL_ONE_IN = 500
BOX_GUTTER_FALL_ONE_IN = 100
# A downpipe serves at most 12 m of gutter: same part, read,
# https://abcb.gov.au/Connect/Articles/2016/11/11/Getting-your-mind-into-the-gutter-and-whats-up-with-downpipes
GUTTER_PER_DOWNPIPE_M = 12.0
# Gutter brackets at stop ends and at most 1.2 m apart: NCC same part, secondary copy.
GUTTER_BRACKET_SPACING_M = 1.2

# Barrier where a deck is 1 m or more above the surface below, 1 m high: NCC 2022 Housing
# Provisions 11.3, remembered.
BARRIER_FROM_M = 1.0
# Risers 115 to 190 mm, goings 240 to 355 mm: NCC 2022 Housing Provisions 11.2.2,
# remembered.
RISER_MAX_M = 0.19
RISERS_IN_FLIGHT_MAX = 18  # then a landing: same clause, remembered
GOING_M = 0.25
# Headroom of a garage, carport or the like: NCC 2022 Housing Provisions 10.3, remembered.
HEADROOM_M = 2.1

# All below: common practice, no source.
HOUSE_BRACKET_SPACING_M = 0.9
FIXINGS_PER_HOUSE_BRACKET = 2
LEDGER_FIXING_SPACING_M = 0.6  # in two rows
PURLIN_SCREWS_PER_CROSSING = 2
BOLTS_PER_MEMBER_END = 2
BOLTS_PER_POST_HEAD = 4
CAP_RIVET_SPACING_M = 0.5  # along both edges
SCREWS_PER_BOARD_CROSSING = 2
SHEET_END_LAP_M = 0.15
TRIM_FROM_M = 0.01  # a sheet that oversails by less is left
REACH_ABOVE_FEET_M = 1.5  # work at the beam is about chest high

CONCRETE_KG_PER_M3 = 2400.0  # normal-weight concrete, the usual design density
BAG_KG = 20.0
BAG_YIELD_M3 = 0.009  # one 20 kg bag of dry mix, as bags commonly state

# Cuts made on site to one piece as delivered (common practice, no source).
CUTS_PER_PIECE = {
    "post": 1,
    "beam": 1,
    "house_bearer": 1,
    "rafter": 1,
    "tie": 2,
    "ridge": 1,
    "purlin": 1,
    "joist": 1,
    "deck_bearer": 1,
    "stump": 1,
    "board": 1,
    "stringer": 2,
}
