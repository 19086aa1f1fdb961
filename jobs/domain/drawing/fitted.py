"""The views of a structure beside each other in a given space on paper, to scale."""

from collections.abc import Iterator
from dataclasses import dataclass

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.drawing.build import SCALES, draw
from jobs.domain.drawing.shapes import Drawing, ViewKind
from jobs.domain.drawing.svg import size_of, to_svg
from jobs.domain.sections import Sections

# Beyond those of a sheet of its own: the longest structure still fits half a page.
_SCALES = (*SCALES, 250, 300, 400, 500)
_BARRED = ViewKind.PLAN  # one scale bar is enough


@dataclass(frozen=True, slots=True)
class Space:
    """Room on paper, in mm."""

    wide_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """One SVG a view at its true size: plan, front and side.

    ``stacked``: the front stands above the side, the plan to their left; else all three
    stand in a row.
    """

    views: tuple[str, ...]
    stacked: bool


def fitted(
    structure: Structure,
    dims: Dimensions,
    sections: Sections,
    existing_eave_m: float | None,
    space: Space,
) -> Fitted:
    """The views at the largest scale at which they fit the space, at the least scale else.

    Letters keep their size whatever the scale is, so that the print can be read.
    """
    drawing = None
    for scale in _SCALES:
        drawing = draw(structure, dims, sections, existing_eave_m, scale=scale)
        for stacked in (True, False):
            if _fits(drawing, space, stacked=stacked):
                return Fitted((*_views(drawing),), stacked)
    assert drawing is not None
    return Fitted((*_views(drawing),), stacked=False)


def _views(drawing: Drawing) -> Iterator[str]:
    for view in drawing.views:
        yield to_svg(
            drawing,
            only=view.kind,
            name=view.kind,
            true_size=True,
            bar=view.kind is _BARRED,
        )


def _fits(drawing: Drawing, space: Space, *, stacked: bool) -> bool:
    sizes = (size_of(drawing, kind, bar=kind is _BARRED) for kind in _KINDS)
    (plan_w, plan_h), (front_w, front_h), (side_w, side_h) = sizes
    if stacked:
        wide, high = plan_w + max(front_w, side_w), max(plan_h, front_h + side_h)
    else:
        wide, high = plan_w + front_w + side_w, max(plan_h, front_h, side_h)
    return wide <= space.wide_mm and high <= space.high_mm


_KINDS = (ViewKind.PLAN, ViewKind.FRONT, ViewKind.SIDE)
