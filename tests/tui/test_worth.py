"""Worth: totals, what is due, the dearest first with what they lack; from a line to the card, where a value is noted."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.appraisal.actions import Told, keep_offer
from inventory.appraisal.typed_offer import read_offer
from inventory.condition_list.load_worth import worth
from inventory.reference.data import PROGRAM
from inventory.store.record import Record
from inventory.valuation.actions import note_value
from tests.tui.conftest import write


@pytest.mark.parametrize("size", [(80, 24), (60, 30)])
def test_worth_opens_with_totals_and_leads_to_a_card_where_a_value_is_noted(
    browse: Any, record: Record, shop: dict[str, str], size: tuple[int, int]
) -> None:
    write(record, note_value, shop["sensor"], "850", "EUR", source="two sale results")

    async def walked(walk: Any) -> None:
        walk.frame.go_to("worth")
        await walk.settle()
        assert "EUR 850.00 counted" in walk.text()
        assert "1 Should I buy it?" in walk.text()
        assert "Offers seen: none kept yet" in walk.text()
        dearest = [row for row in walk.view._rows.source.items if getattr(row, "tag", "") == shop["sensor"]]
        assert dearest[-1].says.startswith(f"{shop['sensor']}  EUR 850  no paper, no picture  pressure sensor, ")
        await walk.press("down", "down")
        tag = walk.view.part_tag()
        assert tag not in (None, shop["sensor"])
        await walk.press("enter")
        assert "[Worth]" in walk.text()
        assert 'none noted. A list will say "no value stated", never 0.' in " ".join(walk.text().split())
        await walk.answer("2")
        for answer in ("12", "", "replacement", ""):
            await walk.answer(answer) if answer else await walk.press("enter")
        assert "EUR 12, replacement. Ctrl+Z takes it back." in walk.said
        await walk.press("escape")
        assert "Worth: market value" in walk.text()
        await walk.answer("repl")
        assert "EUR 12.00 counted" in walk.text()

    browse(walked, size)
    with record.read() as session:
        assert worth(session, "replacement").totals.counted == {"EUR": "12.00"}


def test_an_offer_seen_is_told_over_the_whole_width(browse: Any, record: Record, shop: dict[str, str]) -> None:
    for price in ("200", "250"):
        told = Told(serial="71-40822")
        write(record, keep_offer, read_offer("relay", price, "EUR", "800", PROGRAM), told)

    async def walked(walk: Any) -> None:
        walk.frame.go_to("offers seen")
        await walk.settle()
        assert "this serial was offered before, on " in walk.text()

    browse(walked)


def test_an_amount_that_cannot_be_is_refused_at_its_question(browse: Any, record: Record, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("note value", shop["sensor"])
        await walk.settle()
        for answer, says in (
            ("much", "in digits"),
            ("850.005", ""),
            ("EUR", "has 2 decimals"),
            ("QQQ", "not a currency"),
        ):
            await walk.answer(answer)
            assert says in walk.said
            walk.frame.line.put("")
        await walk.press("escape")
        await walk.answer("850 eur")
        await walk.answer("agreed")
        await walk.answer("letter of the insurer")
        assert "counts as proposed" in walk.said

    browse(walked)


def test_an_empty_record_says_what_a_list_will_say(browse: Any, record: Record) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("worth")
        await walk.settle()
        assert 'No value noted. A list will say "no value stated", never 0.' in walk.text()
        await walk.answer("2")
        assert "No offer was kept." in walk.text()
        await walk.press("enter")
        await walk.answer("buy")
        assert "Should I buy it?" in walk.text()

    browse(walked)
