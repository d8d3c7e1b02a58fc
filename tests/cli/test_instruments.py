"""Instruments by command: what runs take from them, and what a calibration that was not passed does to runs."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.opening import open_record
from inventory.verification import verify
from tests.cli.conftest import Shop

METER = ("--what", "meter", "--specification", "0.8% + 2 x 0.1ohm", "--dial-unit", "ohm", "--resolution", "0.1ohm")


def add(shop: Shop, name: str = "Meter 1", *words: str, on: str = "2025-01-01") -> None:
    shop.ok("instrument", "add", name, *METER, *words, "--on", on)


def run(shop: Shop, tag: str, on: str, *words: str, name: str = "Meter 1") -> dict[str, object]:
    done = shop.ok("bench", "run", "resistance", tag, "--reading", "primary=94.1ohm", "--ambient", "20degC",
                   "--instrument", name, "--on", on, *words)  # fmt: skip
    return dict(done)


def fits(shop: Shop) -> bool:
    opened = open_record(shop.target)
    try:
        return verify(opened).ok
    finally:
        opened.close()


def test_a_run_takes_accuracy_and_resolution_from_the_instrument_it_names(shop: Shop) -> None:
    add(shop)
    tag = shop.part()

    named = run(shop, tag, "2025-02-01")
    typed = run(shop, tag, "2025-02-02", "--meter", "5%")

    figures = named["figures"]
    assert isinstance(figures, dict)
    assert figures["primary"]["expanded_uncertainty_ohm"] == pytest.approx(2 * (0.008 * 94.1 + 0.2) / 3**0.5)
    assert any(reason["says"].startswith("meter 5%") for reason in typed["reasons"])  # type: ignore[attr-defined]
    assert fits(shop)


def test_an_instrument_is_as_it_was_known_on_the_day_of_the_run(shop: Shop) -> None:
    add(shop)
    tag = shop.part()
    early = run(shop, tag, "2025-02-01")
    before_all = run(shop, tag, "2024-02-01")
    shop.ok("fact", "correct", "instrument_description-1", "--set", "specification=2%", "--set", "on=2025-03-01",
            "--reason", "another booklet")  # fmt: skip

    runs = shop.ok("bench", "history", tag)["runs"]

    assert early["verdict"] == before_all["verdict"] == "pass"
    assert all(any("meter 2%" in reason["says"] for reason in each["reasons"]) for each in runs)


def test_out_of_date_is_said_among_the_reasons(shop: Shop) -> None:
    add(shop, "Meter 1", "--due", "2025-06")
    tag = shop.part()

    in_date = run(shop, tag, "2025-06-30")
    late = run(shop, tag, "2025-07-01")

    says = [[reason["says"] for reason in each["reasons"]] for each in (in_date, late)]  # type: ignore[attr-defined]
    assert not any("out of date" in each for each in says[0])
    assert "Meter 1 is out of date: calibration was due by 2025-06-30" in says[1]
    assert late["verdict"] == "pass"


def test_a_calibration_not_passed_makes_the_runs_since_the_last_good_one_doubtful(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "paper.txt").write_text("certificate", encoding="utf-8")
    add(shop)
    add(shop, "Meter 2")
    tag = shop.part()
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "passed", "--due", "2026-03", "--on", "2025-03-01")
    before, since = run(shop, tag, "2025-02-01"), run(shop, tag, "2025-04-01")
    other = run(shop, tag, "2025-04-02", name="Meter 2")
    p_before = shop.ok("evidence", "of", tag)["p_serviceable"]

    failed = shop.ok(
        "instrument", "calibrate", "meter-1", "--result", "failed", "--paper", "paper.txt", "--on", "2026-01-10"
    )
    told = shop.run("instrument", "show", "Meter 1").out
    found = shop.ok("instrument", "doubtful", "Meter 1")

    assert failed["doubtful"] == [since["run"]]
    assert [(each["tag"], each["run"]) for each in found["runs"]] == [(tag, since["run"])]
    assert "nothing shows that it read right since 2025-03-01" in found["runs"][0]["why"]
    assert "did not pass its calibration of 2026-01-10" in told
    verdicts = {each["run"]: each["verdict"] for each in shop.ok("bench", "history", tag)["runs"]}
    assert verdicts == {before["run"]: "pass", since["run"]: "undecided", other["run"]: "pass"}
    assert shop.ok("instrument", "doubtful", "Meter 2")["runs"] == []
    assert p_before == shop.ok("evidence", "of", tag)["p_serviceable"]
    assert fits(shop)


def test_trust_no_longer_counts_a_doubtful_run(shop: Shop) -> None:
    add(shop)
    tag = shop.part()
    untested = shop.ok("evidence", "of", tag)["p_serviceable"]
    run(shop, tag, "2025-04-01")
    tested = shop.ok("evidence", "of", tag)["p_serviceable"]
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "failed", "--on", "2026-01-10")

    doubted = shop.ok("evidence", "of", tag)["p_serviceable"]

    assert tested > untested
    assert doubted == untested


def test_taking_the_calibration_back_takes_the_doubt_away(shop: Shop) -> None:
    add(shop)
    tag = shop.part()
    run(shop, tag, "2025-04-01")
    done = shop.run("instrument", "calibrate", "Meter 1", "--result", "not passed", "--on", "2026-01-10", "--json")
    assert "1 run made with it cannot be trusted any more" in done.err

    shop.ok("fact", "withdraw", done.json["fact"], "--reason", "another meter's paper")

    assert shop.ok("instrument", "doubtful", "Meter 1")["runs"] == []
    assert shop.ok("bench", "history", tag)["runs"][0]["verdict"] == "pass"


def test_points_of_a_calibration_set_readings_right(shop: Shop) -> None:
    add(shop)
    tag = shop.part()
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "passed", "--point", "10.0ohm=9.0ohm",
            "--point", "100.0ohm=99.0ohm", "--point", "200.0ohm=199.0ohm", "--on", "2025-03-01")  # fmt: skip

    before, after = run(shop, tag, "2025-02-01"), run(shop, tag, "2025-04-01")

    read = [each["figures"]["primary"]["at_20_degc_ohm"] for each in (before, after)]  # type: ignore[index]
    assert read == pytest.approx([94.1, 93.1])


def test_old_runs_go_with_an_instrument_under_a_new_name(shop: Shop) -> None:
    add(shop)
    tag = shop.part()
    run(shop, tag, "2025-04-01")
    shop.ok("fact", "correct", "instrument_description-1", "--set", "name=Bench meter", "--reason", "engraved")
    shop.ok("instrument", "calibrate", "Bench meter", "--result", "failed", "--on", "2026-01-10")

    assert len(shop.ok("instrument", "doubtful", "Bench meter")["runs"]) == 1
    assert [each["name"] for each in shop.ok("instrument", "list")["instruments"]] == ["Bench meter"]
    assert shop.refused("instrument", "add", "Meter 1")["code"] == "instrument-known"
    assert fits(shop)


def test_a_gauge_lends_a_hold_its_resolution(shop: Shop) -> None:
    shop.ok("instrument", "add", "Gauge 2", "--what", "vacuum gauge", "--dial-unit", "cmHg", "--resolution", "2cmHg",
            "--on", "2025-01-01")  # fmt: skip
    tag = shop.part()
    read = ("--reading", "0s=50cmHg", "--reading", "10s=48cmHg", "--blank", "0s=50cmHg", "--blank", "10s=50cmHg")

    named = shop.ok("bench", "run", "hold", tag, *read, "--instrument", "gauge 2", "--on", "2025-02-01")
    typed = shop.ok("bench", "run", "hold", tag, *read, "--resolution", "2cmHg", "--on", "2025-02-01")

    assert named["figures"] == typed["figures"]
    assert named["verdict"] == typed["verdict"]


def test_just_off_the_engine_by_flag_or_by_answer(shop: Shop) -> None:
    tag = shop.part()
    read = ("bench", "run", "resistance", tag, "--reading", "primary=98.0ohm", "--ambient", "20degC")

    rested = shop.ok(*read, "--lain", "yes")
    flagged, answered = shop.ok(*read, "--just-off"), shop.ok(*read, "--lain", "no")

    assert (rested["verdict"], flagged["verdict"], answered["verdict"]) == ("pass", "pass", "undecided")
    assert shop.refused(*read, "--lain", "yes", "--just-off")["code"] == "just-off-and-lain"


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("instrument", "add", " "), "instrument-without-name"),
        (("instrument", "add", "meter 1"), "instrument-known"),
        (("instrument", "add", "G", "--specification", "good"), "no-meter"),
        (("instrument", "add", "G", "--dial-unit", "blobs"), "no-such-unit"),
        (("instrument", "add", "G", "--resolution", "fine"), "no-resolution"),
        (("instrument", "add", "G", "--due", "soon"), "not-a-date"),
        (("instrument", "show", "Meter 7"), "unknown-instrument"),
        (("instrument", "doubtful", "Meter 7"), "unknown-instrument"),
        (("instrument", "calibrate", "Meter 7", "--result", "passed"), "unknown-instrument"),
        (("instrument", "calibrate", "Meter 1", "--result", "fair"), "no-result"),
        (("instrument", "calibrate", "Meter 1", "--result", "passed", "--point", "1ohm=1ohm"), "too-few-points"),
        (("instrument", "calibrate", "Meter 1", "--result", "passed", "--paper", "none.pdf"), "file-not-readable"),
        (("instrument", "calibrate", "Meter 1", "--result", "passed", "--on", "2999-01-01"), "date-in-the-future"),
        (("bench", "run", "resistance", "TAG", "--reading", "primary=94ohm", "--instrument", "Meter 7"),
         "unknown-instrument"),
    ],
)  # fmt: skip
def test_what_cannot_stand_is_refused(shop: Shop, words: tuple[str, ...], code: str) -> None:
    add(shop)
    tag = shop.part()

    assert shop.refused(*(tag if word == "TAG" else word for word in words))["code"] == code
