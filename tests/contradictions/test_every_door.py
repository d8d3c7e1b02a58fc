"""Each contradiction at every door: told once, card, pairs, evidence, list, Today, sheets out; and settled."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from inventory.cli import main
from inventory.opening import open_record
from inventory.parts import judgements
from inventory.store.connection.engine import record_url
from inventory.store.connection.migration import downgrade
from inventory.verification import verify
from tui.data.today import what_does_not_fit


@pytest.fixture
def pair(shop: Any) -> tuple[str, str]:
    """A sensor and a control unit with one letter, that fit by number."""
    sensor = shop.part(part_number="HV 204 118", match_code="K", on="2025-01-02")
    unit = shop.part("control unit", part_number="HV 310 002", match_code="K", on="2025-01-02")
    shop.ok("fits", "add", "HV 204 118", "HV 310 002")
    shop.ok("seal", "note", sensor, "--seal", "sealant", "--state", "intact", "--on", "2025-01-02")
    return sensor, unit


def capped(shop: Any, tag: str, *looks: tuple[str, str]) -> Any:
    """The answer to the last of several looks at the cap."""
    answer = None
    for state, on in looks:
        answer = shop.ok("seal", "note", tag, "--seal", "cap", "--state", state, "--on", on)
    return answer


def today(shop: Any) -> list[str]:
    record = open_record(shop.target)
    with record.read() as session:
        lines = [line.says for line in what_does_not_fit(session)]
    record.close()
    return lines


def sound(shop: Any) -> None:
    record = open_record(shop.target)
    assert verify(record).problems == ()
    record.close()


def grade(shop: Any, tag: str) -> str:
    (one,) = shop.ok("pairs", tag)["pairs"]
    return str(one["grade"])


def item(shop: Any, tag: str, *words: str) -> Any:
    return next(each for each in shop.ok("condition-list", *words)["items"] if each["tag"] == tag)


def test_a_cap_missing_then_intact_at_every_door(shop: Any, pair: tuple[str, str], tmp_path: Path) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("missing", "2025-09-02"))
    said = shop.run("seal", "note", sensor, "--seal", "cap", "--state", "intact", "--on", "2026-03-12")
    assert said.status == 0
    assert said.err.count("cap: missing on 2025-09-02; intact on 2026-03-12") == 1
    assert "the earlier look was wrong" in said.err

    (found,) = shop.ok("part", "note", sensor, "seen")["contradictions"]
    assert (found["about"], found["facts"]) == ("seal cap", ["seal_sighting-2", "seal_sighting-3"])
    assert "does not fit" not in shop.run("part", "note", sensor, "seen again").err
    card = shop.card(sensor)
    assert (card["seal_state"], card["contradictions"][0]["about"]) == ("missing", "seal cap")
    assert "Does not fit" in shop.text("part", "show", sensor)
    assert shop.found("missing") == [sensor]
    assert grade(shop, sensor) == "possible"
    assert f"sensor {sensor}, cap: missing or intact, open" in str(shop.ok("pairs", sensor))
    assert [test["what"] for test in shop.ok("evidence", sensor)["tests"]].count("seal cap") == 1
    assert shop.ok("evidence", sensor)["contradictions"][0]["about"] == "seal cap"
    listed = item(shop, sensor)
    assert [(each["seal"], each["state"]) for each in listed["seals_now"]] == [
        ("cap", "missing"),
        ("sealant", "intact"),
    ]
    assert (listed["contradictions"][0]["about"], listed["goes_with"]) == ("seal cap", None)
    shop.ok("condition-list", "-o", str(tmp_path / "list.csv"))
    every = [row["Seals"] for row in csv.DictReader((tmp_path / "list.csv").open(encoding="utf-8-sig"))]
    assert any("cap: missing on 2025-09-02; intact on 2026-03-12; open" in each for each in every)
    assert today(shop) == [f"Does not fit: {sensor}, cap: missing on 2025-09-02; intact on 2026-03-12"]
    assert shop.ok("contradictions")["contradictions"] == shop.ok("contradictions", sensor)["contradictions"]
    sound(shop)


def test_sheets_out_say_the_worse_and_read_back_change_nothing(
    shop: Any, pair: tuple[str, str], tmp_path: Path
) -> None:
    sensor, unit = pair
    capped(shop, sensor, ("missing", "2025-09-02"), ("intact", "2026-03-12"))
    shop.ok("part", "describe", unit, "--match-code", "C", "--on", "2026-04-01")
    out = tmp_path / "all.xlsx"
    shop.ok("sheet", "write", str(out))
    again = shop.ok("sheet", "read", str(out))
    assert (again["added"], again["changed"], again["refused"]) == (0, 0, 0)
    from openpyxl import load_workbook

    rows = list(load_workbook(out)["parts"].values)
    places = {name: place for place, name in enumerate(rows[0])}
    told = {row[places["tag"]]: (row[places["match code"]], row[places["seal state"]]) for row in rows[1:]}
    assert told == {sensor: ("K", "missing"), unit: ("K or C", None)}


def test_two_letters_read_from_one_part_leave_none(shop: Any, pair: tuple[str, str]) -> None:
    sensor, unit = pair
    capped(shop, sensor, ("intact", "2025-01-02"))
    assert grade(shop, sensor) == "confirmed"
    other = shop.part("control unit", part_number="HV 310 002", match_code="M", on="2025-01-02")
    said = shop.run("part", "describe", unit, "--match-code", "C", "--on", "2026-04-01")
    assert said.err.count("letter: K on 2025-01-02; C on 2026-04-01") == 1
    assert [(one["unit"], one["grade"]) for one in shop.ok("pairs", sensor)["pairs"]] == [(unit, "possible")]
    assert {one["grade"] for one in shop.ok("pairs", unit)["pairs"]} == {"possible"}
    assert shop.ok("pairs", other, "--all")["pairs"][0]["grade"] == "ruled out"
    card = shop.card(unit)
    assert (card["match_code"], card["match_code_state"], card["contradictions"][0]["about"]) == ("C", "read", "letter")
    assert "not clearly read; last: C" in shop.text("part", "show", unit)
    assert (item(shop, unit)["contradictions"][0]["about"], item(shop, sensor)["goes_with"]) == ("letter", None)
    assert shop.ok("evidence", unit)["contradictions"][0]["about"] == "letter"
    assert today(shop) == [f"Does not fit: {unit}, letter: K on 2025-01-02; C on 2026-04-01"]

    answer = shop.ok("contradictions", "settle", unit, "letter", "--answer", "mine was wrong")
    assert (answer["match_code"], answer["contradictions"]) == ("K", [])
    assert grade(shop, sensor) == "confirmed"
    assert today(shop) == []
    assert "settled by word only: mine was wrong" in str(item(shop, unit)["remarks"])
    sound(shop)


@pytest.mark.parametrize(
    ("answer", "more", "state", "after", "in_view"),
    [
        ("the earlier look was wrong", ("--why", "it was the label"), "intact", "confirmed", True),
        ("the earlier look was wrong", ("--document",), "intact", "confirmed", False),
        ("renewed", ("--document",), "renewed", "possible", False),
        ("renewed", (), "disturbed", "possible", True),
        ("mine was wrong", (), "missing", "possible", True),
        ("another seal", ("--why", "the case label"), "missing", "possible", True),
    ],
)
def test_a_settlement_lifts_the_state_and_a_bare_word_leaves_both_in_view(
    shop: Any,
    pair: tuple[str, str],
    tmp_path: Path,
    answer: str,
    more: tuple[str, ...],
    state: str,
    after: str,
    in_view: bool,
) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("missing", "2025-09-02"), ("intact", "2026-03-12"))
    (tmp_path / "paper.jpg").write_bytes(b"the cap")
    words = [*more, str(tmp_path / "paper.jpg")] if more == ("--document",) else more
    shop.ok("contradictions", "settle", sensor, "seal cap", "--answer", answer, *words)
    again = shop.refused("contradictions", "settle", sensor, "cap", "--answer", "mine was wrong")
    assert again["code"] == ("nothing-to-settle" if in_view else "settlement-of-what")
    assert shop.card(sensor)["seal_state"] == state
    assert grade(shop, sensor) == after
    assert today(shop) == []
    assert bool(shop.card(sensor)["contradictions"]) is in_view
    assert bool(item(shop, sensor)["contradictions"]) is in_view
    assert bool(shop.ok("contradictions", sensor, "--all")["settled_by_word"]) is in_view
    sound(shop)


def test_what_cannot_be_settled_now_stays_open_on_today_and_is_not_told_again(shop: Any, pair: tuple[str, str]) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("missing", "2025-09-02"), ("intact", "2026-03-12"))
    said = shop.run("contradictions", "settle", sensor, "cap", "--answer", "cannot be settled now")
    assert "stays open" in said.out
    said = shop.run("seal", "note", sensor, "--seal", "cap", "--state", "intact")
    assert (said.status, said.err) == (0, "")
    assert len(today(shop)) == 1
    assert shop.card(sensor)["seal_state"] == "missing"


def test_taking_a_fact_back_undoes_its_whole_effect(shop: Any, pair: tuple[str, str]) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("intact", "2025-01-02"))
    before = shop.card(sensor)["seal_state"], grade(shop, sensor), shop.ok("evidence", sensor)["p_serviceable"]
    bad = capped(shop, sensor, ("missing", "2025-09-02"))["fact"]
    capped(shop, sensor, ("intact", "2026-03-12"))
    settled = shop.ok("contradictions", "settle", sensor, "cap", "--answer", "mine was wrong")["fact"]
    assert shop.card(sensor)["seal_state"] == "missing"
    shop.ok("fact", "withdraw", settled, "--reason", "too soon")
    assert len(shop.card(sensor)["contradictions"]) == 1
    shop.ok("fact", "withdraw", bad, "--reason", "wrong part")
    after = shop.card(sensor)["seal_state"], grade(shop, sensor), shop.ok("evidence", sensor)["p_serviceable"]
    assert (after, shop.card(sensor)["contradictions"]) == (before, [])
    sound(shop)


def test_a_list_of_another_day_knows_neither_the_later_look_nor_the_settlement(
    shop: Any, pair: tuple[str, str]
) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("missing", "2025-09-02"), ("intact", "2026-03-12"))
    shop.ok(
        "contradictions", "settle", sensor, "cap", "--answer", "the earlier look was wrong", "--why", "it was the label"
    )
    early = item(shop, sensor, "--as-of", "2025-12-31")
    between = item(shop, sensor, "--as-of", "2026-03-31")
    assert (early["seals_now"][0]["state"], early["contradictions"]) == ("missing", [])
    assert (between["seals_now"][0]["state"], between["contradictions"][0]["settle"] != []) == ("missing", True)
    assert item(shop, sensor)["seals_now"][0]["state"] == "intact"
    assert shop.ok("contradictions", sensor, "--as-of", "2025-12-31")["contradictions"] == []
    assert len(shop.ok("contradictions", "--as-of", "2026-03-31")["contradictions"]) == 1


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("settle", "TAG", "cap", "--answer", "mine was wrong"), "nothing-to-settle"),
        (("settle", "TAG", "the weather", "--answer", "mine was wrong"), "settlement-of-what"),
        (("settle", "TAG", "letter", "--answer", "renewed"), "unknown-answer"),
        (("settle", "TAG", "seal cap", "--answer", "the earlier look was wrong"), "settlement-without-why"),
    ],
)
def test_what_cannot_be_settled_is_refused(shop: Any, pair: tuple[str, str], words: Any, code: str) -> None:
    tags = [pair[0] if word == "TAG" else word for word in words]
    if code == "nothing-to-settle":
        tags[2] = "seal cap"
    assert shop.refused("contradictions", *tags)["code"] == code


def test_every_writing_command_gives_the_key_and_an_order_of_days_is_not_one_of_recording(shop: Any) -> None:
    tag = shop.part()
    assert shop.ok("part", "note", tag, "a remark")["contradictions"] == []
    capped(shop, tag, ("intact", "2026-03-12"), ("missing", "2025-09-02"))
    assert shop.card(tag)["seal_state"] == "missing"
    assert shop.ok("car", "add", "Blue coupe")["contradictions"] == []


def test_a_record_of_an_older_version_takes_the_rule_when_it_is_opened(shop: Any, pair: tuple[str, str]) -> None:
    sensor, _ = pair
    capped(shop, sensor, ("missing", "2025-09-02"))
    record = open_record(shop.target)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(judgements, "worst_seal", lambda looks, settled=(): list(looks)[-1].state)
        assert main(["seal", "note", sensor, "--seal", "cap", "--state", "intact", "--record", shop.target]) == 0
    record.close()
    downgrade(record_url(shop.target), "0003")
    again = open_record(shop.target)
    assert again.acts == []
    assert verify(again).problems == ()
    again.close()
    assert shop.card(sensor)["seal_state"] == "missing"
    assert shop.found("missing") == [sensor]
