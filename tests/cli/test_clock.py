"""`matchmark clock`: what a record goes by, and saying that entries were written by a wrong clock."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from inventory.store.days import clock
from tests.cli.conftest import Shop

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)


@pytest.fixture
def ahead(file_shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    """A record, its days those of UTC, on which somebody wrote with a clock five years ahead; the clock is right again."""
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setattr(clock, "now", lambda: NOON)
    shop = Shop(str(tmp_path / "utc.db"), file_shop._read)
    shop.ok("new")
    shop.part()
    monkeypatch.setattr(clock, "now", lambda: NOON.replace(year=2031))
    shop.part()
    shop.ok("place", "add", "B2")
    monkeypatch.setattr(clock, "now", lambda: NOON)
    return shop


def test_a_clock_behind_is_refused_with_the_way_out_and_the_way_is_open(ahead: Shop) -> None:
    refusal = ahead.refused("place", "add", "B3")
    assert refusal["code"] == "clock-behind"
    assert "2031" in refusal["message"]
    assert "matchmark clock wrong --reason" in refusal["hint"]

    said = ahead.ok("clock", "wrong", "--reason", "the battery was flat")

    assert said.pop("contradictions") == []
    assert said.pop("dated") == ["marking-2", "place_description-1"]
    assert said == {
        "fact": "wrong_clock-1",
        "from": "2031-03-31T12:00:00.000000Z",
        "until": "2031-03-31T12:00:00.000000Z",
        "entries": 2,
        "reason": "the battery was flat",
        "true_day": None,
        "true_until": None,
    }
    ahead.ok("place", "add", "B3")
    shown = ahead.ok("clock", "show")
    assert shown["wrong"] == [said]
    assert shown["newest_entry"].startswith("2026-03-31T12:00")
    assert {"now", "zone"} <= set(shown)
    assert ahead.ok("verify")["ok"]


def test_a_clock_behind_is_told_where_nothing_is_written_and_does_not_blame_all(
    ahead: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "now", lambda: NOON.replace(year=2019))
    says = "This machine's clock says 31 March 2019 12:00, but the newest entry"
    assert says in ahead.text("verify")
    assert says in ahead.ok("verify")["remarks"][0]["says"]
    refusal = ahead.refused("clock", "wrong", "--reason", "a mistake")
    assert refusal["code"] == "clock-behind-all"
    assert "--from 2026-03-31" in refusal["hint"]
    assert ahead.ok("clock", "wrong", "--from", "2026-03-31", "--reason", "so it was")["entries"] > 2


def test_the_statement_is_taken_back(ahead: Shop) -> None:
    said = ahead.ok("clock", "wrong", "--from", "2031-03-31", "--reason", "ahead")
    ahead.ok("fact", "withdraw", said["fact"], "--reason", "it was right")
    assert ahead.refused("place", "add", "B3")["code"] == "clock-behind"


def test_moments_are_days_or_times_in_the_zone_of_the_record(ahead: Shop) -> None:
    for options in (
        ("--from", "2031-03-31", "--until", "2031-03-31"),
        ("--from", "2031-03-31T11:59", "--until", "2031-03-31T12:00"),
        ("--from", "2031-03-31T12:00", "--until", "2031-03-31T12:00"),
        ("--from", "2031-03-31 12:00:00+00:00"),
        ("--act", "marking-2"),
        ("--entries", "4"),
        ("--entries", "4-5"),
    ):
        assert ahead.ok("clock", "wrong", *options, "--reason", "ahead")["entries"] in (1, 2), options
    for options in (("--from", "2031-04-01"), ("--from", "2030-01-01", "--until", "2030-12-31")):
        assert ahead.refused("clock", "wrong", *options, "--reason", "x")["code"] == "no-entries-there", options


def test_what_cannot_be_said_of_a_clock_is_refused(ahead: Shop) -> None:
    for options, code in (
        (("--from", "last summer"), "not-a-moment"),
        (("--until", "2031-13-01"), "not-a-moment"),
        (("--act", "marking-99"), "no-such-fact"),
        (("--entries", "4-"), "not-places"),
        (("--entries", "400"), "no-entries-there"),
        (("--true-day", "2026-04-02"), "date-in-the-future"),
    ):
        assert ahead.refused("clock", "wrong", *options, "--reason", "x")["code"] == code, options
    assert ahead.refused("clock", "wrong", "--reason", " ")["code"] == "reason-missing"
    both = ("--act", "marking-2", "--from", "2031-03-31")
    assert ahead.refused("clock", "wrong", *both, "--reason", "x", status=2)["code"] == "act-or-moments"
    assert ahead.ok("clock", "show")["wrong"] == []


def test_people_are_told_in_words(ahead: Shop) -> None:
    shown = ahead.text("clock", "show")
    assert "It is 31 March 2026 12:00; the newest entry is from 31 March 2031 12:00." in shown
    said = ahead.text("clock", "wrong", "--reason", "the battery was flat")
    assert said.startswith("Noted: 2 entries were written with a wrong clock, from 31 March 2031 12:00 to ")
    assert "matchmark fact withdraw wrong_clock-1" in said
    assert "the battery was flat" in ahead.text("clock", "show")


def test_with_the_true_day_people_are_told_it_and_what_to_correct(ahead: Shop) -> None:
    said = ahead.text("clock", "wrong", "--true-day", "2026-03-30", "--reason", "the battery was flat")
    assert ", in truth on 2026-03-30. To take it back" in said
    assert "2 facts say that it was so on the day of that clock: marking-2, place_description-1" in said
    assert "matchmark fact correct marking-2 --set on=2026-03-30 --reason wrong_clock-1" in said
    assert "in truth on 2026-03-30, the battery was flat" in ahead.text("clock", "show")
    ahead.ok("fact", "correct", "marking-2", "--set", "on=2026-03-30", "--reason", "wrong_clock-1")
    assert ahead.ok("verify")["ok"]


def test_verify_looks_for_an_anchor_however_it_is_typed(ahead: Shop) -> None:
    kept = ahead.ok("verify")["anchor"]
    ahead.ok("clock", "wrong", "--reason", "the battery was flat")
    by_hand = kept[16:32].replace("0", "O").replace("1", "l")
    typed = f"{kept[:8].upper()}-{kept[8:16]} \u2013 {by_hand}"
    assert ahead.ok("verify", "--fingerprint", typed)["found"]["later"] == 1
    assert "in this record's past, at entry" in ahead.text("verify", "--fingerprint", kept)
    assert ahead.ok("verify", "--fingerprint", kept[::-1], status=1)["found"] is None
    assert ahead.refused("verify", "--fingerprint", "12")["code"] == "not-a-fingerprint"
