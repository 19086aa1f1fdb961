"""From type and dimensions to a drawing at a scale that fits a sheet."""

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.drawing.front import front
from jobs.domain.drawing.pencil import Axes, figure
from jobs.domain.drawing.plan import plan
from jobs.domain.drawing.shapes import Drawing
from jobs.domain.drawing.side import side
from jobs.domain.layout import Layout, layout
from jobs.domain.sections import Sections
from jobs.domain.takeoff.squaring import diagonal_m

SCALES = (25, 50, 75, 100, 125, 150, 200)
# Room for the structure itself on a landscape sheet, beside dimensions and texts.
_WIDE_MM = 185.0
_HIGH_MM = 125.0

NAMES = {
    Structure.ATTACHED_FLAT: "Attached flat roof",
    Structure.ATTACHED_GABLE: "Attached gable roof",
    Structure.FLAT_WITH_GABLE_BAY: "Flat roof with a raised gable bay",
    Structure.FREESTANDING_FLAT: "Freestanding flat carport",
    Structure.FREESTANDING_GABLE: "Freestanding gable carport",
    Structure.DECK_WITH_ROOF: "Elevated deck with roof",
}
NOT_A_DESIGN = (
    "Drawn from the dimensions typed in. Not an engineer's drawing: sections,",
    "fixings and footings come from the engineer or the supplier.",
)


def draw(
    structure: Structure,
    dims: Dimensions,
    sections: Sections,
    existing_eave_m: float | None = None,
    *,
    scale: int = 0,
) -> Drawing:
    """Plan, front and side. Dimensions must have passed ``check_dimensions``.

    ``existing_eave_m`` is the height of the house's eave above the ground. ``scale`` is
    the n of 1:n, 0 for the largest of ``SCALES`` that fits a sheet.
    """
    shape = layout(structure, dims, sections)
    scale = scale or _scale(shape)
    flat, upright = Axes(scale), Axes(scale, upright=True)
    eave = existing_eave_m
    if eave is not None and shape.deck:
        eave -= dims.deck_height_m
    return Drawing(
        title=NAMES[structure],
        describes=_in_words(shape),
        scale=scale,
        views=(
            plan(shape, flat, sections),
            front(shape, upright, sections, eave),
            side(shape, upright, sections, eave),
        ),
        notes=_notes(shape),
    )


def _scale(shape: Layout) -> int:
    """The largest drawing that fits: length beside projection, projection over height."""
    dims = shape.dimensions
    top = max(plane.high_z_m for plane in shape.planes) - shape.low_floor_z_m
    wide = dims.length_m + dims.projection_m
    high = dims.projection_m + top
    for scale in SCALES:
        if wide * 1000 / scale <= _WIDE_MM and high * 1000 / scale <= _HIGH_MM:
            return scale
    return SCALES[-1]


def _in_words(shape: Layout) -> str:
    dims = shape.dimensions
    posts = len(shape.posts)
    low = min(plane.low_z_m for plane in shape.planes) - shape.low_floor_z_m
    high = max(plane.high_z_m for plane in shape.planes) - shape.low_floor_z_m
    says = (
        f"{NAMES[shape.structure]}, {dims.length_m:.2f} m long and "
        f"{dims.projection_m:.2f} m out, pitch {dims.pitch_deg:g} degrees, on {posts} "
        f"posts; low edge {low:.2f} m and highest point {high:.2f} m above the lowest "
        "floor or ground."
    )
    if shape.deck:
        says += (
            f" The deck is {dims.deck_height_m:.2f} m above the ground at the house."
        )
    return f"{says} Seen from above, from the garden and from the near end."


def _notes(shape: Layout) -> tuple[str, ...]:
    square = shape.square
    diagonal = diagonal_m(square.along_m, square.out_m)
    lengths = [f"{post.label}: {figure(post.cut_length_m)}" for post in shape.posts]
    rows = [lengths[first : first + 4] for first in range(0, len(lengths), 4)]
    return (
        "All sizes in millimetres. Posts and downpipes (dots) are filled.",
        "Lines: heavy beam, thin rafter, dashed purlin, pale sheet lap.",
        f"Both diagonals {figure(diagonal)}, {square.says}.",
        "Posts cut to (post: length):",
        *(", ".join(row) for row in rows),
        *NOT_A_DESIGN,
    )
