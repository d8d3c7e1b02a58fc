"""Files of any make come in as text, with the row numbers a person sees."""

from __future__ import annotations

import re
import zipfile
from datetime import date, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
import xlwt
from odf.office import Annotation
from odf.opendocument import OpenDocumentSpreadsheet
from odf.style import Style, TableProperties
from odf.table import CalculationSettings, CoveredTableCell, NullDate, TableCell, TableRow
from odf.table import Table as OdsTable
from odf.text import P, S
from openpyxl import Workbook

from inventory.errors import Refused
from inventory.sheets.readers.cell_text import without_apostrophe
from inventory.sheets.readers.files import read_tables
from inventory.sheets.readers.tables import Merged, Table
from inventory.sheets.writers.page import safe_in_csv
from tests.sheets.readers.hostile import book_with, repacked
from tests.sheets.readers.made import WRITERS, Rows, ods_cell

TEXT = (
    'Hersteller{s}Teile-Nr.{s}Bemerkung\r\nOstrell{s}HV 204 118{s}Ä, ü und 3 µm\r\nOstrell{s}0012{s}"zwei\nZeilen"\r\n'
)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_a_csv_of_any_make(tmp_path: Path, separator: str, encoding: str) -> None:
    path = tmp_path / "sheet.csv"
    quoted = TEXT.replace("Ä, ü", '"Ä, ü').replace("µm", 'µm"') if separator == "," else TEXT
    path.write_bytes(quoted.format(s=separator).encode(encoding))

    (table,) = read_tables(path)

    assert table.rows == [
        (1, ["Hersteller", "Teile-Nr.", "Bemerkung"]),
        (2, ["Ostrell", "HV 204 118", "Ä, ü und 3 µm"]),
        (3, ["Ostrell", "0012", "zwei\nZeilen"]),
    ]


def test_cells_of_a_workbook_read_as_they_are_seen(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([])
    sheet.append(["0012", 12, 12.0, 1.5, 1e15, date(2019, 5, 1), datetime(2019, 5, 1, 10, 30), True, None, "x"])
    sheet.append([])
    sheet.append(["last"])
    book.create_sheet("hidden").sheet_state = "hidden"
    book.save(tmp_path / "b.xlsx")

    shown, hidden = read_tables(tmp_path / "b.xlsx")

    seen = ["0012", "12", "12", "1.5", "1000000000000000", "2019-05-01", "2019-05-01 10:30:00", "TRUE", "", "x"]
    assert shown.rows == [(2, seen), (4, ["last"])]
    assert (hidden.name, hidden.hidden) == ("hidden", True)


@pytest.mark.parametrize(
    "content", [b"PK\x03\x04 no workbook", b"\xd0\xcf\x11\xe0 neither", b"\x00\x01\x02\x03", b"\x81\x8d"]
)
def test_what_is_no_spreadsheet_is_refused_in_one_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.xlsx"
    path.write_bytes(content)

    with pytest.raises(Refused) as caught:
        read_tables(path)

    assert caught.value.code == "not-a-spreadsheet"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(Refused) as caught:
            read_tables(path)

        assert caught.value.code == "file-not-readable"


# First characters: OWASP, "CSV Injection" (from memory), and CWE-1236 (= + - @, an apostrophe put before).
@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\0=1", "＝1", "'=1", "''=1"]
)
def test_what_would_start_a_formula_in_a_csv_is_held_and_comes_back(text: str) -> None:
    assert safe_in_csv(text) == f"'{text}"
    assert without_apostrophe(safe_in_csv(text)) == text


@pytest.mark.parametrize("text", ["", "HV 204-118", "0012", "a=1", "'t was", "''", " =1", "a;=1"])
def test_other_texts_are_left_as_they_are(text: str) -> None:
    assert safe_in_csv(text) == text
    assert without_apostrophe(text) == text


