"""The template explains itself, offers lists, and read as it is changes nothing."""

from __future__ import annotations

import pytest
from openpyxl import load_workbook

from inventory.errors import Misused, Refused
from inventory.sheets.columns import ABOUT, LISTS, SHEETS
from inventory.sheets.template import write_template
from tests.sheets.conftest import Desk


def test_every_sheet_and_column_is_there_and_explained(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path)

    book = load_workbook(path)

    assert book.sheetnames == [*(sheet.name for sheet in SHEETS), ABOUT, LISTS]
    for sheet in SHEETS:
        assert tuple(cell.value for cell in book[sheet.name][1]) == sheet.columns
    told = {(row[0].value, row[1].value) for row in book[ABOUT].iter_rows(min_row=2) if row[2].value}
    assert told >= {(sheet.name, column) for sheet in SHEETS for column in sheet.columns}
    offered = {each.formula1 for each in book["parts"].data_validations.dataValidation}
    assert len(offered) == 5  # kinds, seal states, owners, bases, currencies


def test_read_as_it_is_it_changes_nothing_and_filled_in_it_is_read(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path)

    report = desk.read(path)
    assert (report.rows_read, report.remarks) == (0, [])

    book = load_workbook(path)
    book["parts"].append([None, "relay", "Tolvranne", "12-R4", "0602"])
    book.save(path)
    assert desk.read(path).added == 1
    desk.again(path)


def test_the_example_row_is_one_that_could_be_read(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path)
    book = load_workbook(path)
    book["parts"]["A2"] = None
    book.save(path)

    assert desk.read(path).added == 1


def test_where_it_may_not_be_written(desk: Desk) -> None:
    write_template(desk.folder / "t.xlsx")
    with pytest.raises(Refused):
        write_template(desk.folder / "t.xlsx")
    with pytest.raises(Misused):
        write_template(desk.folder / "t.csv")
    with pytest.raises(Refused):
        write_template(desk.folder / "no folder" / "t.xlsx")
