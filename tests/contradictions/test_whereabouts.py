"""Two places, two parts at one position, gone and here: what does not fit, at every door, and what settles it."""

from __future__ import annotations

import itertools
import random
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.contradictions.positions import at_one_position
from inventory.contradictions.whereabouts import Whereabouts, whereabouts_of
from tests.contradictions.test_every_door import grade, item, pair, sound, today

__all__ = ["pair"]

_numbers = itertools.count(1)
_DAYS = [f"2026-01-{day:02d}" for day in range(1, 10)]


def fact(table: str, on: str, says: str = "", how_known: str = "seen", part: int = 1, **values: Any) -> Any:
    number = next(_numbers)
    moment = f"2027-01-01T10:{number // 60 % 60:02d}:{number % 60:02d}.{number:06d}"
    days = {"counts_from": on, "so_from": on, "earliest": on, "latest": on, "ranked": moment, "recorded": moment}
    spot = {"car_id": None, "position_id": None, "strip_down_id": None, "override": None, "car": "", "position": ""}
    shared = {"id": number, "thing_id": part, "tag": f"part {part}", "table": table, "says": says}
    return SimpleNamespace(**shared, how_known=how_known, **{**days, **spot, **values})


def fitted(on: str, car: int = 1, position: int = 1, **more: Any) -> Any:
    return fact("fitting", on, car_id=car, position_id=position, car=f"car {car}", position="Wing", **more)


def off(on: str, car: int = 1, position: int = 1, **more: Any) -> Any:
    return fact("removal", on, car_id=car, position_id=position, car=f"car {car}", position="Wing", **more)


def settled(on: str, answer: str, about: str = "whereabouts", part: int = 1, paper: int | None = None) -> Any:
    made = fact("settlement", on, "", "stated", part)
    return SimpleNamespace(**vars(made), about=about, answer=answer, why=None, document_id=paper)


def stands(found: Whereabouts) -> str:
    if not found.contradictions:
        return ""
    (one,) = found.contradictions
    return "remark" if one.remark else "by word" if one.settled else "put off" if one.put_off else "open"


@pytest.mark.parametrize(
    ("facts", "settlements", "ought"),
    [
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2)], [], "open"),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], position=2)], [], "open"),
        ([fitted(_DAYS[0]), fitted(_DAYS[1])], [], ""),
        ([fitted(_DAYS[0]), off(_DAYS[1]), fitted(_DAYS[2], car=2)], [], ""),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2), off(_DAYS[1])], [], "open"),
        ([fitted(_DAYS[0]), off(_DAYS[1], car=2)], [], "open"),
        ([off(_DAYS[0]), off(_DAYS[1], car=2)], [], ""),
        ([off(_DAYS[0]), off(_DAYS[0], car=2)], [], "open"),
        ([fitted(_DAYS[0]), fact("move", _DAYS[1], "shelf")], [], "open"),
        ([fact("move", _DAYS[0], "shelf"), fitted(_DAYS[1])], [], ""),
        ([fact("move", _DAYS[0], "shelf"), fact("move", _DAYS[1], "box")], [], ""),
        ([fitted(_DAYS[0]), fact("move", _DAYS[1])], [], ""),
        ([fact("provenance", _DAYS[0], "sold"), fact("seal_sighting", _DAYS[1], "looked at")], [], "open"),
        ([fact("provenance", _DAYS[0], "sold"), fact("seal_sighting", _DAYS[0], "looked at")], [], ""),
        ([fact("seal_sighting", _DAYS[0], "looked at"), fact("provenance", _DAYS[1], "sold")], [], ""),
        (
            [
                fact("provenance", _DAYS[0], "lost"),
                fact("provenance", _DAYS[1], "found"),
                fact("bench_run", _DAYS[1], "hold"),
            ],
            [],
            "",
        ),
        ([fitted(_DAYS[0]), fact("provenance", _DAYS[1], "sold")], [], ""),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2, how_known="from a sheet")], [], "remark"),
        ([fitted(_DAYS[0], how_known="from a sheet"), fact("move", _DAYS[1], "shelf")], [], "remark"),
        (
            [fact("provenance", _DAYS[0], "sold", how_known="said by seller"), fact("bench_run", _DAYS[1], "hold")],
            [],
            "remark",
        ),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2, override="borrowed for a day")], [], "by word"),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2)], [settled(_DAYS[2], "moved between")], "by word"),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2)], [settled(_DAYS[2], "mine was wrong", paper=3)], ""),
        ([fitted(_DAYS[0]), fitted(_DAYS[1], car=2)], [settled(_DAYS[2], "cannot be settled now")], "put off"),
        ([fitted(_DAYS[0]), fitted(_DAYS[3], car=2)], [settled(_DAYS[2], "moved between")], "open"),
        (
            [fact("provenance", _DAYS[0], "sold"), fact("bench_run", _DAYS[1], "a"), fact("bench_run", _DAYS[4], "b")],
            [settled(_DAYS[2], "cannot be settled now")],
            "put off",
        ),
        (
            [fitted(_DAYS[0]), fitted(_DAYS[1], car=2), fitted(_DAYS[4], car=3)],
            [settled(_DAYS[2], "cannot be settled now")],
            "open",
        ),
    ],
)
def test_what_does_not_fit_about_where_a_part_is(facts: list[Any], settlements: list[Any], ought: str) -> None:
    assert stands(whereabouts_of(facts, settlements)) == ought
    assert stands(whereabouts_of(facts[::-1], settlements)) == ought


