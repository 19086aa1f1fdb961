"""Lines of a bill of materials as rows of a file."""

from collections.abc import Sequence

from jobs.domain.tables import Column, Fault, Row
from jobs.domain.takeoff import PIECES
from jobs.forms.rows import RowReader
from jobs.services.imports import NewLine

MAX_ROWS = 1000

COLUMNS = (
    Column("description", "Description", required=True, help="What to order."),
    Column(
        "part",
        "Part",
        help=f"What it is on the cutting list, one of: {', '.join(PIECES.values())}. "
        "Tasks wait for it. May stay empty.",
    ),
    Column("quantity", "Quantity", required=True, help="A number above zero."),
    Column("unit", "Unit", help="Such as each, m, kg, pack. Empty means each."),
    Column("length_m", "Length m", help="Length of one, in metres."),
    Column("code", "Code", help="The supplier's code."),
    Column("note", "Note"),
)


def read_lines(rows: Sequence[Row]) -> tuple[list[NewLine], list[Fault]]:
    """Lines from rows, and every fault in them."""
    faults: list[Fault] = []
    lines = [_line(RowReader(row, COLUMNS, faults)) for row in rows]
    return lines, faults


def _line(row: RowReader) -> NewLine:
    return NewLine(
        row.row.number,
        {
            "description": row.text("description", 200),
            "part": row.choice("part", PIECES, "part"),
            "quantity": row.number("quantity", 0.001, 100_000),
            "unit": row.text("unit", 20) or "each",
            "length_m": row.number("length_m", 0.01, 30),
            "code": row.text("code", 60),
            "note": row.text("note", 200),
        },
    )
