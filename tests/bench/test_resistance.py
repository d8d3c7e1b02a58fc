"""Resistances: carried to 20 degC where they are copper, held against limits, beyond the range as bounds."""

from __future__ import annotations

from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.verdicts import DIFFERS, RunJudgement, Verdict, worst
from inventory.errors import Refused
from tests.judging import check, judge

METER = "0.8% + 2 x 0.1ohm"
KEYS = {
    "at_20_degc_ohm",
    "expanded_uncertainty_ohm",
    "low_limit_ohm",
    "high_limit_ohm",
    "at_least_ohm",
    "as_read_ohm",
    "p_within_limits",
    "verdict",
}


def measured(*readings: str, kind: str = "pressure sensor", **conditions: object) -> RunJudgement:
    return judge("resistance", kind, readings, conditions)


def figures(run: RunJudgement, name: str) -> dict[str, Any]:
    return cast(dict[str, Any], run.figures[name])


def test_the_contracts_example() -> None:
    run = measured("primary=94.1ohm", "secondary=361ohm", "case=OL", ambient="31degC", meter=METER)
    assert run.verdict == "pass"
    assert all(set(figures(run, name)) == KEYS for name in ("primary", "secondary", "case"))
    primary, secondary, case = (figures(run, name) for name in ("primary", "secondary", "case"))
    assert primary["at_20_degc_ohm"] == pytest.approx(94.1 / 1.04323, rel=1e-9)
    assert primary["expanded_uncertainty_ohm"] == pytest.approx(2 * (0.008 * 94.1 + 0.2) / 3**0.5 / 1.04323)
    assert (primary["low_limit_ohm"], primary["high_limit_ohm"], primary["at_least_ohm"]) == (80.0, 100.0, None)
    assert secondary["at_20_degc_ohm"] == pytest.approx(346.04, abs=0.01)
    assert case["at_least_ohm"] == 2e6
    assert {name for name, value in case.items() if value is not None} == {"at_least_ohm", "verdict"}
    assert "primary 90.20 ohm at 20 degC (80 to 100 ohm): pass" in run.says


def test_the_temperature_is_owned_up_to() -> None:
    with_it = measured("primary=94.1ohm", ambient="31degC")
    assert any("31 degC is assumed to be the part's temperature" in reason.says for reason in with_it.reasons)
    without = measured("primary=94.1ohm", meter=METER)
    assert any("20 degC assumed, to within 10 K" in reason.says for reason in without.reasons)
    narrow = figures(measured("primary=94.1ohm", ambient="20degC", meter=METER), "primary")
    assert figures(without, "primary")["expanded_uncertainty_ohm"] > 2 * narrow["expanded_uncertainty_ohm"]


def test_without_a_temperature_a_value_near_its_limit_cannot_be_called() -> None:
    assert measured("primary=98.0ohm", ambient="20degC", meter=METER).verdict == "pass"
    assert measured("primary=98.0ohm", meter=METER).verdict == "undecided"


def test_hot_copper_over_the_limit_can_be_good() -> None:
    cold = measured("primary=108.0ohm", ambient="20degC", meter=METER)
    assert (cold.verdict, DIFFERS in cold.says) == ("undecided", True)
    assert measured("primary=210.0ohm", ambient="20degC", meter=METER).verdict == "fail"
    assert measured("primary=108.0ohm", ambient="70degC", meter=METER).verdict == "pass"


@pytest.mark.parametrize(
    ("reading", "verdict", "at_least"),
    [
        ("primary=OL", "fail", 2e6),
        ("primary=>200ohm", "undecided", 200.0),
        ("primary=>250ohm", "fail", 250.0),
        ("primary=>50ohm", "undecided", 50.0),
        ("case=>20Mohm", "pass", 2e7),
        ("case=>200kohm", "undecided", 2e5),
    ],
)
def test_beyond_the_range_is_judged_by_its_bound(reading: str, verdict: str, at_least: float) -> None:
    run = measured(reading)
    assert run.verdict == verdict
    assert figures(run, reading.split("=")[0])["at_least_ohm"] == pytest.approx(at_least)


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [("primary=0.2ohm", "fail"), ("case=0.2ohm", "fail"), ("case=15Mohm", "pass"), ("primary=99.5ohm", "undecided")],
)
def test_readings_against_their_limits(reading: str, verdict: str) -> None:
    assert measured(reading, ambient="20degC", meter=METER).verdict == verdict


