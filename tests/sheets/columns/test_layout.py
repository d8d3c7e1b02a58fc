"""Where the table is in a sheet, and which of its rows are data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from inventory.errors import Refused
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.layout import Answers, SheetLayout, lay_out
from inventory.sheets.readers.tables import Merged, Row, Table


def table(rows: Sequence[list[str]], name: str = "stock", **more: Any) -> Table:
    return Table(name, [Row(number, cells) for number, cells in enumerate(rows, 1)], **more)


def laid(*rows: list[str], name: str = "") -> SheetLayout:
    ((sheet,), _) = lay_out([table(rows, name)], Answers())[:2]
    return sheet


def test_titles_blanks_totals_and_heads_again_are_no_data() -> None:
    sheet = laid(
        ["Shelf list of the yard", "", ""],
        ["", "", ""],
        ["Type", "Make", "Value EUR"],
        ["relay", "Tolvranne", "25"],
        ["", "", ""],
        ["Type", "Make", "Value EUR"],
        ["injector", "Ostrell", "40"],
        ["Total", "", "65"],
    )

    assert [(row.number, sheet.values(row.cells)["kind"]) for row in sheet.rows] == [(4, "relay"), (7, "injector")]
    assert sheet.header_currency("value") == "EUR"


def test_two_lines_of_head_are_read_joined_and_alone() -> None:
    sheet = laid(["Part", "", "Match", "Bought"], ["number", "Type", "code", "on"], ["12-R4", "relay", "", "2019"])

    assert [heading.column for heading in sheet.headings] == ["part number", "kind", "match code", "acquired on"]
    assert [row.number for row in sheet.rows] == [3]


@pytest.mark.parametrize(("name", "kind", "first"), [("stock", "parts", 2), ("seals", "seals", 3)])
def test_a_line_with_fewer_heads_counts_only_as_what_the_sheet_is_named(name: str, kind: str, first: int) -> None:
    heads = ["tag", "kind", "maker", "serial", "condition", "place"]

    sheet = laid(heads, ["tag", "seal", "state", "on", "", ""], ["AB2-C", "cap", "intact", "2019", "", ""], name=name)

    assert (sheet.kind.name, sheet.rows[0].number) == (kind, first)


def test_cells_under_no_known_head_are_kept_under_their_own() -> None:
    sheet = laid(["Type", "Make", "Plug", "Plug", ""], ["relay", "Tolvranne", "grey", "4-pin", "loose"])

    assert sheet.own_values(sheet.rows[0].cells) == {"Plug": "grey", "Plug (2)": "4-pin", "column 5": "loose"}


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        ("tag,seal,state,on", "seals"),
        ("tag,amount,currency,basis,on,source", "values"),
        ("maker,part number,serial,lane,how,whose,party,on", "provenance"),
        ("tag,procedure,readings,ambient,on", "runs"),
        ("sensor part number,unit part number", "fits"),
        ("car,order,position,kind,fasteners,mounts", "positions"),
        ("tag,seal,seal state,condition", "parts"),
        ("tag,value,value currency", "parts"),
    ],
)
def test_a_csv_is_taken_for_the_sheet_whose_columns_it_has(head: str, kind: str) -> None:
    assert laid(head.split(","), ["x"] * len(head.split(","))).kind.name == kind


def test_an_unknown_sheet_is_told() -> None:
    rows = [["spec", "in stock"], ["M6x20 hex", "40"]]
    found, (remark,) = lay_out([table(rows, "Sheet2")], Answers())[:2]
    assert found == []
    assert '"Sheet2"' in remark


@pytest.mark.parametrize(
    "total",
    [
        "Total",
        "TOTAL:",
        "Total EUR",
        "Total (12 parts)",
        "Sum",
        "Subtotal",
        "Summe",
        "Gesamt:",
        "Zwischensumme",
        "Totale",
        "Somme",
        "Total général",
        "Carried forward",
        "Somma",
    ],
)
def test_totals_in_four_languages_are_no_data(total: str) -> None:
    sheet = laid(["Type", "Make", "Value EUR"], ["relay", "Tolvranne", "25"], ["", total, "25"])

    assert [row.number for row in sheet.rows] == [2]


@pytest.mark.parametrize("kind", ["Total stop valve", "Summer bonnet", "relay"])
def test_a_part_that_sounds_like_a_total_is_data(kind: str) -> None:
    sheet = laid(["Type", "Make", "Value EUR"], [kind, "Tolvranne", "25"])

    assert [row.number for row in sheet.rows] == [2]


def test_amounts_alone_at_the_foot_are_taken_for_a_total_and_told() -> None:
    rows = [["Type", "Make", "Value EUR"], ["relay", "Tolvranne", "25"], ["", "", "25"]]

    (sheet,), remarks = lay_out([table(rows)], Answers())[:2]

    assert [row.number for row in sheet.rows] == [2]
    (remark,) = remarks
    assert "stock, row 3" in remark


def test_cells_joined_downwards_hold_for_each_row_that_has_something_of_its_own() -> None:
    rows = [["Make", "Type", "P/N"], ["Ostrell", "relay", "12-R4"], ["", "relay", "12-R5"], [], ["", "injector", "7"]]
    joined = (Merged(2, 0, 5, 0), Merged(1, 2, 1, 3))

    (sheet,), _ = lay_out([table(rows, merged=joined)], Answers())[:2]

    assert [(row.number, sheet.values(row.cells)["maker"]) for row in sheet.rows] == [
        (2, "Ostrell"),
        (3, "Ostrell"),
        (5, "Ostrell"),
    ]


def test_a_head_of_two_lines_whose_upper_cells_are_joined() -> None:
    rows = [
        ["Shelf list", "", "", ""],
        ["Type", "Purchase", "", "Colour"],
        ["", "price", "date", ""],
        ["relay", "25", "2019", "grey"],
    ]
    joined = (Merged(1, 0, 1, 3), Merged(2, 1, 2, 2), Merged(2, 0, 3, 0), Merged(2, 3, 3, 3))

    (sheet,), _ = lay_out([table(rows, merged=joined)], Answers())[:2]

    assert [(each.header, each.column) for each in sheet.headings] == [
        ("Type", "kind"),
        ("Purchase price", "price"),
        ("Purchase date", "acquired on"),
        ("Colour", None),
    ]
    assert [(row.number, sheet.own_values(row.cells)) for row in sheet.rows] == [(4, {"Colour": "grey"})]


def test_a_line_of_currencies_under_the_head_belongs_to_it() -> None:
    sheet = laid(["Type", "Make", "Price"], ["", "", "(EUR)"], ["relay", "Tolvranne", "25"])

    assert sheet.header_currency("price") == "EUR"
    assert [row.number for row in sheet.rows] == [3]


def test_tables_below_each_other_are_each_read_as_what_they_are() -> None:
    rows = [
        ["Yard list"],
        [],
        ["Type", "Make", "P/N"],
        ["relay", "Tolvranne", "12-R4"],
        [],
        ["Type", "Make", "P/N"],
        ["relay", "Tolvranne", "12-R5"],
        [],
        ["What they are worth"],
        ["P/N", "Serial", "Amount", "Currency", "Basis", "According to", "Capacity"],
        ["12-R4", "1", "25", "EUR", "market"],
    ]

    sheets, remarks = lay_out([table(rows, "parts")], Answers())[:2]

    assert [(sheet.kind.name, sheet.name, [row.number for row in sheet.rows]) for sheet in sheets] == [
        ("parts", "parts", [4, 7]),
        ("values", "parts", [11]),
    ]
    assert remarks == []


def test_hidden_sheets_are_told_and_read_on_request() -> None:
    rows = [["Type", "P/N"], ["relay", "12-R4"]]
    tables = [table(rows, "shown"), table(rows, "old", hidden=True), table([], "empty", hidden=True)]

    sheets, remarks = lay_out(tables, Answers())[:2]
    assert [sheet.name for sheet in sheets] == ["shown"]
    (remark,) = remarks
    assert '"old"' in remark
    assert "--hidden" in remark

    (asked,) = lay_out(tables, Answers()).questions
    assert (asked.key, asked.taken) == ("hidden", "left out")
    said = lay_out(tables, Answers(said={"hidden": "read"}))
    assert ([sheet.name for sheet in said.sheets], said.questions) == (["shown", "old"], [])

    sheets, remarks = lay_out(tables, Answers(hidden=True))[:2]
    assert ([sheet.name for sheet in sheets], remarks) == (["shown", "old"], [])

    with pytest.raises(Refused) as caught:
        lay_out(tables[1:], Answers())
    assert caught.value.code == "only-hidden-sheets"


def test_each_column_of_days_and_amounts_is_judged_by_itself() -> None:
    rows = [
        ["Type", "Bought", "Paid", "Worth", "Valued on"],
        ["relay", "3/4/2019", "1.234", "1.234", "3/4/2019"],
        ["relay", "25/4/2019", "850,50", "12.5", "4/25/2019"],
    ]
    paid = table(rows, "", counts_from=1900)

    (sheet,), _ = lay_out([paid], Answers())[:2]
    assert sheet.cell_format("acquired on") == CellFormat("day-first", None, 1900)
    assert sheet.cell_format("price").decimal == "comma"
    assert sheet.cell_format("value").decimal == "point"
    assert sheet.cell_format("value on").dates == "month-first"

    (sheet,), _ = lay_out([paid], Answers(cell_format=CellFormat("day-first", "comma", 1904)))[:2]
    assert {sheet.cell_format(each) for each in ("price", "value", "acquired on", "value on")} == {
        CellFormat("day-first", "comma", 1904)
    }
