"""The four grades as the trade words them, line by line: what stands beside `test_judgements` and `test_paper`.

Facts of the trade: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.bench import actions as bench
from inventory.pairing.candidate import CalibrationShown, Candidate, OnRecord, SealNoted, Setting
from inventory.pairing.findings.by_part import ASK_SPECIALIST, ONLY_A_PAPER, SHOW_IT
from inventory.pairing.judgements import PairJudgement, grade
from inventory.pairing.queries import mates
from inventory.parts import actions as parts
from inventory.seals import actions as seals
from inventory.store.record import Record
from tests.build import BY, SENSOR, UNIT, make_part
from tests.pairing.test_judgements import (
    CAP_GONE,
    FITS,
    LIGHT,
    NOTHING,
    READ_AGAIN,
    UNCODED,
    off,
    s,
    u,
    with_it,
)
from tests.pairing.test_judgements import (
    seals as sealed,
)

MIXTURE = CalibrationShown("the mixture was right on the running car with this pair", "2026-03-02 a", "K2210-C")
SWEEP = CalibrationShown("a sweep came out like the reference", "2026-03-02 a")
PAPER = Setting(unit_number="HV 237 051", unit_number_squeezed="hv237051", unit_code="O", at="2025-06-01 a")
NAMES_NONE = Setting(at="2025-06-01 a")
LOOK_FOR_BOTH = "look for the code on sensor K4127-7; then look for the code on control unit K2210-C"
ASK_WHICH = f"ask the specialist which control unit it was set for and note it; else {ONLY_A_PAPER}"
SET_ANEW = "have a specialist set the sensor for this control unit, with a paper that names it"
OPENED = OnRecord("cover off")

CASES = {
    # confirmed
    "both letters from dated pictures": (
        s(match_code_read_from="dated picture"), u(match_code_read_from="dated picture"), "confirmed", NOTHING),
    "long codes, equal": (s(match_code="KMN"), u(match_code="kmn"), "confirmed", NOTHING),
    "the knob beside nothing else": (s(), u(knob=OnRecord("knob full rich")), "confirmed", NOTHING),
    # probable
    "letters equal, no seal seen, ran together": (
        s(**off(), **sealed(SealNoted("cap", "not seen"))), u(**with_it()), "probable",
        "look at sensor K4127-7 and note: cap"),
    "both letters missing, ran together": (
        s(**off(), **UNCODED), u(**with_it(), **UNCODED), "probable", LOOK_FOR_BOTH),
    # possible
    "both letters missing": (s(**UNCODED), u(**UNCODED), "possible", LOOK_FOR_BOTH),
    "a letter missing, the unit ran with a later sensor": (
        s(**off(), **UNCODED), u(**with_it("K4081-3")), "possible", "look for the code on sensor K4127-7"),
    "a letter missing, the sensor ran with a later unit": (
        s(**off("K3333-3"), **UNCODED), u(**with_it()), "possible", "look for the code on sensor K4127-7"),
    "the paper's code is in doubt": (
        s(setting=replace(PAPER, unit_code="O or Q")), u(match_code="Q"), "possible", ASK_SPECIALIST),
    # raised to probable: what was shown already is not asked for again
    "cap gone, swept": (s(**CAP_GONE, calibration_shown=(SWEEP,)), u(), "probable", ONLY_A_PAPER),
    "cap gone, mixture right": (s(**CAP_GONE, calibration_shown=(MIXTURE,)), u(), "probable", ONLY_A_PAPER),
    "paper names no mate, mixture right": (
        s(setting=NAMES_NONE, calibration_shown=(MIXTURE,)), u(), "probable", ASK_WHICH),
    "a letter missing, mixture right": (
        s(calibration_shown=(MIXTURE,)), u(**UNCODED), "probable", "look for the code on control unit K2210-C"),
    "unit opened, mixture right": (
        s(calibration_shown=(MIXTURE,)), u(opened=OPENED), "probable",
        "find out whether control unit K2210-C was opened and what was changed inside"),
    "opened on the day of the specialist's paper": (
        s(setting=PAPER, opened=OnRecord("new diaphragm", day="2025-06-01")), u(match_code="O"), "confirmed", NOTHING),
    "opened after the specialist's paper": (
        s(setting=PAPER, opened=OnRecord("cover off", day="2025-06-02")), u(match_code="O"), "possible", SHOW_IT),
    "sensor opened, swept since": (
        s(opened=OPENED, changed="2026-03-01 a", calibration_shown=(SWEEP,)), u(), "probable", ONLY_A_PAPER),
    "sensor opened after the sweep": (
        s(opened=OPENED, changed="2026-03-03 a", calibration_shown=(SWEEP,)), u(), "possible", SHOW_IT),
    # ruled out
    "letters differ, cap gone, unit opened": (
        s(**CAP_GONE), u(match_code="M", opened=OPENED), "ruled out", READ_AGAIN),
    "long codes, one sign apart": (s(match_code="KMN"), u(match_code="KMP"), "ruled out", READ_AGAIN),
    "letters that look alike, both read from dated pictures": (
        s(match_code="B", match_code_read_from="dated picture"),
        u(match_code="8", match_code_read_from="dated picture"), "ruled out",
        f"read again: B and 8 look alike when worn; read both {LIGHT}"),
    "the paper's code looks like the one on the unit": (
        s(setting=PAPER), u(match_code="Q"), "ruled out",
        "read again: O and Q look alike when worn; read the paper again, "
        f"and the code on control unit K2210-C {LIGHT}"),
    "the paper's code is another": (s(setting=PAPER), u(match_code="M"), "ruled out", SET_ANEW),
    "the paper's code looks alike, its number is another": (
        s(setting=replace(PAPER, unit_number_squeezed="hv9")), u(match_code="Q"), "ruled out", SET_ANEW),
}  # fmt: skip


@pytest.mark.parametrize(("sensor", "unit", "expected", "next_step"), CASES.values(), ids=CASES)
def test_grade_and_next_step(sensor: Candidate, unit: Candidate, expected: str, next_step: str) -> None:
    pair = grade(sensor, unit, FITS)

    assert (expected, next_step) == (pair.grade, pair.next_step)


TOLD = {
    "the knob, where the pair is only possible": (
        s(**CAP_GONE), u(knob=OnRecord("knob full rich")), "outside idle-mixture knob of control unit K2210-C", True),
    "a long code on the control unit": (
        s(match_code="KMN"), u(match_code="KMN"), "code KMN of control unit K2210-C is kept as written", True),
    "a long code in doubt": (s(match_code="KMN?"), u(), "code KMN? of sensor K4127-7 is kept as written", True),
    "one car, though the letters say no": (
        s(**off()), u(**with_it(), match_code="M"), "both came off Green tourer in one strip-down", True),
    "the paper's code in doubt": (
        s(setting=replace(PAPER, unit_code="O or Q")), u(match_code="Q"),
        "one of several on the paper, noted as O or Q", True),
    "an old letter that only looks like the unit's, after a specialist's setting": (
        s(setting=NAMES_NONE, match_code="Q"), u(match_code="O"), "read again", False),
    "an old letter that contradicts the unit's, after a specialist's setting": (
        s(setting=NAMES_NONE), u(match_code="M", match_code_read_from="seller"), "contradict", False),
}  # fmt: skip


@pytest.mark.parametrize(("sensor", "unit", "words", "told"), TOLD.values(), ids=TOLD)
def test_what_is_told_beside_the_grade(sensor: Candidate, unit: Candidate, words: str, told: bool) -> None:
    says = [reason.says for reason in grade(sensor, unit, FITS).reasons]

    assert told == any(words in each for each in says)


def confirmed_pair(record: Record) -> tuple[str, str]:
    """A sensor and a control unit whose numbers fit and whose letters are one, the sensor's cap intact."""
    sensor, unit = make_part(record, SENSOR), make_part(record, UNIT)
    with record.write() as session:
        parts.state_fit(session, BY, "HV 204 118", "HV 310 002")
        seals.note_seal(session, BY, sensor, "cap", "intact", on="2024-01-01")
    return sensor, unit


