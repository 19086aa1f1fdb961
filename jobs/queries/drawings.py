"""Drawings of a structure as pages show them."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from jobs.domain.dimensions import Dimensions, Structure
from jobs.domain.drawing import draw, to_svg
from jobs.library import sections
from jobs.models import Site


@dataclass(frozen=True, slots=True)
class Picture:
    """One view as inline SVG."""

    title: str
    svg: SafeString


@dataclass(frozen=True, slots=True)
class Sheet:
    """All views on one sheet for a wide page, and each by itself for a narrow one."""

    title: str
    scale: int  # 50 means 1:50
    whole: SafeString
    views: tuple[Picture, ...]


def drawing_of(structure: Structure, dims: Dimensions, site: Site) -> Sheet:
    """Plan, front and side. No queries.

    The markup is ours from figures and fixed words, and escapes them; nothing that a
    person typed is in it.
    """
    drawing = draw(structure, dims, sections(), site.existing_eave_height_m)
    return Sheet(
        title=drawing.title,
        scale=drawing.scale,
        whole=mark_safe(to_svg(drawing, name="sheet")),  # noqa: S308 - see above
        views=tuple(
            Picture(
                view.title,
                mark_safe(to_svg(drawing, only=view.kind, name=view.kind)),  # noqa: S308
            )
            for view in drawing.views
        ),
    )
