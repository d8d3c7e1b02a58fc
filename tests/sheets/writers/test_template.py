"""The template explains itself, offers lists, and read as it is changes nothing."""

from __future__ import annotations

import pytest
from openpyxl import load_workbook

from inventory.errors import Misused, Refused
from inventory.reference.data import PROGRAM
from inventory.reference.workshop import read_workshop as workshop
from inventory.sheets.columns.catalogue import ABOUT, LISTS, SHEETS
from inventory.sheets.writers.template import write_template
from tests.sheets.conftest import Desk


def test_every_sheet_and_column_is_there_and_explained(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM)

    book = load_workbook(path)

    assert book.sheetnames == [*(sheet.name for sheet in SHEETS), ABOUT, LISTS]
    for sheet in SHEETS:
        assert tuple(cell.value for cell in book[sheet.name][1]) == sheet.columns
    told = {(row[0].value, row[1].value) for row in book[ABOUT].iter_rows(min_row=2) if row[2].value}
    assert told >= {(sheet.name, column) for sheet in SHEETS for column in sheet.columns}
    offered = {each.formula1 for each in book["parts"].data_validations.dataValidation}
    assert len(offered) == 7  # kinds, seal states, owners, bases, currencies, conditions, where a code was read from


def test_the_whole_set_of_sheets_is_read_as_it_stands(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM, every=True)
    book = load_workbook(path)

    assert {"work done", "notes", "removals", "cars", "places"} < set(book.sheetnames)
    assert not {"record", "counts", "files written"} & set(book.sheetnames)
    book["notes"].append([None, "Green tourer", None, None, None, None, None, "smells of fuel"])
    book.save(path)
    assert (desk.read(path).added, desk.read(path).unchanged) == (1, 1)


def test_every_list_is_one_that_is_there_and_every_head_has_its_note(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM)
    book = load_workbook(path)
    lists = book[LISTS]

    for sheet in SHEETS:
        page = book[sheet.name]
        assert [cell.comment is not None and len(cell.comment.text) > 5 for cell in page[1]] == [True] * page.max_column
        assert len(page.title) <= 31  # Microsoft, "Excel specifications and limits" (seen)
        for offered in page.data_validations.dataValidation:
            name, cells = offered.formula1.split("!")
            column, *_ = cells.replace("$", "").split(":")
            values = [cell.value for (cell,) in lists[cells.replace("$", "")]]
            full = [cell.value for cell in lists[column.rstrip("0123456789")][1:] if cell.value]
            assert (name, values, offered.showErrorMessage) == (f"'{LISTS}'", full, False)
            assert len(offered.formula1) <= 255
    assert [cell.value for cell in lists["A"]].count("pressure sensor") == 1


def test_a_day_fits_in_every_column_that_is_filled_in(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM)
    book = load_workbook(path)

    for name in (sheet.name for sheet in SHEETS if sheet.name != "parts"):
        narrowest = min(each.width for each in book[name].column_dimensions.values())
        assert narrowest > len("2026-03-31"), name


def test_a_workshops_own_kinds_are_among_those_offered(desk: Desk) -> None:
    own = desk.folder / "record.workshop.toml"
    own.write_text('[[kind]]\nname = "throttle body"\nplural = "throttle bodies"\nprocedures = ["resistance"]\n')
    write_template(desk.folder / "t.xlsx", workshop.reference_from(own))

    book = load_workbook(desk.folder / "t.xlsx")
    offered = [cell.value for cell in book[LISTS]["A"] if cell.value]
    ranges = {each.formula1 for each in book["parts"].data_validations.dataValidation}

    assert "throttle body" in offered
    assert f"'{LISTS}'!$A$2:$A${len(offered)}" in ranges


def test_read_as_it_is_it_changes_nothing_and_filled_in_it_is_read(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM)

    report = desk.read(path)
    assert (report.rows_read, report.remarks) == (0, [])

    book = load_workbook(path)
    book["parts"].append([None, "relay", "Tolvranne", "12-R4", "0602"])
    book.save(path)
    assert desk.read(path).added == 1
    desk.again(path)


def test_the_example_row_is_one_that_could_be_read(desk: Desk) -> None:
    path = desk.folder / "t.xlsx"
    write_template(path, PROGRAM)
    book = load_workbook(path)
    book["parts"]["A2"] = None
    book.save(path)

    assert desk.read(path).added == 1


def test_where_it_may_not_be_written(desk: Desk) -> None:
    write_template(desk.folder / "t.xlsx", PROGRAM)
    with pytest.raises(Refused):
        write_template(desk.folder / "t.xlsx", PROGRAM)
    with pytest.raises(Misused):
        write_template(desk.folder / "t.csv", PROGRAM)
    with pytest.raises(Refused):
        write_template(desk.folder / "no folder" / "t.xlsx", PROGRAM)
