"""The door to spreadsheets: tables in from .xlsx and .csv, tables out again.

Every cell comes in as text, whatever the program that wrote it thought it was; dates as
ISO dates. Formulas are never read: what a cell shows depends on the program, and a
formula from elsewhere may do more than count.
"""

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from enum import StrEnum
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import ParseError

from django.core.files.uploadedfile import UploadedFile

from jobs.domain.refusals import Refused
from jobs.domain.tables import MAX_COLUMNS, Cell, Column, Table, column_letter, fill

if TYPE_CHECKING:
    import openpyxl  # noqa: F401 - shows the import contract where the door is

MAX_BYTES = 5 * 1024 * 1024
MAX_UNPACKED_BYTES = 60 * 1024 * 1024  # a small file may unpack to a huge one
MAX_CELL = 2000  # characters

_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    ParseError,
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    OSError,
    EOFError,
)
_OLD_EXCEL = b"\xd0\xcf\x11\xe0"
# A spreadsheet program takes a text that starts like this for a formula.
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?")

Value = str | int | float | date | None


class Format(StrEnum):
    """Kinds of file."""

    CSV = "csv"
    XLSX = "xlsx"

    @property
    def media_type(self) -> str:
        """What the file is sent as."""
        return {
            Format.CSV: "text/csv; charset=utf-8",
            Format.XLSX: "application/vnd.openxmlformats-officedocument"
            ".spreadsheetml.sheet",
        }[self]


def read_table(
    upload: "UploadedFile[Any]", columns: Sequence[Column], *, max_rows: int
) -> Table:
    """The rows of a file. Refused when it is no table at all; faults name rows."""
    if not upload.size:
        raise Refused("The file is empty. Choose it again.")
    if upload.size > MAX_BYTES:
        raise Refused(
            f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Split it first."
        )
    upload.seek(0)
    data = upload.read()
    table = Table()
    lines = _xlsx_lines(data) if data.startswith(b"PK") else _csv_lines(data, table)
    fill(table, lines, columns, max_rows)
    return table


# --- CSV in ------------------------------------------------------------------------


def _csv_lines(data: bytes, table: Table) -> Iterator[tuple[int, Sequence[Cell]]]:
    if data.startswith(_OLD_EXCEL):
        raise Refused(
            "This is an old Excel file (.xls). Save it as .xlsx, then try again."
        )
    text = _decoded(data, table)
    first = text.lstrip().split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        for number, cells in enumerate(reader, start=1):
            yield number, [_from_text(cell) for cell in cells]
    except csv.Error as error:
        raise Refused(
            f"The file cannot be read as a table ({error}). Save it as .xlsx instead."
        ) from error


def _decoded(data: bytes, table: Table) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        if encoding == "cp1252":
            table.notes.append(
                "The file is not in UTF-8. Look whether letters such as é came through."
            )
        return text
    raise Refused(
        "This is neither a spreadsheet nor a text file that can be read. "
        "Save it as .xlsx, or as “CSV UTF-8”."
    )


def _from_text(text: str) -> Cell:
    text = _CONTROL.sub("", text).strip()
    if text.startswith("'") and text[1:].startswith(_STARTS_FORMULA):
        return _limited(
            text[1:]
        )  # how our own exports keep a text from being a formula
    if text.startswith("=") or (
        text.startswith(("+", "-", "@")) and _looks_like_formula(text)
    ):
        return Cell(text[:60], _FORMULA)
    return _limited(text)


_FORMULA = "This is a formula. Put its value there instead."


def _looks_like_formula(text: str) -> bool:
    """A phone number or a negative figure is none; a call or a pipe is one."""
    return any(mark in text for mark in ("(", "|", "!")) and not re.match(
        r"^\+?[\d\s()/-]+$", text
    )


def _limited(text: str) -> Cell:
    if len(text) > MAX_CELL:
        return Cell(
            text[:60], f"This is longer than {MAX_CELL} characters. Shorten it."
        )
    return Cell(text)


@cache
def _openpyxl() -> Any:
    """Loaded with the first spreadsheet: it brings numpy along when that is there."""
    return import_module("openpyxl")


