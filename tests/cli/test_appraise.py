"""`appraise`: the contract's keys, no record needed, nothing written, and the message alone with --ask."""

from __future__ import annotations

import re
from pathlib import Path

from tests.cli.conftest import NEVER, Shop
from tests.cli.test_contract import NUMBER, reasons_hold, typed

OFFER = (
    *("appraise", "--kind", "pressure sensor", "--part-number", "HV 204 118", "--price", "280", "--carriage", "25"),
    *("--currency", "EUR", "--worth", "850", "--repair", "400", "--core", "90", "--claim", "tested"),
    *("--seal", "cap=intact", "--match-code", "K"),
)


def test_the_contracts_own_offer(file_shop: Shop) -> None:
    found = file_shop.ok(*OFFER)

    typed(found, p_serviceable=NUMBER, expected_worth=str, highest_sensible_price=str, currency=str, next_tests=list)
    assert all(isinstance(question, str) for question in found["ask_seller"]) and found["ask_seller"]
    reasons_hold(found["reasons"])
    for amount in (found["expected_worth"], found["highest_sensible_price"]):
        assert re.fullmatch(r"\d+\.\d\d", amount)


def test_next_tests_name_what_they_are_worth_and_cost(file_shop: Shop) -> None:
    found = file_shop.ok(*OFFER[:-8], "--price", "480", "--repair", "840", "--return")

    assert found["verdict"] == "buy to test"
    for test in found["next_tests"]:
        typed(test, test=str, value=str, cost=str, where=str, p_pass=NUMBER)
        assert re.fullmatch(r"\d+\.\d\d", test["value"])


def test_it_needs_no_record_and_makes_none(file_shop: Shop, tmp_path: Path) -> None:
    nowhere = tmp_path / "nowhere" / "none.db"

    said = file_shop.bare("--record", str(nowhere), *OFFER)

    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("yes at EUR 280, highest sensible price about EUR ")
    assert not nowhere.parent.exists()


def test_it_writes_nothing_where_there_is_one(shop: Shop) -> None:
    before = shop.entries()

    shop.ok(*OFFER)

    assert shop.entries() == before


def test_ask_prints_the_message_and_nothing_else(file_shop: Shop) -> None:
    said = file_shop.text(*OFFER, "--ask")

    assert said.startswith("Hello,\n")
    assert said.rstrip("\n") == file_shop.ok(*OFFER)["message"]
    assert not NEVER.search(said)


def test_the_plain_answer_says_what_to_give_when_the_answer_comes(file_shop: Shop) -> None:
    said = file_shop.text(*OFFER)

    assert '  hold: --claim "hold passed=film"' in said
    assert "  letter: --match-code K=picture" in said


def test_an_answer_fed_back_moves_the_price(file_shop: Shop) -> None:
    before, passed, fell = (
        float(file_shop.ok(*OFFER, *more)["highest_sensible_price"])
        for more in ((), ("--claim", "hold passed=film"), ("--claim", "hold not passed=film"))
    )

    assert fell < before < passed


def test_what_cannot_stand_is_refused(file_shop: Shop) -> None:
    assert file_shop.refused(*OFFER, "--claim", "hold passed=telegram")["code"] == "unknown-proof"
    assert file_shop.refused(*OFFER[:-8], "--core", "900")["code"] == "core-above-worth"
    assert file_shop.refused("appraise", "--kind", "relay", status=2)["code"] == "command-misused"