#: What is written, and how a person sees it.
_CORPUS: list[tuple[Any, str]] = [
    ("0012", "0012"),
    (12, "12"),
    (12.5, "12.5"),
    (-0.25, "-0.25"),
    (123456789012345, "123456789012345"),
    (date(2019, 5, 1), "2019-05-01"),
    (date(1904, 2, 29), "1904-02-29"),
    (True, "TRUE"),
    (None, ""),
    ("Grüße, µ, Ω, Ё, 針, 🔧", "Grüße, µ, Ω, Ё, 針, 🔧"),
    ("two\nlines", "two\nlines"),
    ("'0012", "'0012"),
    (" inner  blanks", " inner  blanks"),
    ("x" * 32_767, "x" * 32_767),
]


@pytest.mark.parametrize("library", list(WRITERS))
@pytest.mark.parametrize("suffix", [".xlsx", ".csv", ""])
def test_a_workbook_of_any_library_under_any_name(tmp_path: Path, library: str, suffix: str) -> None:
    path = tmp_path / f"sheet{suffix}"
    WRITERS[library][1](path, [["Shelf list"], [None], [value for value, _ in _CORPUS], ["last"]])

    (table,) = read_tables(path)

    assert table.rows == [(1, ["Shelf list"]), (3, [text for _, text in _CORPUS]), (4, ["last"])]
    assert table.remarks == ()


@pytest.mark.parametrize("from_1904", [False, True])
def test_days_are_the_same_in_both_ways_of_counting_them(tmp_path: Path, from_1904: bool) -> None:
    with xlsxwriter.Workbook(str(tmp_path / "b.xlsx"), {"date_1904": from_1904}) as new:
        new.add_worksheet().write_datetime(0, 0, datetime(2019, 4, 3), new.add_format({"num_format": "d.m.yy"}))
    old = xlwt.Workbook()
    old.dates_1904 = from_1904
    old.add_sheet("parts").write(0, 0, datetime(2019, 4, 3), xlwt.easyxf(num_format_str="D.M.YY"))
    old.save(str(tmp_path / "b.xls"))

    for name in ("b.xlsx", "b.xls"):
        (table,) = read_tables(tmp_path / name)

        assert table.rows == [(1, ["2019-04-03"])]
        assert table.counts_from == (1904 if from_1904 else 1900)


def test_the_leap_day_that_never_was_is_seen_as_such(tmp_path: Path) -> None:
    """Number 60 of a workbook that counts from 1900: 29 February 1900 to the program that wrote it."""
    with xlsxwriter.Workbook(str(tmp_path / "b.xlsx")) as new:
        sheet, day = new.add_worksheet(), new.add_format({"num_format": "yyyy-mm-dd"})
        for row, number in enumerate([58, 60, 61, 43558]):
            sheet.write_number(row, 0, number, day)
    old = xlwt.Workbook()
    old_sheet = old.add_sheet("parts")
    for row, number in enumerate([58, 60, 61, 43558]):
        old_sheet.write(row, 0, number, xlwt.easyxf(num_format_str="YYYY-MM-DD"))
    old.save(str(tmp_path / "b.xls"))

    for name in ("b.xlsx", "b.xls"):
        (table,) = read_tables(tmp_path / name)

        days = ["1900-02-27", "1900-02-29", "1900-03-01", "2019-04-03"]
        assert [cells for _, cells in table.rows] == [[day] for day in days]


