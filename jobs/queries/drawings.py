"""Drawings of a structure as pages show them: one picture a view."""

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


def drawings_of(structure: Structure, dims: Dimensions, site: Site) -> list[Picture]:
    """Plan, front and side. No queries.

    The markup is ours from figures and fixed words, and escapes them; nothing that a
    person typed is in it.
    """
    drawing = draw(structure, dims, sections(), site.existing_eave_height_m)
    return [
        Picture(
            view.title,
            mark_safe(to_svg(drawing, only=view.kind, name=view.kind)),  # noqa: S308
        )
        for view in drawing.views
    ]
