"""What calibrations say of runs: in date or not, doubtful or not, and the line of corrections."""

from __future__ import annotations

import pytest

from inventory.bench.instruments.calibration import (
    Calibrated,
    correction_line,
    dimension_of,
    doubt_of,
    in_force,
    out_of_date,
)
from inventory.bench.instruments.instrument_defaults import instrument_defaults
from inventory.bench.quantities.correction import straight_line
from inventory.bench.quantities.units import Dimension
from inventory.bench.typed_run import InstrumentUsed
from inventory.errors import Refused
from tests.judging import context, judge


def done(day: str, result: str = "passed", due: str | None = None) -> Calibrated:
    return Calibrated(day, result, due, (), f"calibration-{day}")


GOOD_BAD_GOOD = [done("2025-01-10"), done("2026-01-10", "failed"), done("2026-01-20")]


@pytest.mark.parametrize(
    ("calibrations", "day", "doubtful"),
    [
        (GOOD_BAD_GOOD, "2024-06-01", False),
        (GOOD_BAD_GOOD, "2025-01-10", True),
        (GOOD_BAD_GOOD, "2025-06-01", True),
        (GOOD_BAD_GOOD, "2026-01-10", True),
        (GOOD_BAD_GOOD, "2026-01-15", True),
        (GOOD_BAD_GOOD, "2026-01-20", False),
        (GOOD_BAD_GOOD, "2026-03-01", False),
        ([], "2026-01-01", False),
        ([done("2026-01-10", "failed")], "2020-01-01", True),
        ([done("2026-01-10", "failed"), done("2026-01-10")], "2026-01-10", False),
        ([done("2026-01-10")], "2020-01-01", False),
    ],
)
def test_which_runs_a_calibration_makes_doubtful(calibrations: list[Calibrated], day: str, doubtful: bool) -> None:
    says, facts = doubt_of(calibrations, day)

    assert bool(says) == doubtful
    assert bool(facts) == doubtful


def test_the_doubt_names_both_calibrations_it_lies_between() -> None:
    says, facts = doubt_of(GOOD_BAD_GOOD, "2025-06-01")

    assert says == "did not pass its calibration of 2026-01-10; nothing shows that it read right since 2025-01-10"
    assert facts == ("calibration-2026-01-10", "calibration-2025-01-10")


@pytest.mark.parametrize(
    ("calibrations", "first_due", "day", "since"),
    [
        ([], None, "2026-01-01", ""),
        ([], "2025-12-31", "2026-01-01", "2025-12-31"),
        ([], "2026-01-01", "2026-01-01", ""),
        ([done("2025-01-01", due="2025-12-31")], "2024-01-01", "2026-01-01", "2025-12-31"),
        ([done("2025-01-01", due="2026-12-31")], "2024-01-01", "2026-01-01", ""),
        ([done("2025-01-01")], "2024-01-01", "2026-01-01", ""),
        ([done("2026-06-01", due="2027-06-01")], "2025-01-01", "2026-01-01", "2025-01-01"),
    ],
)
def test_out_of_date(calibrations: list[Calibrated], first_due: str | None, day: str, since: str) -> None:
    assert out_of_date(calibrations, first_due, day) == since


def test_the_calibration_in_force_is_the_last_by_that_day() -> None:
    assert in_force(GOOD_BAD_GOOD, "2026-01-12") == GOOD_BAD_GOOD[1]
    assert in_force(GOOD_BAD_GOOD, "2024-01-01") is None


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("1 cmHg", "pressure"),
        ("0.1ohm", "resistance"),
        ("12V", "voltage"),
        ("OL", "resistance"),
        ("good", None),
        ("", None),
    ],
)
def test_what_a_word_measures(text: str, dimension: str | None) -> None:
    assert dimension_of(text) == dimension


def test_points_draw_a_line_in_si() -> None:
    dimension, line = correction_line(["1.010kohm=1kohm", "510ohm=500ohm", "10ohm=0ohm"])

    assert dimension == "resistance"
    assert line.at(200.0)[0] == pytest.approx(-10.0)
    assert (line.covers(5.0), line.covers(10.0), line.covers(1010.0)) == (False, True, True)


@pytest.mark.parametrize(
    ("points", "code"),
    [
        (["100ohm=99ohm", "200ohm=199ohm"], "too-few-points"),
        (["100ohm=99ohm", "100ohm=99ohm", "100ohm=98ohm"], "too-few-points"),
        (["100ohm=99ohm", "2V=2V", "3ohm=3ohm"], "points-mixed"),
        (["100ohm", "2ohm=2ohm", "3ohm=3ohm"], "no-reading"),
        (["100ohm=good", "2ohm=2ohm", "3ohm=3ohm"], "no-point"),
        (["OL=1ohm", "2ohm=2ohm", "3ohm=3ohm"], "no-point"),
        ([], "points-mixed"),
    ],
)
def test_points_that_draw_no_line_are_refused(points: list[str], code: str) -> None:
    with pytest.raises(Refused) as refused:
        correction_line(points)

    assert refused.value.code == code


METER = InstrumentUsed("Meter 1", "0.8% + 2 x 0.1ohm", "0.1ohm")


