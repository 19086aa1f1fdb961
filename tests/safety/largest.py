"""The largest structure of each kind that such a firm puts up, and its site.

Common practice, no source: the upper end of what is ordinary, not of what can be typed.
"""

from typing import Any

from jobs.domain.dimensions import TYPICAL_SECTIONS, Dimensions, Frame

_SLAB: dict[str, Any] = {"clear_height_m": 2.6, "slab_fall_mm": 60.0}
_GROUND: dict[str, Any] = {"clear_height_m": 2.7, "on_footings": True}
_TIMBER: dict[str, Any] = {"frame": Frame.TIMBER, **TYPICAL_SECTIONS[Frame.TIMBER]}

LARGEST = {
    "attached_flat": Dimensions(
        length_m=12.0, projection_m=4.5, pitch_deg=3.0, **_SLAB
    ),
    "attached_gable": Dimensions(
        length_m=8.0, projection_m=6.0, pitch_deg=25.0, **_SLAB
    ),
    "flat_with_gable_bay": Dimensions(
        length_m=12.0,
        projection_m=5.0,
        pitch_deg=3.0,
        gable_bay_length_m=4.5,
        gable_bay_pitch_deg=25.0,
        **_SLAB,
    ),
    "freestanding_flat": Dimensions(
        length_m=9.0, projection_m=6.5, pitch_deg=5.0, **_GROUND
    ),
    "freestanding_gable": Dimensions(
        length_m=9.0, projection_m=7.0, pitch_deg=25.0, **_GROUND
    ),
    "deck_with_roof": Dimensions(
        length_m=9.0,
        projection_m=4.5,
        pitch_deg=5.0,
        deck_height_m=2.4,
        **_TIMBER,
        **_GROUND,
    ),
}
SITES: dict[str, dict[str, Any]] = {
    **{key: {} for key in LARGEST},
    "deck_with_roof": {
        "ground": "sloping",
        "slab_slope_pct": 9.0,
        "existing_eave_height_m": 5.7,
    },
}