def test_insulation_is_not_carried_to_another_temperature() -> None:
    case = figures(measured("case=15Mohm", ambient="31degC", meter=METER), "case")
    assert (case["at_20_degc_ohm"], case["expanded_uncertainty_ohm"]) == (None, None)
    assert case["as_read_ohm"] == pytest.approx(15e6)


def test_a_kind_without_limits_is_not_judged_and_says_why() -> None:
    run = measured("coil=2.4ohm", kind="injector", ambient="25degC", meter=METER)
    assert run.verdict == "not judged"
    assert figures(run, "coil")["at_20_degc_ohm"] == pytest.approx(2.4 / 1.01965)
    assert any("no limit on file" in reason.rule for reason in run.reasons)


def test_a_thermistor_is_not_taken_for_copper() -> None:
    run = measured("element=2500ohm", kind="coolant temperature sensor", ambient="35degC", meter=METER)
    assert run.verdict == "not judged"
    assert figures(run, "element")["at_20_degc_ohm"] is None


def test_the_worst_reading_is_the_runs_verdict_and_what_was_left_out_is_named() -> None:
    run = measured("primary=90ohm", "secondary=OL", ambient="20degC", meter=METER)
    assert run.verdict == "fail"
    assert figures(run, "primary")["verdict"] == "pass"
    assert (run.says.rpartition("; ")[2], run.covers) == ("case not measured", ("primary", "secondary"))
    assert any(reason.says == "case not measured" for reason in run.reasons)


def test_good_insulation_passes_insulation_alone() -> None:
    run = measured("case=OL")
    assert (run.verdict, run.covers) == ("pass", ("case",))
    assert run.says.endswith("; primary and secondary not measured")
    whole = measured("primary=90ohm", "secondary=350ohm", "case=OL", ambient="20degC", meter=METER)
    assert (whole.verdict, whole.covers) == ("pass", None)


def test_limits_from_memory_are_marked_so() -> None:
    run = measured("primary=94.1ohm", ambient="20degC", meter=METER)
    assert run.reasons[0].standing == "from memory"
    assert "check your workshop manual" in run.reasons[0].source


def test_a_meter_that_was_not_named_is_assumed_and_said() -> None:
    run = measured("primary=94.1ohm", ambient="20degC")
    assert any("no meter noted: 1 % of the reading and 2 steps assumed" in reason.says for reason in run.reasons)
    assert figures(run, "primary")["expanded_uncertainty_ohm"] == pytest.approx(2 * (0.941 + 0.2) / 3**0.5)


@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        (["pass", "fail", "undecided"], "fail"),
        (["pass", "undecided", "not judged"], "undecided"),
        (["pass", "not judged"], "not judged"),
        (["pass"], "pass"),
        ([], "not judged"),
    ],
)
def test_worst(verdicts: list[Verdict], expected: str) -> None:
    assert worst(verdicts) == expected


@given(tenths=st.integers(1, 2000), ambient=st.integers(-20, 90))
def test_one_reading_is_never_both_inside_and_outside(tenths: int, ambient: int) -> None:
    one = figures(measured(f"primary={tenths / 10}ohm", ambient=f"{ambient}degC", meter=METER), "primary")
    value, margin = one["at_20_degc_ohm"], one["expanded_uncertainty_ohm"]
    if one["verdict"] == "pass":
        assert 80 <= value <= 100
    elif one["verdict"] == "fail":
        assert value < 40 or value > 200
    else:
        assert value <= 80 + margin or value >= 100 - margin
        assert 40 - margin <= value <= 200 + margin


def by_temperature(half_width_k: float) -> float:
    """The expanded uncertainty of 94.1 ohm of copper through its temperature alone."""
    return 2 * 94.1 * 0.00393 * half_width_k / 3**0.5


def test_just_off_the_engine_it_is_only_hotter_and_brought_in_it_is_either() -> None:
    def primary(**said: object) -> tuple[Any, str]:
        run = measured("primary=94.1ohm", ambient="20degC", **said)
        return figures(run, "primary"), " | ".join(reason.says for reason in run.reasons)

    rested, _ = primary()
    hot, hot_says = primary(**{"just off": "yes"})
    either, either_says = primary(lain="no")

    assert hot["at_20_degc_ohm"] == pytest.approx(94.1 / (1 + 0.00393 * 5))
    assert either["at_20_degc_ohm"] == pytest.approx(94.1)
    for wide, half_width in ((hot, 5.0), (either, 10.0)):
        expected = (rested["expanded_uncertainty_ohm"] ** 2 + by_temperature(half_width) ** 2) ** 0.5
        assert wide["expanded_uncertainty_ohm"] == pytest.approx(expected, rel=0.05)
    assert "just off the engine, so up to 10 K hotter, not colder" in hot_says
    assert "up to 10 K hotter or colder" in either_says


