"""The bill of materials, and what seems missing from it."""

from collections.abc import Iterable

from jobs.domain.materials import Comparison, Line, compare
from jobs.domain.takeoff import TakeOff
from jobs.models import BomLine, Job


def bom_lines(job: Job) -> list[BomLine]:
    """The lines in order. One query."""
    return list(job.bom_lines.order_by("position", "pk"))


def missing_from(
    lines: Iterable[BomLine], take_off: TakeOff | None
) -> Comparison | None:
    """The take-off against the list; None before the dimensions are set. No queries."""
    if take_off is None:
        return None
    plain = [Line(line.part, line.quantity, line.length_m) for line in lines]
    return compare(take_off.pieces, plain)