def only_mate(record: Record, tag: str) -> PairJudgement:
    with record.read() as session:
        (pair,) = mates(session, tag)
        assert pair.reasons
    return pair


@pytest.mark.parametrize(
    ("what", "area", "expected", "told"),
    [
        ("bracket resprayed", "outside", "confirmed", "nothing on record against the control unit"),
        ("idle knob to three notches from lean", "outside", "confirmed", "outside idle-mixture knob of control unit"),
        ("board resoldered", "on the unit", "possible", "work on the control unit itself: board resoldered"),
    ],
)
def test_only_work_on_the_control_unit_itself_lowers(
    record: Record, what: str, area: str, expected: str, told: str
) -> None:
    sensor, unit = confirmed_pair(record)
    with record.write() as session:
        parts.log_work(session, BY, unit, what, area, on="2024-02-01")

    pair = only_mate(record, sensor)

    assert (unit, expected) == (pair.unit, pair.grade)
    assert any(reason.says.startswith(told) for reason in pair.reasons)


CURVE = {0: 1.700, 5: 1.640, 10: 1.570, 20: 1.400, 30: 1.210, 40: 1.020, 50: 0.850}
VACUA = [*CURVE, *list(CURVE)[-2::-1]]
SWEPT = [f"{vacuum}cmHg={CURVE[vacuum]:.4f}H" for vacuum in VACUA]
TIGHT = ["0s=50cmHg", "10s=50cmHg"]
METER = {"frequency": "1kHz", "meter": "L2: 0.5% + 3 counts"}


