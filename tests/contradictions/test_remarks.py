"""A date code after the car's year of make, and one serial on two parts: named at every door, lowering nothing."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.contradictions.date_codes import last_year_of, made_in
from inventory.opening import open_record
from tests.contradictions.test_every_door import item, today
from tui.data.card import card_of


@pytest.mark.parametrize(
    ("code", "year"),
    [("22/71", 1971), ("71-22", 1971), ("5/1971", 1971), ("7.68", 1968), ("1971 22", 1971)]
    + [(code, None) for code in ("51/52", "2271", "K22/71", "22/07", "60/71", "??/71", "label gone", "022/71")],
)
def test_the_year_in_a_date_code(code: str, year: int | None) -> None:
    assert made_in(code) == year


@pytest.mark.parametrize(
    ("made", "year"), [("1972", 1972), ("about 1972", 1972), ("1971/1972", 1972), ("197X", 1979), ("1972/..", None)]
)
def test_the_last_year_that_a_cars_year_can_mean(made: str, year: int | None) -> None:
    assert last_year_of(made) == year


def test_a_date_code_after_the_car(shop: Any) -> None:
    shop.ok("car", "add", "Tourer", "--year", "1972")
    shop.ok("teardown", "begin", "Tourer", "--on", "2025-01-02")
    words = ("--kind", "relay", "--position", "wall", "--date-code")
    younger = shop.ok("teardown", "log", *words, "22/74", "--on", "2025-01-02")["part"]["tag"]
    same = shop.ok("teardown", "log", "--kind", "relay", "--position", "cowl", "--date-code", "22/72")["part"]["tag"]
    (remark,) = shop.ok("contradictions", "--all")["remarks"]
    assert (remark["thing"], remark["about"], remark["settle"]) == (younger, "date code", [])
    assert remark["says"] == (
        "date code: 22/74 on 2025-01-02; came off Tourer (made 1972) on 2025-01-02; "
        "the part was made in 1974, after the car"
    )
    assert shop.ok("contradictions", same, "--all")["remarks"] == []
    assert [each["about"] for each in shop.ok("part", "show", younger)["contradictions"]] == ["date code"]
    assert shop.ok("contradictions")["contradictions"] == []
    assert remark["says"] in item(shop, younger)["remarks"]
    assert item(shop, younger)["contradictions"] == []
    assert today(shop) == []
    assert on_browsers_card(shop, younger) == [remark["says"]]


def test_one_serial_twice_names_both_tags(shop: Any) -> None:
    first = shop.part(part_number="HV 204 118", serial="71-40822", on="2025-01-02")
    second = shop.part(part_number="HV204118", serial="71 40822", on="2025-02-02")
    shop.part(part_number="HV 204 119", serial="71-40822")
    shop.part("control unit", part_number="HV 204 118", serial="71-40822")
    says = (
        f"serial twice: {first} has 71-40822 on 2025-01-02; {second} has 71 40822 on 2025-02-02; "
        "a serial is misread, or one part has two tags"
    )
    (remark,) = shop.ok("contradictions", "--all")["remarks"]
    assert remark["says"] == says
    for tag in (first, second):
        assert [each["says"] for each in shop.ok("part", "show", tag)["contradictions"]] == [says]
        assert says in item(shop, tag)["remarks"]
    assert shop.ok("contradictions", "--all", "--as-of", "2025-01-03")["remarks"] == []
    shop.ok("part", "describe", second, "--serial", "71-40823")
    assert shop.ok("contradictions", "--all")["remarks"] == []


def on_browsers_card(shop: Any, tag: str) -> list[str]:
    record = open_record(shop.target)
    with record.read() as session:
        trust = card_of(session, tag).sections[1]
    record.close()
    return [entry.says for entry in trust.entries if entry.name == "Does not fit"]