def test_which_fact_counts_after_each_answer() -> None:
    one, two = fitted(_DAYS[0]), fitted(_DAYS[1], car=2)
    for answer, wrong, ended in (
        ("the earlier look was wrong", one, None),
        ("mine was wrong", two, None),
        ("moved between", None, one),
    ):
        found = whereabouts_of([one, two], [settled(_DAYS[2], answer)])
        assert found.wrong == frozenset({f"fitting-{wrong.id}"} if wrong else ())
        assert found.ended == frozenset({f"fitting-{ended.id}"} if ended else ())


def test_moved_between_three_places_leaves_it_at_the_last_only() -> None:
    one, two, shelf = fitted(_DAYS[0]), fitted(_DAYS[1], car=2), fact("move", _DAYS[2], "shelf")
    found = whereabouts_of([one, two, shelf], [settled(_DAYS[3], "moved between")])
    assert found.ended == {f"fitting-{one.id}", f"fitting-{two.id}"}
    assert found.until == {f"fitting-{one.id}": _DAYS[1], f"fitting-{two.id}": _DAYS[2]}
    looked = fact("seal_sighting", _DAYS[1], "looked at"), fact("bench_run", _DAYS[2], "hold")
    found = whereabouts_of(
        [fact("provenance", _DAYS[0], "sold"), *looked], [settled(_DAYS[3], "the earlier look was wrong")]
    )
    assert len(found.wrong) == 1, "looks after the sale stay"


def test_an_earlier_fitting_called_wrong_by_word_stays_in_view() -> None:
    one, two = fitted(_DAYS[0]), fitted(_DAYS[1], part=2)
    wrong = settled(_DAYS[2], "the earlier look was wrong", f"position wing, fitting-{one.id}")
    assert there(one, two, settlements=(wrong,)) == ["by word"]
    third = fitted(_DAYS[3], part=3)
    assert there(one, two, third, settlements=(wrong,)) == ["by word", "open"]
    wrong.document_id = 7
    assert there(one, two, settlements=(wrong,)) == []


def test_that_the_second_part_came_off_later_settles_no_two_at_one_position() -> None:
    first, second, elsewhere = fitted(_DAYS[0]), fitted(_DAYS[1], part=2), fitted(_DAYS[2], car=2, position=5, part=2)
    moved = settled(_DAYS[3], "moved between", part=2)
    assert there(first, second, elsewhere, settlements=(moved,)) == ["open"]


def test_what_came_off_and_went_back_on_that_day_is_still_there_for_the_next() -> None:
    came_off, back_on = off(_DAYS[0]), fitted(_DAYS[0])
    assert there(came_off, back_on, fitted(_DAYS[0], part=2)) == ["open"]
    assert there(came_off, back_on, off(_DAYS[0]), fitted(_DAYS[0], part=2)) == []


