"""Where the table is in a sheet, and which of its rows are data."""

from __future__ import annotations

import pytest

from inventory.errors import Refused
from inventory.sheets.files import Table
from inventory.sheets.layout import SheetIn, lay_out


def laid(*rows: list[str], name: str = "") -> SheetIn:
    ((sheet,), _) = lay_out([Table(name, list(enumerate(rows, 1)))], {})
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

    assert [(row.row, row.values["kind"]) for row in sheet.rows] == [(4, "relay"), (7, "injector")]
    assert sheet.currency("value") == "EUR"


def test_two_lines_of_head_are_read_joined_and_alone() -> None:
    sheet = laid(["Part", "", "Match", "Bought"], ["number", "Type", "code", "on"], ["12-R4", "relay", "", "2019"])

    assert [heading.column for heading in sheet.headings] == ["part number", "kind", "match code", "acquired on"]
    assert [row.row for row in sheet.rows] == [3]


def test_cells_under_no_known_head_are_kept_under_their_own() -> None:
    sheet = laid(["Type", "Make", "Plug", "Plug", ""], ["relay", "Tolvranne", "grey", "4-pin", "loose"])

    assert sheet.rows[0].extra == {"Plug": "grey", "Plug (2)": "4-pin", "column 5": "loose"}


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


def test_a_sheet_that_is_not_read_yet_is_refused_and_an_unknown_one_told() -> None:
    rows = [(1, ["spec", "in stock"]), (2, ["M6x20 hex", "40"])]
    with pytest.raises(Refused) as caught:
        lay_out([Table("hardware", rows)], {})

    assert caught.value.code == "sheet-not-read-yet"
    assert lay_out([Table("Sheet2", rows)], {}) == (
        [], ['The sheet "Sheet2" has no columns that are known here and was not read'],
    )  # fmt: skip