def _joined_and_hidden(path: Path, library: str) -> None:
    """A title joined across, a maker joined down, and a hidden sheet."""
    rows = [["Shelf list", "", ""], ["Make", "Type", "P/N"], ["Ostrell", "relay", "1"], ["", "relay", "2"]]
    if library == "openpyxl":
        book = Workbook()
        sheet = book.active
        assert sheet is not None
        for row in rows:
            sheet.append([cell or None for cell in row])
        sheet.merge_cells("A1:C1")
        sheet.merge_cells("A3:A4")
        book.create_sheet("old").append(["Type"])
        book["old"].sheet_state = "veryHidden"
        book.save(path)
    elif library == "xlsxwriter":
        with xlsxwriter.Workbook(str(path)) as new:
            page = new.add_worksheet()
            for place, row in enumerate(rows):
                for column, cell in enumerate(row):
                    page.write_string(place, column, cell) if cell else None
            page.merge_range("A1:C1", "Shelf list")
            page.merge_range("A3:A4", "Ostrell")
            hidden = new.add_worksheet("old")
            hidden.write_string(0, 0, "Type")
            hidden.hide()
            new.add_chartsheet("chart").set_chart(_chart(new))
    elif library == "xlwt":
        old = xlwt.Workbook()
        leaf = old.add_sheet("parts")
        leaf.write_merge(0, 0, 0, 2, "Shelf list")
        leaf.write_merge(2, 3, 0, 0, "Ostrell")
        for place, row in enumerate(rows[1:], 1):
            for column, cell in enumerate(row):
                if cell and cell != "Ostrell":
                    leaf.write(place, column, cell)
        hidden = old.add_sheet("old")
        hidden.write(0, 0, "Type")
        hidden.visibility = 1
        old.save(str(path))
    else:
        _ods_joined_and_hidden(path, rows)


def _chart(book: Any) -> Any:
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Sheet1!$A$1:$A$4"})
    return chart


def _ods_joined_and_hidden(path: Path, rows: Rows) -> None:
    book = OpenDocumentSpreadsheet()
    style = Style(name="away", family="table")
    style.addElement(TableProperties(display="false"))
    book.automaticstyles.addElement(style)
    sheet = OdsTable(name="parts")
    for place, row in enumerate(rows):
        line = TableRow()
        for column, value in enumerate(row):
            spans = {(0, 0): {"numbercolumnsspanned": 3}, (2, 0): {"numberrowsspanned": 2}}.get((place, column), {})
            line.addElement(ods_cell(value, **spans) if value else CoveredTableCell())
        sheet.addElement(line)
    hidden = OdsTable(name="old", stylename="away")
    line = TableRow()
    line.addElement(ods_cell("Type"))
    hidden.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.spreadsheet.addElement(hidden)
    book.save(str(path))


@pytest.mark.parametrize("library", list(WRITERS))
def test_joined_cells_and_hidden_sheets_of_any_library(tmp_path: Path, library: str) -> None:
    path = tmp_path / "sheet"
    _joined_and_hidden(path, library)

    shown, hidden = read_tables(path)

    assert shown.rows == [
        (1, ["Shelf list"]),
        (2, ["Make", "Type", "P/N"]),
        (3, ["Ostrell", "relay", "1"]),
        (4, ["", "relay", "2"]),
    ]
    assert set(shown.merged) == {Merged(1, 0, 1, 2), Merged(3, 0, 4, 0)}
    assert (hidden.name, hidden.hidden, hidden.rows) == ("old", True, [(1, ["Type"])])


def test_an_ods_is_read_past_its_repeats_remarks_and_blanks(tmp_path: Path) -> None:
    book = OpenDocumentSpreadsheet()
    sheet = OdsTable(name="parts")
    line = TableRow(numberrowsrepeated=3)
    cell = TableCell(valuetype="string", numbercolumnsrepeated=2)
    words = P(text="grey")
    words.addElement(S(c=3))
    words.addText("plug")
    remark = Annotation()
    remark.addElement(P(text="said the foreman"))
    cell.addElement(remark)
    cell.addElement(words)
    line.addElement(TableCell(numbercolumnsrepeated=2))
    line.addElement(cell)
    line.addElement(TableCell(numbercolumnsrepeated=16_380))
    sheet.addElement(line)
    far = TableRow(numberrowsrepeated=1_048_000)
    far.addElement(TableCell(numbercolumnsrepeated=16_384))
    sheet.addElement(far)
    last = TableRow()
    last.addElement(ods_cell("last"))
    sheet.addElement(last)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "b.ods"))

    (table,) = read_tables(tmp_path / "b.ods")

    seen = ["", "", "grey   plug", "grey   plug"]
    assert table.rows == [(1, seen), (2, seen), (3, seen), (1_048_004, ["last"])]