# --- XLSX in -----------------------------------------------------------------------


def _xlsx_lines(data: bytes) -> Iterator[tuple[int, Sequence[Cell]]]:
    _refuse_bomb(data)
    try:
        book = _openpyxl().load_workbook(
            io.BytesIO(data), read_only=True, keep_links=False
        )
        sheet = book.worksheets[0]
        for number, cells in enumerate(sheet.iter_rows(max_col=MAX_COLUMNS), start=1):
            yield number, [_from_cell(cell) for cell in cells]
        book.close()
    except IndexError as error:
        raise Refused("There is no sheet in this file.") from error
    except _UNREADABLE as error:
        raise Refused(
            "This spreadsheet cannot be opened. Save it anew as .xlsx, then try again."
        ) from error


def _refuse_bomb(data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(item.file_size for item in packed.infolist())
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        raise Refused(
            "This spreadsheet cannot be opened. Save it anew as .xlsx."
        ) from error
    if size > MAX_UNPACKED_BYTES:
        raise Refused("This spreadsheet is far too large. Split it first.")


def _from_cell(cell: Any) -> Cell:
    value = cell.value
    if cell.data_type == "f":
        return Cell(str(value)[:60], _FORMULA)
    if cell.data_type == "e":
        return Cell(str(value)[:60], "This cell shows an error. Put a value there.")
    return _limited(_text_of(value))


def _text_of(value: Any) -> str:
    if value is None or isinstance(value, time):
        return "" if value is None else value.isoformat("minutes")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return f"{value:.12g}"
    return _CONTROL.sub("", str(value)).strip()


# --- Out ---------------------------------------------------------------------------


def write_table(
    columns: Sequence[Column],
    rows: Iterable[Mapping[str, Value]],
    kind: Format,
    *,
    explain: bool = False,
) -> bytes:
    """A table as the bytes of a file. ``explain`` adds a sheet about the columns.

    Dates are ISO dates. No text is taken for a formula by the program that opens it.
    """
    if kind is Format.CSV:
        return _csv_bytes(columns, rows)
    book = _openpyxl().Workbook(write_only=True)
    sheet = book.create_sheet("Rows")
    for index, column in enumerate(columns, start=1):
        width = max(12, min(40, len(column.title) + 4))
        sheet.column_dimensions[column_letter(index)].width = width
    sheet.freeze_panes = "A2"
    sheet.append([_heading(sheet, column.title) for column in columns])
    for row in rows:
        sheet.append([_to_cell(sheet, row.get(column.key)) for column in columns])
    if explain:
        _explain(book, columns)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _explain(book: Any, columns: Sequence[Column]) -> None:
    sheet = book.create_sheet("How to fill in")
    sheet.column_dimensions["A"].width = 28
    sheet.column_dimensions["C"].width = 90
    sheet.append(
        [_heading(sheet, text) for text in ("Column", "Needed", "What goes there")]
    )
    for column in columns:
        needed = "yes" if column.required else ""
        sheet.append([_to_cell(sheet, v) for v in (column.title, needed, column.help)])


def _heading(sheet: Any, text: str) -> Any:
    cell = _openpyxl().cell.WriteOnlyCell(sheet, value=text)
    cell.font = _openpyxl().styles.Font(bold=True)
    return cell


def _to_cell(sheet: Any, value: Value) -> Any:
    shown: Any = _CONTROL.sub("", value) if isinstance(value, str) else value
    cell = _openpyxl().cell.WriteOnlyCell(sheet, value=shown)
    if isinstance(value, str):
        cell.data_type = "s"  # whatever it starts with
    elif isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"
    return cell


def _csv_bytes(columns: Sequence[Column], rows: Iterable[Mapping[str, Value]]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([column.title for column in columns])
    for row in rows:
        writer.writerow([_to_text(row.get(column.key)) for column in columns])
    return out.getvalue().encode("utf-8-sig")


def _to_text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return f"{value:.12g}"
    text = _CONTROL.sub("", str(value))
    guarded = isinstance(value, str) and text.startswith(_STARTS_FORMULA)
    return f"'{text}" if guarded else text