def there(*facts: Any, settlements: tuple[Any, ...] = ()) -> list[str]:
    parts = {each.thing_id for each in facts}
    where = {
        part: whereabouts_of(
            [each for each in facts if each.thing_id == part], [each for each in settlements if each.thing_id == part]
        )
        for part in parts
    }
    found = at_one_position(1, facts, where, settlements)
    return ["remark" if each.remark else "by word" if each.settled else "open" for each in found]


def test_two_parts_at_one_position() -> None:
    first, second = fitted(_DAYS[0]), fitted(_DAYS[2], part=2)
    assert there(first, second) == ["open"]
    assert there(first, off(_DAYS[1]), second) == []
    assert there(first, off(_DAYS[2]), second) == [], "on one day it may have come off before"
    assert there(first, off(_DAYS[3]), second) == ["open"]
    assert there(first, fitted(_DAYS[1], car=2, position=5), second) == [], "it is in two places, not two at one"
    assert there(first, fact("provenance", _DAYS[1], "sold"), second) == []
    assert there(first, off(_DAYS[1], part=2)) == ["open"]
    assert there(off(_DAYS[0], strip_down_id=1), off(_DAYS[0], part=2, strip_down_id=1)) == ["open"]
    assert there(off(_DAYS[0], strip_down_id=1), off(_DAYS[1], part=2, strip_down_id=2)) == []
    assert there(first, fitted(_DAYS[2], part=2, how_known="from a sheet")) == ["remark"]
    mended = settled(_DAYS[3], "moved between", f"position wing, fitting-{first.id}")
    assert there(first, second, settlements=(mended,)) == ["by word"]
    mended.document_id = 1
    assert there(first, second, settlements=(mended,)) == []


_FACTS = st.lists(
    st.sampled_from(
        ["fit 1", "fit 2", "off 1", "off 2", "move", "sold", "came back", "found again", "look", "sheet 2"]
    ),
    min_size=1,
    max_size=7,
)


@given(_FACTS, st.sampled_from(["moved between", "mine was wrong", "the earlier look was wrong", ""]), st.randoms())
def test_the_order_of_recording_does_not_matter(words: list[str], answer: str, order: random.Random) -> None:
    def made(days: list[tuple[str, str]]) -> Any:
        facts, settling = [], []
        for on, word in days:
            what, _, car = word.partition(" ")
            if word == answer:
                settling.append(settled(on, word))
            elif what in ("fit", "off", "sheet"):
                known = "from a sheet" if what == "sheet" else "seen"
                facts.append((off if what == "off" else fitted)(on, car=int(car), how_known=known))
            else:
                table = {"move": "move", "look": "bench_run"}.get(word, "provenance")
                facts.append(fact(table, on, word))
        found = whereabouts_of(facts, settling)
        return [(each.found, each.settle, each.settled) for each in found.contradictions], len(found.wrong)

    dated = list(zip(_DAYS, [*words, answer] if answer else words, strict=False))
    shuffled = list(dated)
    order.shuffle(shuffled)
    assert made(dated) == made(shuffled)


def test_a_sensor_on_two_cars_at_every_door(shop: Any, pair: tuple[str, str]) -> None:
    sensor, unit = pair
    shop.ok("seal", "note", sensor, "--seal", "cap", "--state", "intact", "--on", "2025-01-02")
    for car in ("Green tourer", "Blue coupe"):
        shop.ok("car", "add", car)
    assert grade(shop, unit) == "confirmed"
    shop.ok("refit", "fit", sensor, "--car", "Green tourer", "--position", "inner wing", "--on", "2025-02-01")
    said = shop.run("refit", "fit", sensor, "--car", "Blue coupe", "--position", "bulkhead", "--on", "2025-03-01")
    whole = "fitted to Green tourer, inner wing on 2025-02-01; fitted to Blue coupe, bulkhead on 2025-03-01"
    assert (said.status, said.err.count(f"{sensor}, whereabouts: {whole}")) == (0, 1)
    assert shop.card(sensor)["contradictions"][0]["about"] == "whereabouts"
    assert "whereabouts: open" in shop.text("part", "show", sensor)
    assert grade(shop, unit) == "possible"
    assert "its whereabouts count as open" in str(shop.ok("pairs", unit)) and whole not in str(shop.ok("pairs", unit))
    listed = item(shop, sensor)
    assert (listed["where"]["state"], listed["heading"]) == ("open", "whereabouts open")
    assert whole in listed["where"]["says"]
    assert next(gap["says"] for gap in shop.ok("condition-list")["gaps"] if gap["tag"] == sensor).startswith(
        "whereabouts"
    )
    assert today(shop) == [f"Does not fit: {sensor}, whereabouts: {whole}"]
    before = shop.card(sensor)["car"], grade(shop, unit)
    taken = shop.ok("contradictions", "settle", sensor, "whereabouts", "--answer", "mine was wrong")["fact"]
    assert (shop.card(sensor)["car"], grade(shop, unit), today(shop)) == ("Green tourer", "confirmed", [])
    shop.ok("fact", "withdraw", taken, "--reason", "too soon")
    assert (shop.card(sensor)["car"], grade(shop, unit)) == before
    sound(shop)


