"""Should I buy it? An offer told answer by answer, judged as far as it is told, and the message to the seller."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.appraisal.queries import offers_kept
from inventory.store.record import Record
from inventory.verification import verify
from tui.offer import QUESTIONS, OfferAnswers

TOLD = ["pressure sensor", "HV 204 118", "280", "EUR", "25", "850", "", "90"]


def test_several_answers_are_taken_until_an_empty_one_and_taken_off_singly() -> None:
    asked = OfferAnswers(at=next(place for place, each in enumerate(QUESTIONS) if each.key == "claims"))

    two = asked.answered("tested").answered("runs well")
    one = two.back()

    assert two.as_offer()["claims"] == ("tested", "runs well")
    assert one is not None
    assert one.as_offer()["claims"] == ("tested",)
    assert two.answered("").question == QUESTIONS[asked.at + 1]


@pytest.mark.parametrize("size", [(80, 24), (160, 50), (60, 30)])
def test_an_offer_is_judged_while_it_is_told_and_nothing_is_written(
    browse: Any, record: Record, size: tuple[int, int]
) -> None:
    before = verify(record).entries

    async def walked(walk: Any) -> None:
        walk.frame.go_to("offer")
        await walk.settle()
        for answer in TOLD[:5]:
            await walk.answer(answer)
        assert "highest sensible price" not in walk.text()
        for answer in TOLD[5:]:
            await walk.answer(answer)
        assert "highest sensible price" in " ".join(walk.text().split())
        for answer in ("tested", "", "cap=intact=picture", "", "K", "2"):
            await walk.answer(answer)
        await walk.press("enter")
        assert "Message for the seller" in walk.text()

    browse(walked, size)
    assert verify(record).entries == before


def test_one_word_after_the_last_question_keeps_the_offer(browse: Any, record: Record) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("offer")
        await walk.settle()
        for answer in (*TOLD, "tested", "", "", "K", "2", "keep"):
            await walk.answer(answer)
        await walk.settle()
        assert "Kept as offer_seen-1" in walk.said

    browse(walked)
    with record.read() as session:
        (kept,) = offers_kept(session)
    assert (kept.values["price"], kept.values["claims"], kept.values["outcome"]) == ("280", "tested", "open")


def test_what_cannot_stand_stays_on_the_line(browse: Any) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("offer")
        await walk.settle()
        await walk.answer("relais")
        assert "relay?" in walk.said
        assert walk.frame.line.value == "relais"
        await walk.press("escape")
        await walk.answer("")
        assert walk.said == "Answer this first: the appraisal needs it."

    browse(walked)
