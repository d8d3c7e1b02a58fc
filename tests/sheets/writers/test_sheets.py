"""Files that are written: what other programs read in them, and what of a record they leave out."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pandas
import pytest
from odf.opendocument import load
from odf.table import Table, TableCell, TableRow
from odf.teletype import extractText

from inventory.errors import Misused
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.sheets.readers.files import read_tables
from inventory.sheets.writers.ods import write_ods
from inventory.sheets.writers.page import Page
from inventory.sheets.writers.sheets import write_sheets
from inventory.valuation.actions import note_value
from tests.sheets.conftest import BY, Desk

#: Texts by which a cell may start a formula, as OWASP lists them ("CSV Injection", from memory): = + - @ tab return,
#: and their full-width forms.
STARTS = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1", "＋1", "－1", "＠A1")
TEXTS = (
    *STARTS[:4],
    *STARTS[6:],
    "00123",
    "1E5",
    "TRUE",
    "'quoted",
    "a  b ",
    " <&>\"'",
    "x\nid",
    "🙂 ß é",
    "שלום",
    "_x0041_",
)


def ods_rows(path: Path, name: str) -> list[list[str]]:
    (table,) = [each for each in load(path).getElementsByType(Table) if each.getAttribute("name") == name]
    return [
        [extractText(cell) for cell in row.getElementsByType(TableCell)] for row in table.getElementsByType(TableRow)
    ]


def test_another_library_reads_the_same_in_an_ods(tmp_path: Path) -> None:
    path = tmp_path / "all.ods"
    write_ods(path, [Page("parts", ["text", "more"], [[text, None] for text in TEXTS])])

    assert [row[0] for row in ods_rows(path, "parts")[1:]] == [text.replace("\n", "") for text in TEXTS]
    assert [row[0] for _, row in read_tables(path)[0].rows[1:]] == list(TEXTS)
    with zipfile.ZipFile(path) as archive:
        assert archive.infolist()[0].filename == "mimetype"
        assert b"formula" not in archive.read("content.xml")


def test_days_and_amounts_are_days_and_numbers_in_an_ods(desk: Desk) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay", serial="0012"))
        note_value(session, BY, tag, "850", "EUR", on="2019-04-03")
    write_sheets(desk.record, desk.folder / "all.ods")

    read = pandas.read_excel(desk.folder / "all.ods", sheet_name="values", engine="odf")

    assert read["amount"].tolist() == [850]
    assert read["on"].tolist() == [pandas.Timestamp("2019-04-03")]
    assert ods_rows(desk.folder / "all.ods", "parts")[1][5] == "0012"


@pytest.mark.parametrize("name", ["all.xlsx", "all.ods", "all.json", "parts.csv"])
def test_what_starts_a_formula_comes_back_as_it_was(desk: Desk, name: str) -> None:
    with desk.record.write() as session:
        for text in TEXTS:
            add_part(session, BY, Markings(kind="relay", marks=text, extra={text: text}))
    path = desk.folder / name

    write_sheets(desk.record, path)

    desk.again(path)


def test_a_csv_says_what_it_leaves_out_and_takes_any_sheet(desk: Desk) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay"))
        note_value(session, BY, tag, "850", "EUR", on="2019-04-03")

    parts = write_sheets(desk.record, desk.folder / "parts.csv")
    values = write_sheets(desk.record, desk.folder / "values.csv", sheet="values")

    others = {"record": 1, "cars": 2, "markings": 1}
    assert (parts.rows, parts.left_out) == ({"parts": 1}, {"values": 1, **others})
    assert (values.rows, values.left_out) == ({"values": 1}, {"parts": 1, **others})
    desk.again(desk.folder / "values.csv")
    with pytest.raises(Misused) as unknown:
        write_sheets(desk.record, desk.folder / "x.csv", sheet="shelf")
    with pytest.raises(Misused) as other:
        write_sheets(desk.record, desk.folder / "x.txt")
    assert (unknown.value.code, other.value.code) == ("no-such-sheet", "sheet-kind")


@pytest.mark.parametrize("name", ["all.xlsx", "all.ods", "all.json", "parts.csv"])
def test_a_column_of_theirs_never_takes_the_place_of_one_of_ours(desk: Desk, name: str) -> None:
    with desk.record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay", serial="7", extra={"Seal": "lead", "Serial number": "x"}))
        other = add_part(session, BY, Markings(kind="relay", serial="8", extra={"serial": "theirs"}))
    write_sheets(desk.record, desk.folder / name)

    desk.read(desk.folder / name)

    assert desk.card(tag).line.extra == {"Seal": "lead", "Serial number": "x"}
    assert [desk.card(each).line.serial for each in (tag, other)] == ["7", "8"]


def written(folder: Path, text: str) -> Path:
    path = folder / "x.json"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"parts": [{"kind": "relay"', "cut off"),
        ('{"parts": {"kind": "relay"}}', "not a list of rows"),
        ('{"parts": [1, 2]}', "not a list of rows"),
        ('{"parts": [{"kind": ["relay"]}]}', "a list or an object"),
        ('{"parts": ' + "[" * 5000 + "]" * 5000 + "}", "cut off"),
        ('{"parts": [' + "{}," * 300_000 + "{}]}", "more than"),
    ],
)
def test_other_json_is_refused_in_a_sentence(desk: Desk, text: str, says: str) -> None:
    assert says in desk.refused(written(desk.folder, text)).message


def test_json_of_other_programs_is_read_by_its_names(desk: Desk) -> None:
    rows = [{"Type": "relay", "S/N": 7, "Colour": None}, {"Type": "relay", "S/N": "8", "Colour": "grey"}]

    assert desk.read(written(desk.folder, json.dumps({"shelf": rows}))).added == 2
    assert {card.line.serial for card in map(desk.card, desk.tags())} == {"7", "8"}