def test_two_parts_at_one_position_are_settled_by_the_car(shop: Any, pair: tuple[str, str]) -> None:
    sensor, _ = pair
    other = shop.part(part_number="HV 204 118", match_code="K", on="2025-01-02")
    shop.ok("car", "add", "Green tourer")
    for tag, on in ((sensor, "2025-02-01"), (other, "2025-03-01")):
        shop.ok("refit", "fit", tag, "--car", "Green tourer", "--position", "Inner wing", "--on", on)
    (found,) = shop.ok("contradictions", "green tourer")["contradictions"]
    assert (found["thing"], found["about"]) == ("Green tourer", "position inner wing")
    assert shop.ok("car", "show", "Green tourer")["contradictions"][0]["about"] == "position inner wing"
    assert shop.ok("contradictions")["contradictions"] == [found], "once, though it is on two cards"
    for tag in (sensor, other):
        assert [each["about"] for each in shop.card(tag)["contradictions"]] == ["position inner wing"]
    shop.ok("contradictions", "settle", "Green tourer", "inner wing", "--answer", "moved between")
    assert (shop.card(sensor)["fitted"], shop.card(other)["fitted"]) == (False, True)
    assert shop.ok("contradictions")["contradictions"] == []
    assert "settled by word only: moved between" in shop.text("car", "show", "Green tourer")
    assert shop.refused("contradictions", "Grey tourer")["code"] == "unknown-car"
    sound(shop)


def test_a_sold_part_that_is_here_is_on_the_list_and_out_of_the_total(shop: Any, pair: tuple[str, str]) -> None:
    sensor, unit = pair
    shop.ok("provenance", "note", sensor, "--how", "sold", "--on", "2025-02-01")
    assert (shop.ok("pairs")["pairs"], shop.ok("pairs", unit)["pairs"]) == ([], [])
    assert not [each for each in shop.ok("condition-list")["items"] if each["tag"] == sensor]
    shop.ok("seal", "note", sensor, "--seal", "cap", "--state", "intact", "--on", "2025-03-01")
    assert (item(shop, sensor)["where"]["state"], item(shop, sensor)["counted_in_total"]) == ("open", False)
    for words in (("pairs",), ("pairs", unit), ("pairs", sensor)):
        assert [(each["sensor"], each["grade"]) for each in shop.ok(*words)["pairs"]] == [(sensor, "possible")]
    shop.ok(
        "contradictions",
        *("settle", sensor, "whereabouts", "--answer", "the earlier look was wrong", "--why", "the sale fell through"),
    )
    assert (shop.card(sensor)["gone"], item(shop, sensor)["where"]["state"]) == (None, "loose")
    assert item(shop, sensor)["counted_in_total"]
    sound(shop)


def test_a_part_sold_while_fitted_is_on_no_car_when_it_comes_back(shop: Any) -> None:
    shop.ok("car", "add", "Tourer")
    tag = shop.part(on="2025-01-02")
    shop.ok("refit", "fit", tag, "--car", "Tourer", "--position", "wall", "--on", "2025-02-02")
    provenance = ("provenance", "note", tag, "--lane", "title", "--attribution", "seen by us", "--how")
    shop.ok(*provenance, "sold", "--on", "2025-03-02")
    shop.ok(*provenance, "bought", "--whose", "own", "--on", "2025-04-02")
    assert not shop.ok("part", "show", tag)["fitted"]
    assert next(each for each in shop.ok("condition-list")["items"] if each["tag"] == tag)["where"]["state"] == "loose"
