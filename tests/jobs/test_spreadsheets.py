"""The door to spreadsheets: strange files in, safe files out."""

import csv
import io
import zipfile
from datetime import date, datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook, load_workbook

from jobs import spreadsheets
from jobs.domain.refusals import Refused
from jobs.domain.tables import Column, column_letter
from jobs.spreadsheets import Format, read_table, write_table

COLUMNS = (
    Column("name", "Name", required=True),
    Column("day", "Wanted by"),
    Column("length_m", "Length m"),
)


def read(data, name="x.csv", max_rows=50):
    if isinstance(data, str):
        data = data.encode()
    return read_table(SimpleUploadedFile(name, data), COLUMNS, max_rows=max_rows)


def book(*rows):
    made: Any = Workbook()
    for row in rows:
        made.active.append(row)
    data = io.BytesIO()
    made.save(data)
    return data.getvalue()


def cells(table):
    return [(row.number, dict(row.cells)) for row in table.rows]


@pytest.mark.parametrize(
    "text",
    [
        "Name,Wanted by,Length m\nShed,3 Aug 2026,4.2\n",
        "name;wanted by;length m\r\nShed;3 Aug 2026;4.2\r\n",
        "\ufeffNAME *\tWanted  by\tLength m\nShed\t3 Aug 2026\t4.2",
        '\n"Name","Wanted by","Length m"\n"Shed","3 Aug 2026","4.2"\n',
    ],
)
def test_csv_as_programs_write_it(text):
    ((_, row),) = cells(read(text))
    assert row == {"name": "Shed", "day": "3 Aug 2026", "length_m": "4.2"}


def test_rows_are_numbered_as_in_the_spreadsheet():
    table = read("Name\nFirst\n\n\nFourth\n")
    assert [row.number for row in table.rows] == [2, 5]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_with_accents(encoding):
    table = read("Name\nRené Löwe\n".encode(encoding))
    assert table.rows[0].cells["name"] == "René Löwe"
    assert bool(table.notes) == (encoding == "cp1252")


def test_cells_of_a_spreadsheet_become_text():
    rows = [["Name", "Wanted by", "Length m"], ["Shed", datetime(2026, 8, 3), 4.2]]
    ((number, row),) = cells(read(book(*rows), "x.xlsx"))
    assert number == 2
    assert row == {"name": "Shed", "day": "2026-08-03", "length_m": "4.2"}


def test_whole_numbers_have_no_point():
    table = read(book(["Name"], [1004], [12.0]), "x.xlsx")
    assert [row.cells["name"] for row in table.rows] == ["1004", "12"]


@pytest.mark.parametrize("formula", ["=1+1", '=HYPERLINK("http://x","y")'])
def test_formulas_are_not_read(formula):
    table = read(book(["Name"], [formula]), "x.xlsx")
    (fault,) = table.faults
    assert str(fault).startswith("Row 2, column A (Name): This is a formula.")


@pytest.mark.parametrize("text", ["=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0"])
def test_formulas_in_text_files_are_not_read(text):
    assert read(f"Name\n{text}\n").faults


@pytest.mark.parametrize("text", ["+61 491 570 006", "-3.5", "@home", "- see note"])
def test_what_only_looks_like_one_is_read(text):
    assert read(f"Name\n{text}\n").rows[0].cells["name"] == text


@pytest.mark.parametrize(
    ("header", "says"),
    [
        ("Nam", "“Nam” is not a column here. Did you mean “Name”?"),
        ("Name,Colour", "“Colour” is not a column here."),
        ("Name,Name", "“Name” is there twice."),
        ("Wanted by", "The column “Name” is missing."),
    ],
)
def test_columns_that_do_not_fit(header, says):
    table = read(f"{header}\nShed,1\n")
    assert any(says in fault.says for fault in table.faults)
    assert table.rows == []


def test_a_value_without_a_column_is_a_fault():
    assert "has no name in the first row" in read("Name\nShed,stray\n").faults[0].says


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"Name\n", "no rows"),
        (b"\xd0\xcf\x11\xe0old", "old Excel file"),
        (b"PK\x03\x04 not really", "cannot be opened"),
        (b"\x00\x01\x02\x03\x81\x8d", "neither a spreadsheet nor a text"),
        (b"Name\n" + b"x\n" * 51, "more than 50 rows"),
    ],
)
def test_what_is_no_table_is_refused(data, says):
    with pytest.raises(Refused, match=says):
        read(data)


def test_a_spreadsheet_without_its_parts_is_refused():
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as packed:
        packed.writestr("hello.txt", "no spreadsheet")
    with pytest.raises(Refused, match="cannot be opened"):
        read(data.getvalue(), "x.xlsx")


def test_a_small_file_that_unpacks_to_a_huge_one_is_refused(monkeypatch):
    monkeypatch.setattr(spreadsheets, "MAX_UNPACKED_BYTES", 1000)
    with pytest.raises(Refused, match="far too large"):
        read(book(["Name"], ["x" * 50]), "x.xlsx")


def test_a_huge_file_is_refused_unread(monkeypatch):
    monkeypatch.setattr(spreadsheets, "MAX_BYTES", 3)
    with pytest.raises(Refused, match="larger than"):
        read("Name\nShed\n")


def test_an_endless_cell_is_a_fault():
    assert "longer than 2000" in read(f"Name\n{'x' * 2001}\n").faults[0].says


ROWS: list[dict[str, Any]] = [
    {"name": "=cmd|' /C calc'!A0", "day": date(2026, 8, 3), "length_m": 4.2}
]


def test_a_spreadsheet_out_holds_texts_not_formulas():
    data = io.BytesIO(write_table(COLUMNS, ROWS, Format.XLSX))
    sheet: Any = load_workbook(data).active
    name, day, length = sheet[2]
    assert (name.data_type, name.value) == ("s", "=cmd|' /C calc'!A0")
    assert (day.value.date(), day.number_format) == (date(2026, 8, 3), "yyyy-mm-dd")
    assert length.value == 4.2


def test_a_csv_out_is_guarded_and_iso():
    text = write_table(COLUMNS, ROWS, Format.CSV).decode("utf-8-sig")
    _, row = list(csv.reader(io.StringIO(text)))
    assert row == ["'=cmd|' /C calc'!A0", "2026-08-03", "4.2"]


@pytest.mark.parametrize("kind", list(Format))
def test_what_goes_out_comes_in_again(kind):
    rows = [ROWS[0] | {"name": "+61 491 570 006"}]
    table = read(write_table(COLUMNS, rows, kind), f"x.{kind}")
    assert cells(table) == [
        (2, {"name": "+61 491 570 006", "day": "2026-08-03", "length_m": "4.2"})
    ]


def test_control_letters_do_not_stop_an_export():
    rows = [{"name": "bell\x07"}]
    assert write_table(COLUMNS, rows, Format.XLSX)


@pytest.mark.parametrize(
    ("index", "letter"), [(1, "A"), (26, "Z"), (27, "AA"), (52, "AZ"), (703, "AAA")]
)
def test_columns_are_lettered(index, letter):
    assert column_letter(index) == letter
