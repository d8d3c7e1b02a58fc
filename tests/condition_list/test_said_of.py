"""What an item says beyond its identity: marks, description, relation to the car, condition as four answers, class."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from inventory.condition_list import said_of
from inventory.condition_list.evidence_index import with_numbers
from inventory.condition_list.held_on import shown_here
from inventory.condition_list.values import ConditionSeen, Evidence, Item, Run, Statement, Where
from inventory.parts.judgements import Identity

_UNTIL = "2026-06-01"
_SAID = Statement("2026-01-01", None, "2026-01-01", "2026-01-01", "Maud", "seen", "x-1", "2026-01-02")
_NOTHING = dict.fromkeys(("category", "damage", "missing", "trend", "why", "light", "opened", "unseen", "trade_class"))


def _fact(table: str, on: str, key: int = 1, **columns: Any) -> Any:
    shared = {
        "how_known": "seen",
        "table": table,
        "so_from": on,
        "told": None,
        "counts_from": on,
        "ranked": on,
        "id": key,
        "reason": None,
    }
    return SimpleNamespace(**shared, **columns)


def _say(_fact: Any) -> Statement:
    return _SAID


def _look(on: str, key: int = 1, **columns: Any) -> Any:
    return _fact("assessment", on, key, **{**_NOTHING, **columns})


def _run(verdict: str, *, stale: bool = False) -> Run:
    return Run("hold", verdict, "held", _SAID, stale, None, "")


@pytest.mark.parametrize(
    ("sit", "sits"),
    [
        (None, [None, None]),
        ("on the cover", ["on the cover", "on the cover"]),
        ("serial: flange edge; Match code : side of the case", ["flange edge", "side of the case"]),
        ("serial: flange edge", ["flange edge", None]),
        ("two plates: cover and side", ["two plates: cover and side"] * 2),
    ],
)
def test_marks_stand_verbatim_with_where_they_sit(sit: str | None, sits: list[str | None]) -> None:
    part = Identity(kind="pressure sensor", serial=" 0071-4O822", match_code="K")

    found = said_of.marks(part, sit, None)

    assert [(mark.what, mark.text) for mark in found] == [("serial", " 0071-4O822"), ("match code", "K")]
    assert [mark.sits for mark in found] == sits


def test_readings_of_a_letter_that_do_not_fit_stand_there_both() -> None:
    both = "letter: K on 2026-01-01; C on 2026-02-01; open"

    assert said_of.marks(Identity(match_code="K"), None, both)[0].text == both


@pytest.mark.parametrize(
    ("code", "year", "stated", "against"),
    [
        ("22/71", "1969", "original", "cannot be original fitment"),
        ("22/71", "1969", "same type and time", "is not of the car's time"),
        ("22/71", "1969", "later", None),
        ("22/71", "1971", "original", None),
        ("22/71", "about 1970", "original", None),  # may be a car of 1971 or later
        ("A7", "1969", "original", None),
        (None, "1969", "original", None),
        ("22/71", None, "original", None),
    ],
)
def test_a_date_code_later_than_the_car_speaks_against_original(
    code: str | None, year: str | None, stated: str, against: str | None
) -> None:
    facts = {"relation": [_fact("relation", "2026-01-01", car_id=3, relation=stated, says="build sheet")]}

    found = said_of.relation(facts, _UNTIL, code, {3: "Green tourer"}, {3: year} if year else {}, _say)

    assert found is not None
    assert (found.relation, found.car, found.says) == (stated, "Green tourer", "build sheet")
    assert (against is None and found.against is None) or (against or "") in (found.against or "")


def test_original_to_two_cars_is_said() -> None:
    stated = [_fact("relation", f"2026-0{n}-01", n, car_id=n, relation="original", says=None) for n in (1, 2)]

    found = said_of.relation({"relation": stated}, _UNTIL, None, {1: "Green tourer", 2: "Grey saloon"}, {}, _say)

    assert found is not None
    assert (found.car, found.against) == ("Grey saloon", "also stated as original to Green tourer")


def test_a_later_word_on_class_or_completeness_does_not_hide_the_look() -> None:
    told = [
        _look("2026-01-01", 1, category=2, damage="one stud bent", light="daylight"),
        _look("2026-02-01", 2, missing="one grommet"),
        _look("2026-03-01", 3, trade_class="rebuildable core", trend="getting worse"),
    ]

    looks = said_of.condition(told, _say)

    assert looks is not None
    assert (looks.category, looks.damage, looks.light) == (2, "one stud bent", "daylight")
    assert said_of.completeness(looks) == "missing: one grommet"
    assert said_of.stability(looks, told) == "getting worse"
    assert said_of.trade_class({"assessment": told}, _UNTIL, looks, _run("pass")) == "rebuildable core"


@pytest.mark.parametrize(
    ("missing", "says"),
    [
        (None, "not known"),
        ("none", "complete"),
        ("ohne", "complete"),
        ("?", "not known"),
        ("a stud", "missing: a stud"),
    ],
)
def test_complete_is_a_finding_and_empty_is_not(missing: str | None, says: str) -> None:
    assert said_of.completeness(ConditionSeen(0, None, missing, None, _SAID)) == says
    assert said_of.completeness(None) == "not known"


def test_two_classes_that_differ_show_how_it_went() -> None:
    told = [_look("2024-01-01", 1, category=1), _look("2026-01-01", 2, category=2)]

    assert said_of.stability(said_of.condition(told, _say), told) == "class 1 on 2024-01-01, class 2 on 2026-01-01"
    assert said_of.stability(said_of.condition(told[:1], _say), told[:1]) == "not known"


_OFF = _fact("removal", "2026-02-01", car_id=3)


@pytest.mark.parametrize(
    ("stated", "on_cars", "works", "says"),
    [
        (None, [], None, "not known"),
        (None, [], _run("pass"), "not known"),  # a new one can be tested as well
        (None, [_OFF], None, "used, untested"),
        ("used", [], _run("pass"), "used, tested by hold"),
        ("used", [], _run("fail"), "used, tested by hold: failed"),
        ("used", [], _run("pass", stale=True), "used, untested"),
        ("new old stock", [], _run("pass"), "new old stock"),
        ("new old stock", [_OFF], None, "used, untested"),  # on a car after it was called new
        ("scrap", [_OFF], _run("pass"), "scrap"),
    ],
)
def test_class_of_the_trade(stated: str | None, on_cars: list[Any], works: Run | None, says: str) -> None:
    looks = said_of.condition(told := [_look("2026-01-01", trade_class=stated)], _say)

    assert said_of.trade_class({"assessment": told, "removal": on_cars}, _UNTIL, looks, works) == says


def test_history_is_one_line_without_names() -> None:
    bought = _fact("provenance", "1998~", how="bought", attribution="said by seller", due=None, party_id=9)
    bought.counts_from = bought.ranked = "1998-12-31"
    facts = {
        "provenance": [
            _fact("provenance", "2026-03-01", 2, how="sent out", attribution="seen by us", due="2026-05-01"),
            bought,
            _fact("provenance", "2026-07-01", 3, how="came back", attribution="seen by us", due=None),
        ],
        "removal": [_OFF],
    }

    assert said_of.history(facts, _UNTIL, {3: "Green tourer"}) == (
        "bought 1998~ (said by seller); came off Green tourer 2026-02-01; sent out 2026-03-01, due back 2026-05-01"
    )


def test_nothing_says_that_it_was_here() -> None:
    later, value = _fact("marking", "2026-07-01"), _fact("valuation", "2020-01-01")

    assert not shown_here({"marking": [later], "valuation": [value]}, _UNTIL)
    assert shown_here({"marking": [later], "move": [_fact("move", "2026-05-01")]}, _UNTIL)
    assert shown_here({"marking": [later], "removal": [_fact("removal", "2026-07-02", car_id=3)]}, _UNTIL)  # was on it


def test_a_document_has_one_number_over_the_whole_list() -> None:
    def item(number: int, *papers: tuple[str, str, int]) -> Item:
        evidence = [Evidence(name, shows, True, "ab", _SAID, "image/jpeg", size) for name, shows, size in papers]
        known: dict[str, Any] = dict.fromkeys(("last_seen", "condition", "works", "came_when", "value"))
        where = Where("loose", "loose", None, None)
        said = {"kind": "relay", "whose": "own", "holder": "own", "came": "", "heading": "counted", "why": ""}
        listed: dict[str, Any] = {"number": number, "tag": f"T{number}", "where": where, "counted_in_total": True}
        return Item(**said, **listed, **known, evidence=tuple(evidence))

    items, index = with_numbers(
        [
            item(1, ("document-7", "whole", 412_300), ("document-3", "marking", 999_600)),
            item(2),
            item(3, ("document-7", "damage", 412_300)),
        ]
    )

    assert [each.evidence_numbers for each in items] == [(1, 2), (), (1,)]
    assert [(each.number, each.id, each.kind, each.extent, each.items) for each in index] == [
        (1, "document-7", "whole, damage", "412 kB", (1, 3)),
        (2, "document-3", "marking", "1 MB", (1,)),
    ]
