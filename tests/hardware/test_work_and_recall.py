"""Work with what belongs to it; what is away and due; which parts have a batch or rubber of some age."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from inventory.opening import open_record
from inventory.parts.typed_work import read_work
from inventory.provenance.load_away import parts_away
from inventory.reference.work_words import work_words
from tests.cli.conftest import Shop


def test_work_says_with_what_by_whom_for_how_much_and_where_the_old_part_is(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"before")
    tag = shop.part("relay")
    details = (
        "--product",
        "zinc primer",
        "--batch",
        "2025-Q3",
        "--done-by",
        "the plater",
        "--cost",
        "45,50",
        "--currency",
        "EUR",
    )
    more = ("--reversible", "no", "--taken-off", "old clip, box 3", "--before", str(tmp_path / "a.jpg"))
    answer = shop.ok("work", "log", tag, "--what", "bracket painted", *details, *more)
    (work,) = shop.card(tag)["work"]
    said = {name: work[name] for name in ("product", "batch", "done_by", "cost", "currency", "reversible", "taken_off")}
    assert said == {"product": "zinc primer", "batch": "2025-Q3", "done_by": "the plater", "cost": "45.50",
                    "currency": "EUR", "reversible": "no", "taken_off": "old clip, box 3"}  # fmt: skip
    assert [each["shows"] for each in shop.card(tag)["documents"]] == ["before work"]
    assert (answer["where"], answer["covered"]) == ("outside", None)
    assert "--reversible" in str(shop.refused("work", "log", tag, "--what", "x", "--reversible", "maybe"))
    assert shop.refused("work", "log", tag, "--what", "x", "--cost", "45")["code"] == "not-a-currency"


@pytest.mark.parametrize(
    ("what", "asks"),
    [
        ("bead-blasted", True),
        ("Cleaned", True),
        ("bracket lackiert", True),
        ("never cleaned", False),
        ("new mounts", False),
    ],
)
def test_ports_and_plug_are_asked_about_before_what_gets_into_them(what: str, asks: bool) -> None:
    assert work_words().asks_for_covers(what) is asks


def test_without_a_terminal_it_is_said_that_nobody_answered(shop: Shop) -> None:
    tag = shop.part("relay")
    said = shop.run("work", "log", tag, "--what", "cleaned")
    assert "were ports and plug covered" in said.err
    assert "ports and plug were open" in shop.run("work", "log", tag, "--what", "cleaned", "--covered", "no").err
    assert "ports" not in shop.run("work", "log", tag, "--what", "cleaned", "--covered", "yes").err


def test_work_is_typed_in_one_line() -> None:
    typed = "new mounts; heated; with nitrile rubber; batch 3/25; by the plater; 45,50 eur; off old mounts, box 3"
    assert read_work(typed) == (
        "new mounts; heated",
        {"product": "nitrile rubber", "batch": "3/25", "done_by": "the plater", "cost": "45,50", "currency": "EUR",
         "taken_off": "old mounts, box 3"},
    )  # fmt: skip
    assert read_work("by hand; batch") == ("by hand; batch", {})


def test_what_is_away_is_overdue_after_its_day_and_back_when_it_came(shop: Shop) -> None:
    late, due, undated = (shop.part("relay", serial=each) for each in "123")
    out = ("provenance", "note", late, "--how", "sent out", "--on", "2025-10-01")
    shop.ok(*out, "--due", "2025-11", "--party", "Relko")
    shop.ok("provenance", "note", due, "--how", "lent out", "--due", "2999-01-01")
    shop.ok("provenance", "note", undated, "--how", "sent out")
    away = shop.ok("provenance", "away")
    assert [(each["tag"], each["overdue"]) for each in away["away"]] == [(late, True), (due, False), (undated, False)]
    assert (away["away"][0]["party"], away["overdue"]) == ("Relko", 1)
    opened = open_record(shop.target)
    with opened.read() as session:
        assert not parts_away(session, date(2025, 11, 30))[0].overdue
    opened.close()
    assert shop.refused("provenance", "note", late, "--how", "came back", "--due", "2026")["code"] == "due-but-not-away"
    assert shop.refused(*out, "--due", "2025-09-30")["code"] == "due-before-it-went"
    shop.ok("provenance", "note", late, "--how", "came back")
    assert shop.ok("provenance", "away")["overdue"] == 0


def test_recall_finds_a_quarter_however_it_is_written_and_says_why(shop: Shop) -> None:
    shop.stripping()
    one, two, other = (shop.part("relay", serial=each) for each in "123")
    shop.ok("work", "log", one, "--what", "painted", "--product", "zinc primer", "--batch", "2025-Q3")
    shop.ok("work", "log", two, "--what", "new mounts", "--batch", "3/25")
    shop.ok("work", "log", other, "--what", "new mounts", "--batch", "1/25")
    mounted = ("--mount", "3x grommet 10 x 18 x 8 cured 3/25")
    third = shop.ok("teardown", "log", "--kind", "relay", *mounted)["part"]["tag"]
    shop.ok("hardware", "stock", "fuel hose 7.5 x 13", "--count", "2", "--place", "drawer", "--cured", "3/25")
    rows = shop.ok("recall", "2025-Q3")["rows"]
    assert {(row["tag"], row["place"]) for row in rows} == {(one, None), (two, None), (third, None), (None, "drawer")}
    why = {row["tag"]: row["says"] for row in rows}
    assert why[two] == "batch: 3/25, July to September 2025 (new mounts)"
    assert [row["tag"] for row in shop.ok("recall", "Zinc-Primer")["rows"]] == [one]
    assert shop.ok("recall", "2024-Q1")["rows"] == []
