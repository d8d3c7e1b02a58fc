"""A thermistor's curve: the band at each temperature, and what the control unit is told."""

from __future__ import annotations

from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.methods.thermistor.laws import Curve
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.data import PROGRAM
from tests.judging import check, judge

METER = "0.5% + 1 x 1ohm"
KEYS = {
    "at_degc",
    "as_read_ohm",
    "expanded_uncertainty_ohm",
    "expected_ohm",
    "low_limit_ohm",
    "high_limit_ohm",
    "believes_degc",
    "at_least_ohm",
    "p_within_limits",
    "verdict",
}


def measured(*readings: str, kind: str = "coolant temperature sensor", **conditions: object) -> RunJudgement:
    return judge("curve", kind, readings, conditions)


def figures(run: RunJudgement, name: str) -> dict[str, Any]:
    return cast(dict[str, Any], run.figures[name])


def test_a_good_sensor_passes_and_believes_what_is_so() -> None:
    run = measured("20degC=2502ohm", "80degC=0.31kohm", meter=METER)

    assert run.verdict == "pass"
    assert set(figures(run, "20degC")) == KEYS
    assert figures(run, "20degC")["believes_degc"] == pytest.approx(20.0, abs=0.1)
    assert "20 degC: 2502 ohm (2.125 to 2.875 kohm), the control unit takes this for 20.0 degC: pass" in run.says
    assert "80 degC: 0.31 kohm" in run.says


@pytest.mark.parametrize(
    ("reading", "verdict", "believes"),
    [
        ("20degC=2100ohm", "undecided", 24.3),
        ("20degC=1900ohm", "undecided", 26.8),
        ("20degC=3600ohm", "undecided", 11.3),
        ("20degC=810ohm", "fail", 50.0),
        ("20degC=6000ohm", "fail", 0.0),
        ("25degC=2050ohm", "pass", 24.9),
        ("77degF=2050ohm", "pass", 24.9),
    ],
)
def test_off_by_so_much_it_believes_another_temperature(reading: str, verdict: str, believes: float) -> None:
    run = measured(reading, meter=METER)

    one = figures(run, reading.split("=")[0])
    assert run.verdict == verdict
    assert one["believes_degc"] == pytest.approx(believes, abs=0.1)


def test_open_and_short_are_told_as_what_the_unit_believes() -> None:
    open_wire = measured("20degC=OL")
    short = measured("20degC=0.3ohm")

    assert (open_wire.verdict, short.verdict) == ("fail", "fail")
    assert figures(open_wire, "20degC")["at_least_ohm"] == 2e6
    assert figures(open_wire, "20degC")["as_read_ohm"] is None
    assert "open: the control unit takes this for colder than -20 degC" in open_wire.says
    assert "the control unit takes this for hotter than 120 degC" in short.says


def test_a_bound_inside_the_band_cannot_tell() -> None:
    assert measured("20degC=>2000ohm").verdict == "undecided"


def test_beyond_the_table_nothing_is_judged() -> None:
    run = measured("-30degC=27kohm", "20degC=2500ohm")

    assert figures(run, "-30degC")["verdict"] == "not judged"
    assert figures(run, "-30degC")["low_limit_ohm"] is None
    assert figures(run, "20degC")["verdict"] == "pass"
    assert "the table covers -20 to 120 degC" in run.says


def test_the_thermometer_widens_what_is_told() -> None:
    by_meter_alone = 2 * (0.005 * 2500 + 1.0) / 3**0.5

    assert figures(measured("20degC=2500ohm", meter=METER), "20degC")["expanded_uncertainty_ohm"] > 5 * by_meter_alone


def test_the_leads_are_taken_off_and_missed_where_they_count() -> None:
    noted = measured("110degC=135.0ohm", leads="0.5ohm", meter=METER)
    low = measured("120degC=98.0ohm", meter=METER)

    assert (
        figures(noted, "110degC")["believes_degc"] > figures(measured("110degC=135.0ohm"), "110degC")["believes_degc"]
    )
    assert any("the resistance of the leads, 0.5 ohm, is subtracted" in reason.says for reason in noted.reasons)
    assert any("was not noted: the true value at 120degC" in reason.says for reason in low.reasons)


