"""After a specialist's setting the paper counts, the old letter no longer. Facts of the trade: common practice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.pairing.candidate import (
    SENSOR_KIND,
    UNIT_KIND,
    CalibrationShown,
    Candidate,
    OnRecord,
    SealNoted,
    Setting,
    StripDown,
    TestBeside,
)
from inventory.pairing.findings.fit import FitRow, Fits
from inventory.pairing.judgements import grade

FITS = Fits.of([FitRow("hv204118", "hv237051", "fit-1")], [("hv237050", "hv237051")])
SENSOR = Candidate(
    "K4127-7", SENSOR_KIND, "HV 204 118", "hv204118", 0.5, "K", "read", seal_state="missing", fact="part-1"
)
UNIT = Candidate("K2210-C", UNIT_KIND, "HV 237 051", "hv237051", 0.8, "M", "read", fact="part-2")

BEFORE, SET_ON, AFTER = "2025-01-01 a", "2025-06-01 a", "2026-01-01 a"
TO_UNIT = Setting(unit="K2210-C", at=SET_ON, on="2025-06-01", fact="setting-1")
TO_ANOTHER = replace(TO_UNIT, unit="K3333-3")
TO_M = Setting(unit_number="HV 237 051", unit_number_squeezed="hv237051", unit_code="m", at=SET_ON, fact="setting-1")
TO_OLD_NUMBER = replace(TO_M, unit_number="HV 237 050", unit_number_squeezed="hv237050")
TO_NONE = Setting(at=SET_ON, fact="setting-1")
CAP_SINCE = (SealNoted("cap", "missing", "seal-1", at=AFTER),)
CAP_BEFORE = (SealNoted("cap", "missing", "seal-1", at=BEFORE),)
RAN = StripDown("3", "Green tourer", "removal-1")

CASES = {
    "names this unit, though the letters differ": (TO_UNIT, {}, {}, "confirmed"),
    "names another": (TO_ANOTHER, {}, {"match_code": "K"}, "ruled out"),
    "names its number and code": (TO_M, {}, {}, "confirmed"),
    "names a number it replaced, and its code": (TO_OLD_NUMBER, {}, {}, "confirmed"),
    "names its number and another code": (TO_M, {}, {"match_code": "K"}, "ruled out"),
    "names another number": (
        replace(TO_M, unit_number_squeezed="hv9"), {}, {}, "ruled out"),
    "names a code that was not read on it": (TO_M, {}, {"match_code": "", "match_code_state": "unreadable"}, "possible"),
    "names no mate": (TO_NONE, {"seal_state": "intact"}, {"match_code": "K"}, "possible"),
    "names no mate, letters differ": (TO_NONE, {"seal_state": "intact"}, {}, "possible"),
    "names no mate, both ran together": (
        TO_NONE, {"strip_down": replace(RAN, mate="K2210-C")}, {"strip_down": replace(RAN, mate="K4127-7")},
        "possible"),
    "a cap gone before the setting": (TO_UNIT, {"seals_noted": CAP_BEFORE}, {}, "confirmed"),
    "a cap gone since": (TO_UNIT, {"seals_noted": CAP_SINCE}, {}, "possible"),
    "a cap renewed since without a paper": (
        TO_UNIT, {"seals_noted": (SealNoted("cap", "renewed", at=AFTER),)}, {}, "possible"),
    "a cap renewed with the paper": (
        TO_UNIT, {"seals_noted": (SealNoted("cap", "renewed", has_document=True, at=AFTER),)}, {}, "confirmed"),
    "a cap gone since, but a sweep like the reference after that": (
        TO_UNIT,
        {"seals_noted": CAP_SINCE, "changed": AFTER, "calibration_shown": (CalibrationShown("a sweep", "2026-02"),)},
        {}, "probable"),
    "the named unit opened before": (TO_UNIT, {}, {"opened": OnRecord("cover off"), "changed": BEFORE}, "confirmed"),
    "the named unit opened since": (TO_UNIT, {}, {"opened": OnRecord("cover off"), "changed": AFTER}, "possible"),
    "a unit of that number and code opened at any time": (
        TO_M, {}, {"opened": OnRecord("cover off"), "changed": BEFORE}, "possible"),
    "a test failed": (TO_UNIT, {"tests": (TestBeside("hold", "fail", "failed the hold"),)}, {}, "confirmed"),
    "numbers do not fit": (TO_UNIT, {}, {"part_number_squeezed": "hv9"}, "ruled out"),
    "mixture right with this pair, a paper that names no mate": (
        TO_NONE, {"calibration_shown": (CalibrationShown("mixture right", "2026", "K2210-C"),)}, {}, "probable"),
}  # fmt: skip


@pytest.mark.parametrize(("paper", "sensor", "unit", "expected"), CASES.values(), ids=CASES)
def test_grade(paper: Setting, sensor: dict[str, object], unit: dict[str, object], expected: str) -> None:
    pair = grade(replace(SENSOR, setting=paper, **sensor), replace(UNIT, **unit), FITS)  # type: ignore[arg-type]

    assert expected == pair.grade


def test_the_paper_is_told_with_its_day_and_its_fact() -> None:
    pair = grade(replace(SENSOR, setting=TO_UNIT), UNIT, FITS)
    reason = next(reason for reason in pair.reasons if "paper" in reason.says)

    assert pair.says == (
        "a specialist's paper says that the sensor was set for control unit K2210-C; "
        "no seal of the sensor found broken since the specialist's setting"
    )
    assert reason.says == ("a specialist's paper says that the sensor was set for control unit K2210-C (2025-06-01)")
    assert reason.facts == ("setting-1",)


@pytest.mark.parametrize(
    ("paper", "unit", "step"),
    [
        (TO_NONE, UNIT, "ask the specialist which control unit it was set for and note it"),
        (TO_M, replace(UNIT, match_code="", match_code_state="not looked at"), "look for the code on control unit"),
        (TO_ANOTHER, UNIT, "have a specialist set the sensor for this control unit, with a paper that names it"),
    ],
)
def test_the_next_step_is_the_cheapest(paper: Setting, unit: Candidate, step: str) -> None:
    assert grade(replace(SENSOR, seal_state="intact", setting=paper), unit, FITS).next_step.startswith(step)


def test_the_outside_knob_and_a_reservation_are_told_and_lower_nothing() -> None:
    sensor = replace(SENSOR, setting=TO_UNIT, reserved=OnRecord("for the Green tourer", "reservation-1"))
    unit = replace(UNIT, knob=OnRecord("knob three notches from lean (2026-01-05)", "note-4"))
    pair = grade(sensor, unit, FITS)
    told = {reason.says: reason.facts for reason in pair.reasons}

    assert pair.grade == "confirmed"
    assert told["outside idle-mixture knob of control unit K2210-C: knob three notches from lean (2026-01-05)"] == (
        "note-4",
    )
    assert told["sensor K4127-7 is reserved: for the Green tourer"] == ("reservation-1",)
