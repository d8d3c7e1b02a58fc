"""A file read again changes nothing, tomorrow, next month and next year too; and next month's version changes what it says."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from inventory.store.days import clock
from inventory.verification import verify
from tests.sheets.conftest import Desk

LATER = (1, 31, 400)
PART = ["pressure sensor", "Ostrell", "HV 204 118", "71-40822"]
NAMED = ["maker", "part number", "serial"]
#: Each sheet with as little said as it takes, so that what is left out is filled by default.
SHEETS: dict[str, list[list[str]]] = {
    "parts": [
        ["kind", *NAMED, "price", "price currency", "value", "value currency", "date code", "seal state", "place"],
        [*PART, "10", "EUR", "850", "EUR", "22/71", "intact", "B2"],
        ["relay", "", "HV 332 014", "", "", "", "", "", "", "", "B2"],
        ["relay", "", "HV 332 014", "", "", "", "", "", "", "", "B2"],
    ],
    "seals": [[*NAMED, "seal", "state"], [*PART[1:], "cap", "intact"]],
    "values": [[*NAMED, "amount", "currency"], [*PART[1:], "850", "EUR"]],
    "provenance": [[*NAMED, "how"], [*PART[1:], "bought"]],
    "runs": [[*NAMED, "procedure", "readings"], [*PART[1:], "hold", "0s=50cmHg; 10s=48cmHg"]],
    "fits": [["sensor part number", "unit part number"], ["HV 204 118", "HV 310 007"]],
    "positions": [["car", "order", "position"], ["Green tourer", "1", "inner wing"]],
}


def pass_days(monkeypatch: pytest.MonkeyPatch, days: int) -> None:
    then = clock.now() + timedelta(days=days)
    monkeypatch.setattr(clock, "now", lambda: then)


@pytest.mark.parametrize("name", SHEETS)
def test_read_again_on_a_later_day(desk: Desk, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    desk.read(desk.csv(SHEETS["parts"]))
    sheet = desk.csv(SHEETS[name], "facts.csv")
    desk.read(sheet)

    for days in LATER:
        pass_days(monkeypatch, days)
        desk.again(sheet)

    assert verify(desk.record).problems == ()


def test_all_sheets_in_one_book(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    sheets: Any = SHEETS
    book = desk.book(**sheets)
    desk.read(book)

    pass_days(monkeypatch, 1)

    desk.again(book)


def test_next_months_version_changes_what_it_says_and_keeps_what_was_said(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    head, sensor, *relays = SHEETS["parts"]
    desk.read(desk.csv([head, sensor, *relays]))
    pass_days(monkeypatch, 31)
    changed = [*sensor[:6], "900", *sensor[7:9], "missing", "C1"]

    report = desk.read(desk.csv([head, changed, *relays, ["relay", "", "", "9009", *[""] * 7]]))

    assert (report.added, report.changed, report.unchanged) == (1, 1, 2)
    (row,) = [row for row in report.rows if row.verdict == "changed"]
    assert [(each.column, each.old, each.new) for each in row.changes] == [
        ("seal state", "intact", "missing"), ("place", "B2", "C1"), ("value", "EUR 850", "EUR 900"),
    ]  # fmt: skip
    card = next(card for card in map(desk.card, desk.tags()) if card.line.serial == "71-40822")
    assert (card.line.seal_state, card.line.place) == ("missing", "C1")
    assert [fact.values["state"] for fact in card["seals"]] == ["intact", "missing"]
    assert [fact.values["amount"] for fact in card["values"]] == ["850", "900"]  # each said of its own day
    assert desk.read(desk.csv([head, changed, *relays])).unchanged == 3  # one row is gone, which is noted
