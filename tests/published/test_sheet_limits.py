"""What a sheet may hold: Microsoft, "Excel specifications and limits" (support.microsoft.com, seen): 1,048,576 rows by
16,384 columns, 32,767 characters and 253 line feeds a cell, 15 digits of a number. A file within them is read, or
refused in a sentence that says what of it is too much.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import xlsxwriter

from inventory.errors import Refused
from inventory.sheets.readers.files import read_tables
from tests.sheets.readers.made import WRITERS

ROWS, COLUMNS, CHARACTERS, LINE_FEEDS, DIGITS = 1_048_576, 16_384, 32_767, 253, 15


@pytest.mark.parametrize("library", list(WRITERS))
def test_the_fullest_cell_is_read_to_the_last_character(tmp_path: Path, library: str) -> None:
    longest, broken = "Ä" * CHARACTERS, "\n".join("x" * (LINE_FEEDS + 1))
    WRITERS[library][1](tmp_path / "x", [[longest, broken]])

    (table,) = read_tables(tmp_path / "x")

    assert table.rows == [(1, [longest, broken])]


@pytest.mark.parametrize("library", list(WRITERS))
def test_every_digit_that_a_spreadsheet_keeps_is_read(tmp_path: Path, library: str) -> None:
    written = [int("9" * DIGITS), 0.123456789012345, 123456.789012345]
    WRITERS[library][1](tmp_path / "x", [written])

    ((_, cells),) = read_tables(tmp_path / "x")[0].rows

    assert cells == ["9" * DIGITS, "0.123456789012345", "123456.789012345"]


def test_the_last_row_is_read_and_has_its_number(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(str(tmp_path / "x.xlsx")) as book:
        sheet = book.add_worksheet()
        sheet.write_string(0, 0, "Type")
        sheet.write_string(ROWS - 1, 1, "relay")

    (table,) = read_tables(tmp_path / "x.xlsx")

    assert table.rows == [(1, ["Type"]), (ROWS, ["", "relay"])]


def test_the_last_column_is_refused_with_the_count(tmp_path: Path) -> None:
    with xlsxwriter.Workbook(str(tmp_path / "x.xlsx")) as book:
        book.add_worksheet().write_string(0, COLUMNS - 1, "relay")

    with pytest.raises(Refused) as caught:
        read_tables(tmp_path / "x.xlsx")

    assert caught.value.code == "sheet-too-large"
    assert f"it has {COLUMNS} columns, and 500 are read" in caught.value.message
