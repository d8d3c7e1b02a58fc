"""Files of any make come in as text, with the row numbers a person sees."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest
from openpyxl import Workbook

from inventory.errors import Refused
from inventory.sheets.books import safe_in_csv
from inventory.sheets.files import read_tables, without_apostrophe

TEXT = (
    'Hersteller{s}Teile-Nr.{s}Bemerkung\r\nOstrell{s}HV 204 118{s}Ä, ü und 3 µm\r\nOstrell{s}0012{s}"zwei\nZeilen"\r\n'
)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
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
    assert shown.rows == [(2, seen), (3, []), (4, ["last"])]
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
    with pytest.raises(Refused) as caught:
        read_tables(tmp_path / "none.csv")

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
