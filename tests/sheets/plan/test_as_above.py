""" "As above" is taken from the row above only where rows stand as they were written; else it is asked, and kept till then."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import DatabaseRange, DatabaseRanges, Filter, FilterCondition, Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook
from openpyxl.worksheet.filters import SortState
from openpyxl.worksheet.table import Table as ExcelTable

from tests.sheets.conftest import Desk

HEAD = ["Inv.", "Part", "Maker", "Serial", "Shelf"]
ROWS = [
    ["P1", "relay", "Ostrell", "11", "A1"],
    ["P2", "same", "Corvane", "12", "B2"],
    ["P3", "relay", "ditto", "13", "//"],
]
KEY = "sorted/Shelf".casefold()


def _xlsx(change: Callable[[Any], None], rows: list[list[str]] = ROWS) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        book = Workbook()
        sheet: Any = book.active
        sheet.title = "Shelf"
        for row in [HEAD, *rows]:
            sheet.append(row)
        change(sheet)
        book.save(folder / "shelf.xlsx")
        return folder / "shelf.xlsx"

    return write


def _filter(sheet: Any) -> None:
    sheet.auto_filter.ref = "A1:E4"


def _sort(sheet: Any) -> None:
    sheet.sort_state = SortState(ref="A2:E4")
    _filter(sheet)
    sheet.auto_filter.sortState = SortState(ref="A2:E4")


def _hide(sheet: Any) -> None:
    sheet.row_dimensions[3].hidden = True


def _table(sheet: Any) -> None:
    table = ExcelTable(displayName="T", ref="A1:E4")
    table.sortState = SortState(ref="A2:E4")
    sheet.add_table(table)


def _plain_table(sheet: Any) -> None:
    sheet.add_table(ExcelTable(displayName="T", ref="A1:E4"))


def _xls(folder: Path) -> Path:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Shelf")
    for number, row in enumerate([HEAD, *ROWS]):
        for place, text in enumerate(row):
            sheet.write(number, place, text)
    sheet.row(2).hidden = True
    book.save(str(folder / "shelf.xls"))
    return folder / "shelf.xls"


def _ods(*, filtered: bool) -> Callable[[Path], Path]:
    def write(folder: Path) -> Path:
        book = OpenDocumentSpreadsheet()
        table = Table(name="Shelf")
        for number, texts in enumerate([HEAD, *ROWS]):
            row = TableRow(visibility="filter") if number == 2 and not filtered else TableRow()
            for text in texts:
                cell = TableCell(valuetype="string")
                cell.addElement(P(text=text))
                row.addElement(cell)
            table.addElement(row)
        book.spreadsheet.addElement(table)
        if filtered:
            ranges = DatabaseRanges()
            one = DatabaseRange(name="all", targetrangeaddress="Shelf.A1:Shelf.E4")
            condition = Filter()
            condition.addElement(FilterCondition(fieldnumber=1, operator="=", value="relay"))
            one.addElement(condition)
            ranges.addElement(one)
            book.spreadsheet.addElement(ranges)
        book.save(str(folder / "shelf.ods"))
        return folder / "shelf.ods"

    return write


MOVED = [ROWS[2], ROWS[1], ROWS[0]]


@pytest.mark.parametrize(
    "write",
    [
        *(pytest.param(_xlsx(each), id=each.__name__) for each in (_filter, _sort, _hide, _table)),
        pytest.param(_xls, id="xls, a hidden row"),
        pytest.param(_ods(filtered=True), id="ods, a filter"),
        pytest.param(_ods(filtered=False), id="ods, a hidden row"),
        pytest.param(_xlsx(lambda _: None, MOVED), id="numbers out of order"),
    ],
)
def test_as_above_is_asked_where_rows_may_have_moved(desk: Desk, write: Callable[[Path], Path]) -> None:
    path = write(desk.folder)

    report = desk.read(path)

    (question,) = report.questions
    assert (question.key, len(question.rows), question.taken) == (KEY, 2, "text")
    assert [choice.key for choice in question.choices] == ["as above", "text"]
    assert sorted((each.column, each.value) for each in report.unread) == [
        ("kind", "same"), ("maker", "ditto"), ("place", "//"),
    ]  # fmt: skip
    cards = {desk.card(tag).line.serial: desk.card(tag) for tag in desk.tags()}
    assert (cards["12"].line.kind, cards["13"].line.maker, cards["13"].line.place) == ("other", None, None)
    desk.again(path)
    assert desk.fits()


def test_said_to_be_as_above_it_is_filled_and_not_asked_again(desk: Desk) -> None:
    path = _xlsx(_filter)(desk.folder)
    desk.read(path)

    report = desk.read(path, said={KEY: "as above"}, keep_answers=True)

    assert (report.changed, report.unread, report.questions) == (2, [], [])
    cards = {desk.card(tag).line.serial: desk.card(tag) for tag in desk.tags()}
    assert [cards[each].line.kind for each in ("11", "12", "13")] == ["relay"] * 3
    assert (cards["13"].line.maker, cards["13"].line.place) == ("Corvane", "B2")
    assert not desk.read(path).questions
    desk.again(path)


@pytest.mark.parametrize("change", [lambda _: None, _plain_table])
def test_in_rows_as_they_were_written_it_is_filled(desk: Desk, change: Callable[[Any], None]) -> None:
    report = desk.read(_xlsx(change)(desk.folder))

    assert (report.unread, report.questions) == ([], [])


def test_parts_without_any_number_are_the_same_ones_after_the_answer(desk: Desk) -> None:
    rows = [["", "relay", "Ostrell", "", "A1"], ["", "same", "ditto", "", "//"], ["", "fuel pump", "Corvane", "", "A1"],
            ["", "same", "same", "", "B2"]]  # fmt: skip
    path = _xlsx(_filter, rows)(desk.folder)
    desk.read(path)

    report = desk.read(path, said={KEY: "as above"})

    assert (report.added, report.changed, report.unchanged) == (0, 2, 2)
    parts = sorted((line.kind, line.maker, line.place) for line in (desk.card(tag).line for tag in desk.tags()))
    assert parts == [
        ("fuel pump", "Corvane", "A1"), ("fuel pump", "Corvane", "B2"),
        ("relay", "Ostrell", "A1"), ("relay", "Ostrell", "A1"),
    ]  # fmt: skip
    assert desk.fits()
