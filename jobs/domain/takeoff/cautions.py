"""What somebody ought to look at before ordering or building, in plain words."""

from collections.abc import Iterator

from jobs.domain.dimensions import Dimensions, Frame, Structure
from jobs.domain.layout import Layout
from jobs.domain.sections import Material, Sections
from jobs.domain.site_facts import Access, ExistingRoof, Ground, SiteFacts
from jobs.domain.takeoff.decking import risers_for
from jobs.domain.takeoff.model import Piece
from jobs.domain.takeoff.parts import metres
from jobs.domain.takeoff.trade import BARRIER_FROM_M, HEADROOM_M, RISERS_IN_FLIGHT_MAX

_TIGHT = {
    Access.SIDE_GATE: "the side gate",
    Access.NARROW_SIDE: "the narrow side of the house",
    Access.THROUGH_HOUSE: "the house",
    Access.OVER_ROOF: "the roof",
}
# A piece longer than this rarely turns a corner beside a house (common practice).
_TIGHT_LENGTH_M = 4.0


def cautions(
    layout: Layout, site: SiteFacts, sections: Sections, pieces: tuple[Piece, ...]
) -> tuple[str, ...]:
    """Cautions, the ones about the roof first."""
    return (
        *_pitch(layout, sections),
        *_house(layout, site),
        *_headroom(layout),
        *_spans(layout, sections),
        *_stair(layout),
        *_frame(layout.dimensions, sections),
        *_site(layout, site, pieces),
    )


def _pitch(layout: Layout, sections: Sections) -> Iterator[str]:
    sheet = sections[layout.dimensions.sheet_profile]
    for pitch in sorted({plane.pitch_deg for plane in layout.planes}):
        if pitch < sheet.pitch_min_deg:
            yield (
                f"The pitch of {pitch:g}° is too low for {sheet.name.lower()}: makers "
                f"commonly ask for at least {sheet.pitch_min_deg:g}°. Raise the pitch or "
                "choose another sheet."
            )
    if sheet.material is Material.PLASTIC:
        yield f"{sheet.name} does not carry a person: nobody steps on it."


def _house(layout: Layout, site: SiteFacts) -> Iterator[str]:
    if layout.house_z_m is None:
        return
    eave = site.existing_eave_height_m
    if eave is None:
        yield "The height of the existing eave is not known: measure it before ordering."
    elif layout.house_z_m + _floor_above_ground(layout) > eave:
        meets = layout.house_z_m + _floor_above_ground(layout)
        yield (
            f"The new roof meets the house at {metres(meets)}, above the "
            f"existing eave at {metres(eave)}: it cannot hang on the fascia and needs "
            "roof brackets or a lower set-out."
        )
    if site.existing_roof is ExistingRoof.FIBRE_CEMENT:
        yield "The existing roof may hold asbestos: have it looked at before fixing to it."
    if layout.structure is Structure.FLAT_WITH_GABLE_BAY:
        yield "Box gutters and their rainheads need a hydraulic design of their own."


def _floor_above_ground(layout: Layout) -> float:
    return layout.dimensions.deck_height_m if layout.deck else 0.0


def _headroom(layout: Layout) -> Iterator[str]:
    floor_is_deck = layout.deck is not None
    lowest = min(
        (post.top_z_m if floor_is_deck else post.standing_m, post.label)
        for post in layout.posts
    )
    if lowest[0] < HEADROOM_M:
        yield (
            f"Headroom at post {lowest[1]} is {metres(lowest[0])}, less than "
            f"{metres(HEADROOM_M)}."
        )
    floor = 0.0 if floor_is_deck else layout.low_floor_z_m
    edge = min(plane.low_z_m for plane in layout.planes) - floor
    if edge < HEADROOM_M:
        yield (
            f"The low edge of the roof hangs at {metres(edge)}, less than "
            f"{metres(HEADROOM_M)}: people will walk into it."
        )


def _spans(layout: Layout, sections: Sections) -> Iterator[str]:
    dims = layout.dimensions
    has_bay = layout.structure is Structure.FLAT_WITH_GABLE_BAY
    if has_bay and dims.gable_bay_length_m > dims.post_spacing_max_m:
        yield (
            f"The front of the gable bay spans {metres(dims.gable_bay_length_m)}, "
            f"more than the {metres(dims.post_spacing_max_m)} set for posts: the "
            "engineer has to look at it."
        )
    bays = max(bay for beam in layout.beams for bay in beam.bays_m)
    slope = max(plane.slope_m for plane in layout.planes)
    post = max(post.cut_length_m for post in layout.posts)
    for key, what, length in (
        (dims.beam_section, "one bay", bays),
        (dims.rafter_section, "a rafter", slope),
        (dims.post_section, "the longest post", post),
    ):
        section = sections[key]
        if length > section.stock_max_m:
            yield (
                f"{section.name} is sold up to {metres(section.stock_max_m)}, but {what} "
                f"is {metres(length)}: ask the engineer how it is joined."
            )


def _stair(layout: Layout) -> Iterator[str]:
    risers = risers_for(layout.deck.stair_rise_m) if layout.deck else 0
    if risers > RISERS_IN_FLIGHT_MAX:
        yield (
            f"The stair has {risers} risers, more than the {RISERS_IN_FLIGHT_MAX} of one "
            "flight: it needs a landing. The list counts stringers for a straight stair; "
            "draw the two flights and change it."
        )


def _frame(dims: Dimensions, sections: Sections) -> Iterator[str]:
    wanted = Material.TIMBER if dims.frame is Frame.TIMBER else Material.STEEL
    keys = (
        dims.beam_section,
        dims.rafter_section,
        dims.purlin_section,
        dims.post_section,
    )
    odd = [sections[key].name for key in keys if sections[key].material is not wanted]
    if odd:
        yield f"The frame is of {wanted}, but these are not: {', '.join(odd)}."


def _site(layout: Layout, site: SiteFacts, pieces: tuple[Piece, ...]) -> Iterator[str]:
    longest = max(pieces, key=lambda piece: piece.length_m)
    if site.access in _TIGHT and longest.length_m > _TIGHT_LENGTH_M:
        yield (
            f"The longest piece ({longest.name.lower()}, {metres(longest.length_m)}) has "
            f"to come past {_TIGHT[site.access]}: check that it fits."
        )
    dims = layout.dimensions
    footings = dims.on_footings or layout.deck is not None
    if not footings and site.ground is not Ground.CONCRETE_SLAB:
        yield "Posts are set out on a slab, but the site has none: choose footings."
    if footings and site.buried_services_known is not True:
        yield "Footings are dug, and nobody has found the buried services yet."
    if layout.deck and -layout.low_floor_z_m < BARRIER_FROM_M:
        yield (
            "The deck is less than 1 m above the ground: a guardrail is counted, but may "
            "not be asked for."
        )