def test_the_table_is_from_memory_and_says_so() -> None:
    run = measured("20degC=2500ohm")

    assert run.reasons[0].standing == "from memory"
    assert "check your workshop manual" in run.reasons[0].source


@pytest.mark.parametrize(
    ("reading", "verdict", "says"),
    [
        ("20degC=300ohm", "not judged", "about 300 ohm or about 2.5 kohm at 20 degC (from memory): which sort is it?"),
        ("20degC=2500ohm", "not judged", "which sort is it?"),
        ("20degC=OL", "fail", "open: fail"),
        ("20degC=0.2ohm", "fail", "shorted: fail"),
    ],
)
def test_a_kind_of_two_sorts_has_no_table_and_is_open_or_shorted_all_the_same(
    reading: str, verdict: str, says: str
) -> None:
    run = measured(reading, kind="air temperature sensor", meter=METER)
    assert run.verdict == verdict
    assert says in run.says


def test_one_point_is_not_the_curve() -> None:
    one, three = measured("20degC=2500ohm"), measured("0degC=6000ohm", "20degC=2500ohm", "80degC=310ohm")
    assert (one.verdict, one.covers) == ("pass", ("20degC",))
    assert one.says.endswith("; other temperatures not measured")
    assert (three.verdict, three.covers) == ("pass", None)


def test_the_table_on_file_falls_throughout() -> None:
    specs = PROGRAM.procedure("curve").readings_of("coolant temperature sensor")

    middles = [((spec.low or 0) + (spec.high or 0)) / 2 for spec in specs]
    assert len(specs) > 5
    assert middles == sorted(middles, reverse=True)
    assert all(spec.standing == "from memory" and "check your workshop manual" in spec.source for spec in specs)


@pytest.mark.parametrize(
    ("reading", "code"),
    [
        ("20=2500ohm", "no-quantity"),
        ("warm=2500ohm", "no-quantity"),
        ("20degC=2500", "no-quantity"),
        ("20degC=20degC", "wrong-dimension"),
        ("2500ohm", "no-reading"),
    ],
)
def test_what_is_no_point_of_a_curve_is_refused(reading: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        check("curve", "coolant temperature sensor", [reading], {})

    assert refused.value.code == code


def test_repeats_at_one_temperature_count_as_their_mean_whatever_it_is_called() -> None:
    steady, jumping = (
        judge("curve", "coolant temperature sensor", ["20degC=2500ohm", f"68degF={other}ohm"], {}).figures["20degC"]
        for other in (2510, 2900)
    )

    assert isinstance(steady, dict)
    assert isinstance(jumping, dict)
    assert (steady["verdict"], jumping["verdict"], steady["repeats"]) == ("pass", "undecided", 2)
    assert steady["as_read_ohm"] == pytest.approx(2505.0)
    with pytest.raises(Refused) as refused:
        check("curve", "coolant temperature sensor", ["20degC=2500ohm", "68degF=OL"], {})
    assert refused.value.code == "reading-twice"


CURVE = Curve(((-20.0, 16000.0), (0.0, 6000.0), (20.0, 2500.0), (50.0, 810.0), (80.0, 310.0), (120.0, 105.0)))


@given(tenths=st.integers(-200, 1200))
def test_there_and_back_is_the_same_temperature(tenths: int) -> None:
    degc = tenths / 10

    assert CURVE.degc(CURVE.ohm(degc)) == pytest.approx(degc, abs=1e-6)


def test_two_points_make_a_beta_law() -> None:
    pair = Curve(((25.0, 10_000.0), (85.0, 1066.1)))

    assert pair.degc(pair.ohm(50.0)) == pytest.approx(50.0)
    assert pair.ohm(25.0) == pytest.approx(10_000.0)
