"""The bill of materials, and what seems missing from it."""

from collections.abc import Iterable

from jobs.domain.material_words import say_materials
from jobs.domain.materials import Comparison, Line, compare
from jobs.domain.takeoff import TakeOff
from jobs.models import BomLine, Job


def bom_lines(job: Job) -> list[BomLine]:
    """The lines in order. One query."""
    return list(job.bom_lines.order_by("position", "pk"))


def columns_used(lines: Iterable[BomLine]) -> set[str]:
    """Which of the columns that may stay empty say anything. No queries."""
    listed = list(lines)
    return {
        name for name in ("code", "note") if any(getattr(row, name) for row in listed)
    }


def in_words(lines: Iterable[BomLine]) -> str:
    """The whole list in a phrase. No queries."""
    return say_materials((line.part, line.description) for line in lines)


def missing_from(
    lines: Iterable[BomLine], take_off: TakeOff | None
) -> Comparison | None:
    """The take-off against the list; None before the dimensions are set. No queries."""
    if take_off is None:
        return None
    plain = [Line(line.part, line.quantity, line.length_m) for line in lines]
    return compare(take_off.pieces, plain)