def test_heat_excuses_only_what_reads_high() -> None:
    def primary(reading: str, **said: object) -> RunJudgement:
        return measured(f"primary={reading}", ambient="20degC", meter=METER, **said)

    high = [primary("98.5ohm", **said).verdict for said in ({"just off": "yes"}, {"lain": "no"})]
    low = [DIFFERS in primary("78.0ohm", **said).says for said in ({"just off": "yes"}, {"lain": "no"})]
    assert (high, low) == (["pass", "undecided"], [True, False])


def test_just_off_with_no_temperature_noted_is_wider_still() -> None:
    run = judge("resistance", "pressure sensor", ["primary=94.1ohm"], {"just off": "yes"})

    assert any(
        "assumed, to within 10 K; just off the engine, so up to 10 K hotter" in each.says for each in run.reasons
    )


def test_a_part_that_lay_there_an_hour_is_not_widened() -> None:
    with_it = judge("resistance", "pressure sensor", ["primary=94.1ohm"], {"ambient": "20degC", "lain": "yes"})

    assert with_it == measured("primary=94.1ohm", ambient="20degC")


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ({"lain": "perhaps"}, "not-yes-or-no"),
        ({"lain": "yes", "just off": "yes"}, "just-off-and-lain"),
        ({"leads": "50ohm"}, "no-leads"),
        ({"leads": "OL"}, "no-leads"),
        ({"leads": "0.2"}, "no-quantity"),
    ],
)
def test_what_cannot_be_so_is_refused(said: dict[str, object], code: str) -> None:
    with pytest.raises(Refused) as refused:
        check("resistance", "pressure sensor", ["primary=94.1ohm"], said)

    assert refused.value.code == code


def test_the_leads_are_taken_off() -> None:
    run = judge("resistance", "injector", ["coil=2.70ohm"], {"leads": "0.30ohm", "ambient": "20degC"})

    coil = figures(run, "coil")
    assert coil["at_20_degc_ohm"] == pytest.approx(2.40)
    assert coil["as_read_ohm"] == pytest.approx(2.70)
    assert any("the resistance of the leads, 0.30 ohm, is subtracted" in reason.says for reason in run.reasons)


def test_below_10_ohm_leads_that_were_not_noted_are_missed() -> None:
    low = judge("resistance", "injector", ["coil=2.70ohm"], {})
    high = judge("resistance", "injector", ["coil=16.2ohm"], {})

    assert any(
        "the resistance of the leads was not noted: the true value of coil" in reason.says for reason in low.reasons
    )
    assert not any("leads" in reason.says for reason in high.reasons)


@pytest.mark.parametrize(
    ("reading", "said", "verdict", "words"),
    [
        ("coil=0.3ohm", {"leads": "0.3ohm"}, "fail", "no more than the leads: shorted"),
        ("coil=0.2ohm", {"leads": "0.3ohm"}, "fail", "no more than the leads: shorted"),
        ("coil=0.3ohm", {}, "undecided", "shorted, or only the leads: note their resistance"),
        ("coil=OL", {}, "fail", "beyond the range, open"),
        ("coil=>20Mohm", {}, "fail", "beyond the range, open"),
        ("coil=>200ohm", {}, "not judged", "beyond the range"),
    ],
)
def test_a_winding_is_open_or_shorted_by_any_book(
    reading: str, said: dict[str, object], verdict: str, words: str
) -> None:
    run = judge("resistance", "injector", [reading], said)

    assert run.verdict == verdict
    assert words in run.says


def test_how_near_to_a_limit_and_how_wide_stand_one_step_deeper() -> None:
    run = measured("primary=99.5ohm", ambient="20degC", meter=METER)

    assert figures(run, "primary")["p_within_limits"] == pytest.approx(0.8077, abs=0.0005)
    assert "inside, but not clear of a limit" in run.reasons[0].says
    assert any("k = 1.65 covers 95 %" in reason.says for reason in run.reasons)


def test_repeats_that_jump_leave_a_winding_undecided() -> None:
    steady, jumping = (
        judge("resistance", "pressure sensor", [f"primary={each}ohm" for each in ohms], {"ambient": "20degC"})
        for ohms in (("97.1", "97.3", "97.2"), ("92.1", "97.3", "102.2"))
    )

    assert (steady.verdict, jumping.verdict) == ("pass", "undecided")
    assert steady.says.startswith("primary 97.20 ohm at 20 degC, mean of 3 (80 to 100 ohm): pass")
