"""Columns of a sheet of parts are read as a whole; a row still says what its own cells say."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from inventory.reference.data import PROGRAM
from inventory.sheets.columns.layout import Answers, lay_out
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.part_reader import PartReader
from inventory.sheets.readers.cell_text import Figure
from inventory.sheets.readers.tables import Row, Table
from tests.sheets.conftest import Desk

TODAY = date(2026, 3, 31)


def read(*rows: list[str], **answers: Any) -> tuple[list[PartCells], dict[int, list[str]], list[str]]:
    """What the rows below a header say, the columns in which something is wrong by row, and remarks."""
    table = Table("stock", [Row(number, cells) for number, cells in enumerate(rows, 1)])
    (sheet,), _ = lay_out([table], Answers(**answers))[:2]
    cells, problems, remarks, *_ = PartReader(sheet, TODAY, PROGRAM, Answers(strict=True)).read(sheet.rows)
    return cells, {row: [each.column for each in several] for row, several in problems.items()}, remarks


def test_rows_of_any_length_say_what_stands_in_them() -> None:
    cells, problems, _ = read(["Type", "Make", "P/N"], ["relay"], ["relay", "", "12-R4", "loose"], ["relay", "Ostrell"])

    assert [(each.maker, each.part_number, each.extra) for each in cells] == [
        (None, None, {}), (None, "12-R4", {"column 4": "loose"}), ("Ostrell", None, {}),
    ]  # fmt: skip
    assert problems == {}


def test_a_number_of_the_file_and_the_same_text_are_told_apart() -> None:
    cells, problems, _ = read(
        ["Type", "Paid EUR"], ["relay", Figure("1.234")], ["relay", "1.234"], ["relay", Figure("1.5")], ["relay", "1.5"]
    )

    assert problems == {0: ["price"], 1: ["price"]}  # 1.234 has too many decimals; the text can be read in two ways
    assert [each.price for each in cells[2:]] == [("1.5", "EUR"), ("1.5", "EUR")]


def test_the_currency_of_an_amount_is_the_nearest_one() -> None:
    cells, problems, _ = read(
        ["Type", "price", "price currency", "currency", "value GBP"],
        ["relay", "5", "SEK", "CHF", "6"],
        ["relay", "5", "", "CHF", "6"],
        ["relay", "5", "", "", "6"],
        ["relay", "5 NOK", "SEK", "CHF", ""],
        currency="EUR",
    )

    assert [each.price for each in cells] == [("5", "SEK"), ("5", "CHF"), ("5", "EUR"), ("5", "NOK")]
    assert [each.value for each in cells] == [("6", "GBP")] * 3 + [None]
    assert problems == {}


def test_of_two_headers_for_one_column_the_later_cell_counts_unless_it_is_empty() -> None:
    rows = [["Type", "Old no", "New no"], ["relay", "1", "2"], ["relay", "1", " "], ["relay", "", "2"]]

    cells, _, _ = read(*rows, columns={"oldno": "serial", "newno": "serial"})

    assert [each.serial for each in cells] == ["2", "1", "2"]


def test_problems_come_in_the_order_of_the_columns_and_rows_keep_what_can_be_read() -> None:
    cells, problems, _ = read(
        ["seal", "price", "condition", "Type", "tag", "acquired on"],
        ["cap", "much", "7", "rely", "K4127-8", "2999"],
        ["", "5 EUR", "2", "relay", "", "2019"],
    )

    assert problems == {0: ["tag", "kind", "condition", "acquired on", "price", "seal"]}
    assert (cells[1].condition, cells[1].price) == ("2", ("5", "EUR"))


@pytest.mark.parametrize(
    ("seal", "state", "found"),
    [
        ("cap", "intact", ("cap", "intact")),
        ("CAP", "unversehrt", ("cap", "intact")),
        ("fehlt", "", (None, "missing")),
        ("fehlt", "intact", ("fehlt", "intact")),
        ("", "intact", (None, "intact")),
    ],
)
def test_a_word_for_a_state_in_the_column_of_seals_is_the_state(
    seal: str, state: str, found: tuple[str | None, str | None]
) -> None:
    ((cells,), problems, _) = read(["Type", "seal", "seal state"], ["relay", seal, state])

    assert ((cells.seal, cells.seal_state), problems) == (found, {})


def test_names_without_a_letter_or_digit_are_nothing() -> None:
    ((cells,), problems, _) = read(
        ["Type", "serial", "P/N", "place", "acquired from", "Make"], ["relay", "-", "--", "...", " - ", "-"]
    )

    assert (cells.serial, cells.part_number, cells.place, cells.acquired_from, cells.maker) == (
        None,
        None,
        None,
        None,
        None,
    )
    assert (cells.serial_key, cells.number_key, problems) == ("", "", {})


def test_removed_controls_are_told_for_each_cell_in_the_order_of_the_file() -> None:
    _, _, remarks = read(
        ["Colour", "Type", "Make"], ["a\x07b", "relay", "x\x1b"], ["grey", "relay", "y"], ["\x1c", "relay", "\x00"]
    )

    assert [remark.split(":")[0] + " " + remark.split()[-1] for remark in remarks] == [
        "stock, row 2 maker", "stock, row 2 Colour", "stock, row 4 maker",
    ]  # fmt: skip


def test_a_column_of_their_own_with_one_of_our_names_is_theirs(desk: Desk) -> None:
    rows = [["kind", "serial", "notes", "whose", "place"], ["relay", "1", "old", "ours", "left"]]
    theirs = dict.fromkeys(rows[0][2:], "extra")
    desk.read(desk.csv(rows), mapping=theirs)
    rows[1][2:] = ["new", "theirs", "right"]

    report = desk.read(desk.csv(rows), mapping=theirs)

    card = desk.card()
    assert (report.changed, card.line.extra) == (1, {"notes": "new", "whose": "theirs", "place": "right"})
    assert [len(card[section]) for section in ("notes", "provenance", "moves")] == [0, 0, 0]
    assert desk.fits()