@pytest.mark.parametrize(
    ("takes", "readings", "noted", "method", "expected"),
    [
        (("meter", "resolution"), ["a=94.1ohm"], {}, "resistance",
         {"meter": "0.8% + 2 x 0.1ohm", "resolution": "0.1ohm"}),
        (("meter", "resolution"), ["a=94.1ohm"], {"meter": "1%"}, "resistance", {"meter": "1%", "resolution": "0.1ohm"}),
        (("meter",), ["a=94.1ohm"], {}, "resistance", {"meter": "0.8% + 2 x 0.1ohm"}),
        (("meter", "resolution"), ["a=12.1V"], {}, "limits", {}),
        (("meter", "resolution"), ["a=good"], {}, "limits", {}),
    ],
)  # fmt: skip
def test_what_was_typed_wins_and_what_does_not_fit_is_left_alone(
    takes: tuple[str, ...], readings: list[str], noted: dict[str, object], method: str, expected: dict[str, object]
) -> None:
    assert instrument_defaults(noted, takes, readings, METER, method) == expected


def test_a_sweep_takes_the_meter_by_name_and_no_resolution_of_it() -> None:
    bridge = InstrumentUsed("L2", "1%", "0.01H")

    assert instrument_defaults({}, ("meter", "resolution"), ["40cmHg=1.2H"], bridge, "sweep") == {"meter": "L2: 1%"}


def test_a_run_takes_accuracy_from_its_instrument() -> None:
    by_name = judge(
        "resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC"}, context(instrument=METER)
    )
    typed = judge(
        "resistance",
        "pressure sensor",
        ["primary=94.1ohm"],
        {"ambient": "20degC", "meter": "0.8% + 2 x 0.1ohm", "resolution": "0.1ohm"},
    )

    assert by_name == typed


def test_a_doubtful_instrument_leaves_nothing_decided() -> None:
    used = InstrumentUsed("Meter 1", doubt="did not pass its calibration of 2026-01-10", facts=("calibration-2",))

    run = judge("resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC"}, context(instrument=used))

    assert run.verdict == "undecided"
    assert run.says.startswith("doubtful, Meter 1 did not pass its calibration of 2026-01-10: measure again. As read: ")
    assert run.reasons[0].facts == ("calibration-2",)


@pytest.mark.parametrize(("corrects", "said"), [("pressure", True), ("resistance", False)])
def test_corrections_that_a_method_does_not_apply_are_owned_up_to(corrects: Dimension, said: bool) -> None:
    used = InstrumentUsed("Gauge 2", corrects=corrects, line=straight_line([0.0, 1.0, 2.0], [0.0, 0.0, 0.1]))

    run = judge("hold", "pressure sensor", ["0s=50cmHg", "10s=49cmHg"], {}, context(instrument=used))

    assert any("are not applied here" in reason.says for reason in run.reasons) == said


def test_what_could_not_be_told_stays_so_and_says_that_it_is_doubtful_too() -> None:
    used = InstrumentUsed("Meter 1", doubt="did not pass its calibration of 2026-01-10")

    run = judge("resistance", "injector", ["coil=2.4ohm"], {}, context(instrument=used))

    assert (run.verdict, run.doubtful) == ("not judged", True)
    assert run.says.startswith("doubtful, Meter 1 did not pass")


def test_out_of_date_and_unknown_are_said_and_decide_nothing() -> None:
    plain = judge("resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC"})
    late = judge(
        "resistance",
        "pressure sensor",
        ["primary=94.1ohm"],
        {"ambient": "20degC"},
        context(instrument=InstrumentUsed("Meter 1", due="2025-12-31")),
    )
    gone = judge(
        "resistance",
        "pressure sensor",
        ["primary=94.1ohm"],
        {"ambient": "20degC"},
        context(instrument=InstrumentUsed("Meter 9", missing='no instrument "Meter 9" is on record')),
    )

    assert (late.verdict, gone.verdict) == (plain.verdict, plain.verdict)
    assert late.reasons[-1].says == "Meter 1 is out of date: calibration was due by 2025-12-31"
    assert gone.reasons[-1].says.startswith('no instrument "Meter 9" is on record')


def test_a_calibration_line_sets_readings_right_and_widens_them() -> None:
    line = straight_line([1.0, 100.0, 200.0], [0.0, -1.0, -2.1])
    used = InstrumentUsed("Meter 1", "0.8% + 2 x 0.1ohm", corrects="resistance", line=line)
    known = context(instrument=used)

    right = judge("resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC"}, known)
    plain = judge(
        "resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC"}, context(instrument=METER)
    )
    far = judge("resistance", "pressure sensor", ["secondary=361ohm"], {"ambient": "20degC"}, known)

    (one, other) = (run.figures["primary"] for run in (right, plain))
    assert isinstance(one, dict)
    assert isinstance(other, dict)
    assert one["at_20_degc_ohm"] == pytest.approx(94.1 + line.at(94.1)[0])
    assert one["as_read_ohm"] == 94.1
    assert one["expanded_uncertainty_ohm"] > other["expanded_uncertainty_ohm"]
    assert any("straight line of the meter's last calibration" in reason.says for reason in right.reasons)
    assert any("secondary outside the calibrated range" in reason.says for reason in far.reasons)
