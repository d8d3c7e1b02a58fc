"""Tests that came out both ways: evidence leaves them open, the contradiction says the same, and what settles them."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest

from tests.contradictions.test_every_door import item, sound, today

HOLD = ("--reading", "0s=50cmHg", "--reading")
CLEARED = ("--blank", "10s=50cmHg")


@pytest.fixture
def sensor(shop: Any) -> str:
    return str(shop.part(part_number="HV 204 118", match_code="K", on="2025-01-02"))


def hold(shop: Any, tag: str, left: int, on: str) -> Any:
    return shop.ok(
        "bench",
        "run",
        "hold",
        tag,
        *HOLD,
        f"10s={left}cmHg",
        "--blank",
        "0s=50cmHg",
        "--blank",
        "10s=50cmHg",
        "--on",
        on,
    )


def p(shop: Any, tag: str) -> float:
    return round(shop.ok("evidence", tag)["p_serviceable"], 2)


def test_a_cleared_fail_and_a_pass_at_every_door(shop: Any, sensor: str, tmp_path: Path) -> None:
    assert hold(shop, sensor, 20, "2026-01-02")["verdict"] == "fail"
    assert shop.ok("contradictions")["contradictions"] == []
    said = hold(shop, sensor, 50, "2026-02-02")
    (found,) = said["contradictions"]
    assert (found["about"], found["facts"]) == ("test hold", ["bench_run-1", "bench_run-2"])
    assert found["says"].startswith("test hold: fail on 2026-01-02; pass on 2026-02-02; ")
    assert p(shop, sensor) == 0.5
    assert shop.ok("evidence", sensor)["contradictions"][0]["about"] == "test hold"
    assert shop.card(sensor)["contradictions"][0]["about"] == "test hold"
    listed = item(shop, sensor)
    assert (listed["works"], listed["contradictions"][0]["about"]) == (None, "test hold")
    shop.ok("condition-list", "-o", str(tmp_path / "list.csv"))
    row, *_ = csv.DictReader((tmp_path / "list.csv").open(encoding="utf-8-sig"))
    assert row["Works"] == "test hold: fail on 2026-01-02; pass on 2026-02-02; open"
    assert today(shop) == [f"Does not fit: {sensor}, test hold: fail on 2026-01-02; pass on 2026-02-02"]
    assert hold(shop, sensor, 50, "2026-03-02")["contradictions"] == [], "a third one decides"
    assert item(shop, sensor)["works"]["verdict"] == "pass"
    sound(shop)


@pytest.mark.parametrize(
    ("answer", "p_after", "works"), [("the earlier look was wrong", 0.7, "pass"), ("mine was wrong", 0.08, "fail")]
)
def test_a_settled_test_is_undecided_and_stays_in_view(
    shop: Any, sensor: str, answer: str, p_after: float, works: str
) -> None:
    hold(shop, sensor, 20, "2026-01-02")
    hold(shop, sensor, 50, "2026-02-02")
    settled = shop.ok("contradictions", "settle", sensor, "hold", "--answer", answer, "--why", "the hose end leaked")
    assert settled["contradictions"] == []
    assert p(shop, sensor) == p_after
    assert "settled by word only" in str(shop.card(sensor)["contradictions"])
    assert "the hose end leaked" in str(item(shop, sensor)["remarks"])
    assert f"; no longer counts, settled: {answer} (the hose end leaked)" in shop.text("evidence", sensor)
    shop.ok("fact", "withdraw", settled["fact"], "--reason", "too soon")
    assert (p(shop, sensor), len(shop.ok("contradictions")["contradictions"])) == (0.5, 1)
    sound(shop)


def test_what_could_mend_it_between_makes_it_none(shop: Any, sensor: str) -> None:
    hold(shop, sensor, 20, "2026-01-02")
    shop.ok("work", "log", sensor, "--what", "opened and cleaned", "--where", "on the unit", "--on", "2026-01-20")
    hold(shop, sensor, 50, "2026-02-02")
    assert [each["about"] for each in shop.ok("contradictions")["contradictions"]] == ["test hold"], (
        "cleaning mends none"
    )
    shop.ok("contradictions", "settle", sensor, "hold", "--answer", "cannot be settled now")
    assert shop.run("part", "note", sensor, "seen").err == ""
    assert len(today(shop)) == 1


def test_a_mixture_right_and_wrong_is_told_of_the_car_and_both_parts(shop: Any, sensor: str) -> None:
    unit = shop.part("control unit", part_number="HV 310 002", match_code="K", on="2025-01-02")
    shop.ok("car", "add", "Green tourer")
    for tag, position in ((sensor, "inner wing"), (unit, "kick panel")):
        shop.ok("refit", "fit", tag, "--car", "Green tourer", "--position", position, "--on", "2025-02-01")

    def mixture(full: str, on: str, *more: str) -> Any:
        readings = ("--reading", "cruise CO=0.8%", "--reading", f"full load CO={full}%")
        return shop.ok("bench", "run", "mixture", "Green tourer", *readings, "--on", on, *more)

    mixture("4.0", "2025-03-01")
    assert mixture("14.0", "2025-03-08")["contradictions"] == [], "the other causes were not checked"
    (found,) = mixture("14.0", "2025-03-09", "--checked", "all")["contradictions"]
    assert (found["thing"], found["about"]) == ("Green tourer", "test mixture")
    for words in (("contradictions", "Green tourer"), ("contradictions", sensor), ("contradictions", unit)):
        assert [each["about"] for each in shop.ok(*words)["contradictions"]] == ["test mixture"]
    assert len(shop.ok("contradictions")["contradictions"]) == 1
    before = p(shop, unit)
    other = shop.part(part_number="HV 204 118", match_code="K", on="2025-01-02")
    shop.ok("refit", "fit", other, "--car", "Green tourer", "--position", "inner wing", "--on", "2025-04-01")
    shop.ok("contradictions", "settle", "Green tourer", "inner wing", "--answer", "moved between")
    assert p(shop, unit) == before, "the sensor was on the car when the mixture was measured"
    shop.ok("contradictions", "settle", "Green tourer", "mixture", "--answer", "mine was wrong")
    assert shop.ok("contradictions")["contradictions"] == []
    assert p(shop, unit) > before
    sound(shop)


def test_the_faults_found_here_follow_a_settlement(shop: Any, sensor: str) -> None:
    hold(shop, sensor, 20, "2026-01-02")
    assert shop.ok("evidence", "shares", "pressure sensor")["by_test"] == 1
    hold(shop, sensor, 50, "2026-02-02")
    shop.ok("contradictions", "settle", sensor, "test hold", "--answer", "the earlier look was wrong", "--why", "hose")
    assert shop.ok("evidence", "shares", "pressure sensor")["by_test"] == 0


@pytest.mark.parametrize("said", ["-", "unknown", "k.A."])
def test_a_word_for_nothing_is_no_claim(shop: Any, sensor: str, said: str) -> None:
    assert shop.refused("evidence", "claim", sensor, "--said", said)["code"] == "nothing-said"