def test_a_sweep_on_record_raises_a_pair_with_a_broken_seal_until_another_is_found_broken(
    record: Record,
) -> None:
    sensor, _ = confirmed_pair(record)
    trusted = make_part(record, SENSOR)

    def broken(seal: str, on: str) -> str:
        with record.write() as session:
            seals.note_seal(session, BY, sensor, seal, "disturbed", on=on)
        return only_mate(record, sensor).grade

    def sweep(tag: str, on: str, **beside: str) -> None:
        with record.write() as session:
            bench.run(session, BY, tag, "sweep", SWEPT, {**METER, **beside}, on=on)

    before = broken("cap", "2024-02-01")
    sweep(trusted, "2024-03-01")
    sweep(sensor, "2024-03-02", reference=trusted)
    shown = only_mate(record, sensor)
    since = broken("paint mark", "2024-04-01")

    assert (before, shown.grade, since) == ("possible", "probable", "possible")
    assert shown.next_step == ONLY_A_PAPER


def test_a_failed_test_on_record_stands_beside_the_grade_until_the_part_passes_it(record: Record) -> None:
    sensor, _ = confirmed_pair(record)

    def hold(left: str, on: str) -> str:
        with record.write() as session:
            found = bench.run(session, BY, sensor, "hold", ["0s=50cmHg", f"10s={left}cmHg"], {"blank": TIGHT}, on=on)
        return found.judgement.verdict

    failed, beside = hold("44", "2024-02-01"), only_mate(record, sensor)
    passed, after = hold("50", "2024-03-01"), only_mate(record, sensor)

    assert (failed, beside.grade, passed, after.grade) == ("fail", "confirmed", "pass", "confirmed")
    assert beside.says == "belong together; sensor failed the hold on 1 February 2024"
    assert (
        beside.next_step
        == f"have sensor {sensor} repaired by a specialist, or mended here with a report and pictures, or look for a sound one"
    )
    assert after.says == "codes read on both, equal; sensor seals intact"
    assert [(test["verdict"], test["says"]) for test in after.as_dict()["tests"]] == [  # type: ignore[attr-defined]
        ("pass", "passed the hold on 1 March 2024")
    ]
