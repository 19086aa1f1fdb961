"""A table that somebody hands in: named columns, rows of text, and what is wrong in them.

Rows are numbered as a spreadsheet program numbers them, so that a fault can be found.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from jobs.domain.refusals import Refused

MAX_COLUMNS = 60
MAX_SHOWN = 60  # characters of somebody's text in a fault


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a file may have."""

    key: str
    title: str
    required: bool = False
    help: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a file: the row as the spreadsheet counts, the column, the cure."""

    row: int
    column: str
    says: str

    @property
    def title(self) -> str:
        """The column's title: "Quantity" of "B (Quantity)"."""
        _, bracket, title = self.column.partition(" (")
        return title.rstrip(")") if bracket else self.column

    def __str__(self) -> str:
        where = f", column {self.column}" if self.column else ""
        return f"Row {self.row}{where}: {self.says}"


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number in the spreadsheet, and its texts by column key."""

    number: int
    cells: Mapping[str, str]


@dataclass(slots=True)
class Table:
    """What a file says, and what is wrong with it."""

    rows: list[Row] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as text, and what is wrong with it by itself."""

    text: str
    fault: str = ""


def fill(
    table: Table,
    lines: Iterable[tuple[int, Sequence[Cell]]],
    columns: Sequence[Column],
    max_rows: int,
) -> None:
    """Read numbered lines into a table; the first that is not empty names the columns.

    Refused when there are too many rows or none; everything else is a fault of a row.
    """
    header: list[tuple[Column | None, str]] | None = None
    for number, cells in lines:
        if not any(cell.text or cell.fault for cell in cells):
            continue
        if header is None:
            header = _header(table, number, cells, columns)
            if table.faults:
                return
        elif len(table.rows) >= max_rows:
            raise Refused(f"There are more than {max_rows} rows. Split the file first.")
        else:
            table.rows.append(_row(table, number, cells, header))
    if header is None or not table.rows:
        raise Refused("There are no rows under the names of the columns.")


def _header(
    table: Table, number: int, cells: Sequence[Cell], columns: Sequence[Column]
) -> list[tuple[Column | None, str]]:
    known = {_plain(name): col for col in columns for name in (col.title, col.key)}
    found: list[tuple[Column | None, str]] = []
    for index, cell in enumerate(cells[:MAX_COLUMNS], start=1):
        column, letter = known.get(_plain(cell.text)), column_letter(index)
        if cell.text and column is None:
            near = get_close_matches(_plain(cell.text), known, n=1)
            says = f"“{cell.text[:MAX_SHOWN]}” is not a column here."
            says += f" Did you mean “{known[near[0]].title}”?" if near else ""
            table.faults.append(
                Fault(number, letter, f"{says} Rename it or take it out.")
            )
        if column is not None and any(column is other for other, _ in found):
            says = f"“{column.title}” is there twice. Take one out."
            table.faults.append(Fault(number, letter, says))
        found.append((column, letter))
    named = {column.key for column, _ in found if column}
    for column in columns:
        if column.required and column.key not in named:
            says = f"The column “{column.title}” is missing. Add it."
            table.faults.append(Fault(number, "", says))
    return found


def _row(
    table: Table,
    number: int,
    cells: Sequence[Cell],
    header: Sequence[tuple[Column | None, str]],
) -> Row:
    found: dict[str, str] = {}
    for index, cell in enumerate(cells):
        column, letter = header[index] if index < len(header) else (None, "")
        if column is None:
            if cell.text:
                letter = column_letter(index + 1)
                says = "This column has no name in the first row. Name it or empty it."
                table.faults.append(Fault(number, letter, says))
            continue
        if cell.fault:
            table.faults.append(Fault(number, f"{letter} ({column.title})", cell.fault))
        found[column.key] = cell.text
    return Row(number, found)


def _plain(title: str) -> str:
    return " ".join(title.replace("*", " ").casefold().split())


def column_letter(index: int) -> str:
    """What a spreadsheet program calls a column: 1 is A, 27 is AA."""
    letters = ""
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
