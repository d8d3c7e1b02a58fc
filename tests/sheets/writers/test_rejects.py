"""Refused rows come back as the sheet its keeper knows, and read again, once mended, as they would have been at first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from inventory.facts.views import facts_of
from inventory.sheets import CellFormat
from inventory.sheets.columns.catalogue import WRONG
from inventory.store.begin import RECORD_THING
from inventory.verification import verify
from tests.sheets.conftest import Desk

FRIEND = [
    ["Teileliste Einspritzung"],
    ["Stand: März 2026"],
    ["Teile-", "Bau-", "Serien-", "Plombe", "Lager-", "gekauft", "Preis", "Farbe"],
    ["nummer", "teil", "nummer", "", "ort", "am", "EUR", ""],
    ["HV 204 118", "Drucksensor", "71-40822", "unversehrt", "Regal A5", "13/4/2019", "1.250,00", "grau"],
    ["HV 204 118", "Drucksensor", "71-40823", "fehlt", "Regal A5", "3/4/2019", "1.250", "grau"],
    ["HV 332 014", "Relaiss", "9001", "", "Regal B1", "3/4/2019", "1.250", "schwarz"],
    ["HV 332 015", "Relais", "9002", "", "Regal B1", "31/2/2019", "12,50", "=schwarz"],
    ["Summe", "", "", "", "", "", "3.762,50", ""],
]


def page_of(path: Path, name: str = "parts") -> list[list[Any]]:
    return [[cell.value for cell in line] for line in load_workbook(path)[name].iter_rows()]


def mended(path: Path, *cells: tuple[str, Any], name: str = "parts") -> Path:
    book = load_workbook(path)
    for place, value in cells:
        book[name][place] = value
    book.save(path)
    return path


def test_the_workbook_is_the_keepers_own_sheet(desk: Desk) -> None:
    bad = desk.folder / "bad.xlsx"

    report = desk.read(desk.csv(FRIEND), rejects=bad, strict=True)

    assert (report.added, report.refused) == (2, 2)
    lines = page_of(bad)
    assert [[cell or "" for cell in line] for line in lines[:4]] == [
        [*(FRIEND[0] + [""] * 7), "", "", ""],
        [*(FRIEND[1] + [""] * 7), "", "", ""],
        [*FRIEND[2], "", "", ""],
        [*FRIEND[3], "from sheet", "from row", WRONG],
    ]
    assert lines[4][:5] == ["HV 332 014", "Relaiss", "9001", None, "Regal B1"]
    # What only the rest of the column told is written out.
    assert lines[4][5:8] == [datetime(2019, 4, 3), 1250, "schwarz"]
    assert lines[5][5:8] == ["31/2/2019", "12,50", "=schwarz"]
    assert [line[8:10] for line in lines[4:6]] == [["parts", 7], ["parts", 8]]
    assert "relay" in lines[4][10]


def test_the_cell_that_is_wrong_is_marked(desk: Desk) -> None:
    bad = desk.folder / "bad.xlsx"

    desk.read(desk.csv(FRIEND), rejects=bad, strict=True)

    filled = {
        cell.coordinate for line in load_workbook(bad)["parts"].iter_rows() for cell in line if cell.fill.fill_type
    }
    assert filled == {"B5", "F6"}


def test_a_mended_row_arrives_as_it_would_have_at_first(desk: Desk) -> None:
    bad = desk.folder / "bad.xlsx"
    desk.read(desk.csv(FRIEND), rejects=bad, strict=True)

    desk.read(mended(bad, ("B5", "Relais"), ("F6", "28/2/2019")))

    found = {card.line.serial: card for card in map(desk.card, desk.tags())}
    assert found.keys() == {"71-40822", "71-40823", "9001", "9002"}
    came = {serial: card["provenance"][-1] for serial, card in found.items()}
    assert {serial: fact.on for serial, fact in came.items()} == {
        "71-40822": "2019-04-13",
        "71-40823": "2019-04-03",
        "9001": "2019-04-03",
        "9002": "2019-02-28",
    }
    assert [came[serial].values["price"] for serial in ("71-40823", "9001", "9002")] == ["1250", "1250", "12.50"]
    assert found["9002"].line.extra == {"Farbe": "=schwarz"}
    desk.again(bad)


def test_rejects_of_rejects(desk: Desk) -> None:
    first, second = desk.folder / "first.xlsx", desk.folder / "second.xlsx"
    desk.read(desk.csv(FRIEND), rejects=first, strict=True)

    report = desk.read(mended(first, ("B5", "Relais")), rejects=second, strict=True)

    assert (report.added, report.refused) == (1, 1)
    assert [line[0] for line in page_of(second)[4:]] == ["HV 332 015"]
    assert page_of(second)[3].count(WRONG) == 1
    assert page_of(second)[4][8:10] == page_of(first)[5][8:10]  # the row of the first file


def test_what_was_said_for_the_file_need_not_be_said_again(desk: Desk) -> None:
    rows = [["Teil", "Serial", "Price", "Bought on"], ["relay", "1", "12", "3/4/2019"], ["rely", "2", "14", "5/6/2019"]]
    said: dict[str, Any] = {"mapping": {"Teil": "kind"}, "cell_format": CellFormat("day-first"), "currency": "eur"}
    bad = desk.folder / "bad.xlsx"

    report = desk.read(desk.csv(rows), rejects=bad, strict=True, **said)
    again = desk.read(mended(bad, ("A2", "relay")))

    assert (report.added, report.refused) == (1, 1)
    assert any("sheet maps" in remark for remark in report.remarks)
    assert again.added == 1
    facts = [desk.card(tag)["provenance"][-1] for tag in desk.tags()]
    assert {(fact.on, fact.values["price"], fact.values["currency"]) for fact in facts} == {
        ("2019-04-03", "12", "EUR"), ("2019-06-05", "14", "EUR"),
    }  # fmt: skip


def test_each_sheet_of_a_book_comes_back_under_its_name(desk: Desk) -> None:
    book = desk.book(
        shelf=[["kind", "serial"], ["rely", "1"]],
        seals=[["tag", "seal", "state"], ["K0000-0", "cap", "intact"]],
        good=[["kind", "serial"], ["relay", "3"]],
    )
    bad = desk.folder / "bad.xlsx"

    report = desk.read(book, rejects=bad, strict=True)

    assert (report.added, report.refused) == (1, 2)
    assert load_workbook(bad).sheetnames == ["shelf", "seals"]


def test_joined_cells_in_the_head_are_read_the_same_again(desk: Desk) -> None:
    book = Workbook()
    page = book.active
    assert page is not None
    page.title = "stock"
    for row in (
        ["Part", None, "Purchase", None], ["number", "kind", "date", "price EUR"], ["HV 1", "rely", date(2019, 4, 3), 12.5]
    ):  # fmt: skip
        page.append(row)
    page.merge_cells("A1:B1")
    page.merge_cells("C1:D1")
    path, bad = desk.folder / "joined.xlsx", desk.folder / "bad.xlsx"
    book.save(path)

    first = desk.read(path, rejects=bad, strict=True)
    lines = page_of(bad, "stock")
    second = desk.read(mended(bad, (f"B{len(lines)}", "relay"), name="stock"))

    assert (first.refused, second.added) == (1, 1)
    fact = desk.card()["provenance"][-1]
    assert (fact.on, fact.values["price"]) == ("2019-04-03", "12.5")


@pytest.mark.parametrize(
    ("rows", "taken"),
    [
        # the same headers in another order
        ([["Serial", "Ref", "Farbe"], ["7", "HV 1", "grau"]], True),
        # next month's sheet with a column more
        ([["Ref", "Serial", "Farbe", "place", "notes"], ["HV 1", "7", "grau", "B1", "x"]], False),
        ([["Ref", "Serial", "Farbe", "Ecke"], ["HV 1", "7", "grau", "B1"]], False),
        ([["Ref", "Serial"], ["HV 1", "7"]], False),
    ],
)
def test_answers_are_found_again_for_sheets_headed_so(desk: Desk, rows: Sequence[Sequence[str]], taken: bool) -> None:
    desk.read(
        desk.csv([["Ref", "Serial", "Farbe"], ["HV 1", "1", "rot"]]), mapping={"Ref": "part number"}, keep_answers=True
    )

    if taken:
        assert desk.read(desk.csv(rows)).added == 1
    else:
        assert desk.refused(desk.csv(rows)).code == "doubtful-header"


def test_a_wide_sheet_that_has_grown_is_still_known(desk: Desk) -> None:
    head = ["Teil", "Serial", "Farbe", "Lagerort", "Hersteller", "Bemerkung"]
    desk.read(desk.csv([head, ["relay", "1"]]), mapping={"Teil": "kind", "Farbe": "marks"}, keep_answers=True)

    report = desk.read(desk.csv([[*head, "Ecke"], ["relay", "2", "rot", "", "", "", "links"]]))

    assert report.added == 1
    assert report.mapping["Farbe"] == "marks"
    assert any("(sheet_mapping-" in remark for remark in report.remarks)


def test_what_is_said_now_goes_before_what_was_kept(desk: Desk) -> None:
    rows = [["Teil", "Serial", "Farbe"], ["relay", "1", "rot"]]
    desk.read(desk.csv(rows), mapping={"Teil": "kind", "Farbe": "marks"}, keep_answers=True)

    report = desk.read(desk.csv(rows), mapping={"Farbe": "extra"}, keep_answers=True)
    once_more = desk.read(desk.csv(rows))

    assert report.mapping["Farbe"] is None
    assert once_more.mapping == {"Teil": "kind", "Serial": "serial", "Farbe": None}
    assert once_more.unchanged == 1
    with desk.record.read() as session:
        told = facts_of(session, RECORD_THING, superseded=True)
    first, second = (fact for fact in told if fact.id.startswith("sheet_mapping"))
    assert (first.superseded_by, second.superseded_by) == (second.id, None)
    assert verify(desk.record).ok


def test_keeping_the_same_again_writes_nothing(desk: Desk) -> None:
    rows = [["Teil", "Serial"], ["relay", "1"]]
    desk.read(desk.csv(rows), mapping={"Teil": "kind"}, keep_answers=True)
    before = desk.entries()

    desk.read(desk.csv(rows), mapping={"Teil": "kind"}, keep_answers=True)

    assert desk.entries() == before


def test_a_currency_is_said_for_a_file_and_beaten_by_what_the_sheet_says(desk: Desk) -> None:
    rows = [
        ["kind", "serial", "price", "value GBP", "currency", "price currency"],
        ["relay", "1", "10", "20", "", ""],
        ["relay", "2", "10", "", "CHF", ""],
        ["relay", "3", "10", "", "CHF", "SEK"],
    ]
    path = desk.csv(rows)

    refused = desk.refused(path, strict=True)
    desk.read(path, currency="eur")

    assert "--currency" in str(refused.report.problems[0].hint)
    cards = {card.line.serial: card for card in map(desk.card, desk.tags())}
    paid = {serial: card["provenance"][-1].values["currency"] for serial, card in cards.items()}
    assert paid == {"1": "EUR", "2": "CHF", "3": "SEK"}
    assert cards["1"]["values"][-1].values["currency"] == "GBP"