@pytest.mark.parametrize(
    ("held", "rows"),
    [
        (b"sep=|\r\nType|Make, model\r\nrelay|x\r\n", [(2, ["Type", "Make, model"]), (3, ["relay", "x"])]),
        (b"Type;Make\rrelay;x\r", [(1, ["Type", "Make"]), (2, ["relay", "x"])]),
        (b"Type;Make\n\n;\nrelay;x", [(1, ["Type", "Make"]), (4, ["relay", "x"])]),
        (
            b'Type;Price\nrelay;1,5\nrelay;2,5\n"a;b";3,5\n',
            [(1, ["Type", "Price"]), (2, ["relay", "1,5"]), (3, ["relay", "2,5"]), (4, ["a;b", "3,5"])],
        ),
        (
            b'Type,Note\nrelay,"a ""grey"" one\r\nand more"\n',
            [(1, ["Type", "Note"]), (2, ["relay", 'a "grey" one\r\nand more'])],
        ),
        (b"Type;Make\nrelay;O\0st\x1b[1mrell\n", [(1, ["Type", "Make"]), (2, ["relay", "O\0st\x1b[1mrell"])]),
        (b"Type\nrelay\n", [(1, ["Type"]), (2, ["relay"])]),
        (b"", []),
        (b"\xef\xbb\xbf", []),
    ],
)
def test_a_csv_as_programs_leave_it(tmp_path: Path, held: bytes, rows: Rows) -> None:
    (tmp_path / "x.csv").write_bytes(held)

    assert read_tables(tmp_path / "x.csv") == [Table("", rows)]  # type: ignore[arg-type]


@pytest.mark.parametrize(("settings", "counts_from"), [("", 1900), ("1899-12-30", 1900), ("1904-01-01", 1904)])
def test_an_ods_says_from_when_it_counts_days(tmp_path: Path, settings: str, counts_from: int) -> None:
    """OpenDocument 1.3, part 3, 9.4.2: table:null-date, 1899-12-30 where it is not given (from memory)."""
    book = OpenDocumentSpreadsheet()
    if settings:
        said = CalculationSettings()
        said.addElement(NullDate(datevalue=settings))
        book.spreadsheet.addElement(said)
    sheet, line = OdsTable(name="parts"), TableRow()
    line.addElement(ods_cell(43558))
    sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(tmp_path / "b.ods"))

    (table,) = read_tables(tmp_path / "b.ods")

    assert (table.rows, table.counts_from) == ([(1, ["43558"])], counts_from)


def test_a_workbook_whose_elements_carry_a_prefix(tmp_path: Path) -> None:
    held = book_with(b'<row r="1"><c r="A1" t="inlineStr"><is><t>Type</t></is></c><c r="B1"><v>12.5</v></c></row>')
    with zipfile.ZipFile(BytesIO(held)) as archive:
        plain = archive.read("xl/worksheets/sheet1.xml").decode()
    prefixed = re.sub("<(/?)(?=[a-z])", r"<\1x:", plain).replace("xmlns=", "xmlns:x=")
    (tmp_path / "x.xlsx").write_bytes(repacked(held, {"xl/worksheets/sheet1.xml": prefixed.encode()}))

    assert read_tables(tmp_path / "x.xlsx")[0].rows == [(1, ["Type", "12.5"])]


def test_a_table_that_stands_away_from_the_corner(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(str(tmp_path / "b.xlsx")) as book:
        sheet = book.add_worksheet()
        sheet.write_string(3, 2, "Type")
        sheet.write_string(5, 30, "x")

    (table,) = read_tables(tmp_path / "b.xlsx")

    assert table.rows == [(4, ["", "", "Type"]), (6, [""] * 30 + ["x"])]


def test_numbers_of_more_digits_than_are_kept_end_in_noughts(tmp_path: Path) -> None:
    WRITERS["xlsxwriter"][1](tmp_path / "b.xlsx", [[12345678901234567890, -1e15, 1e300]])

    ((_, (long, least, most)),) = read_tables(tmp_path / "b.xlsx")[0].rows

    assert (long, least) == ("12345678901234600000", "-1000000000000000")
    assert most == "1" + "0" * 300
