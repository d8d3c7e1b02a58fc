"""A sweep beside its reference: how the words are read, what is found where, and what is not judged."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.methods.sweep.curve import Meter, Point, Way
from inventory.bench.methods.sweep.run import parse_ways
from inventory.bench.quantities.readings import MeterSpec
from inventory.bench.quantities.units import parse_quantity
from inventory.bench.typed_run import ReferenceRun
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from tests.judging import check, context, judge

CURVE = {0: 1.700, 5: 1.640, 10: 1.570, 20: 1.400, 30: 1.210, 40: 1.020, 50: 0.850}
METER = "L2: 0.5% + 3 counts"
LIMIT_CONDITIONS = {"frequency": "1kHz", "meter": METER}
NUMBER = "HV 204 118"
TAG = "J41N8-R"
FULL, LIGHT = range(15), range(15, 51)


def swept(
    factor: Callable[[int], float] = lambda _: 1.0,
    back: Callable[[int], float] | None = None,
    vacua: Sequence[int] = tuple(CURVE),
) -> tuple[str, ...]:
    """The curve as typed, times a factor for each vacuum, down to the deepest and back up."""
    up = back or factor
    down = [f"{vacuum}cmHg={CURVE[vacuum] * factor(vacuum):.4f}H" for vacuum in vacua]
    return (*down, *(f"{vacuum}cmHg={CURVE[vacuum] * up(vacuum):.4f}H" for vacuum in vacua[-2::-1]))


def trusted(readings: Sequence[str] = swept(), **fields: Any) -> ReferenceRun:
    conditions = {**LIMIT_CONDITIONS, **fields.pop("conditions", {})}
    number = fields.pop("part_number", NUMBER)
    return ReferenceRun(TAG, number, tuple(readings), conditions, facts=("bench_run-3",), **fields)


def beside(
    readings: Sequence[str],
    verdict_against: ReferenceRun | None = None,
    number: str = "hv-204.118",
    **conditions: object,
) -> RunJudgement:
    noted = {**LIMIT_CONDITIONS, "reference": TAG, **conditions}
    return judge(
        "sweep",
        "pressure sensor",
        readings,
        noted,
        context(number, reference=verdict_against or trusted()),
    )


def said(run: RunJudgement) -> str:
    return "\n".join(f"{reason.says}. {reason.rule}" for reason in run.reasons)


def six_percent(where: range) -> Callable[[int], float]:
    return lambda vacuum: 1.06 if vacuum in where else 1.0


@pytest.mark.parametrize(
    ("readings", "verdict", "comparison"),
    [
        (swept(), "pass", "like the reference"),
        (swept(lambda _: 1.01), "pass", "like the reference"),
        (swept(six_percent(FULL)), "fail", "differs at full load"),
        (swept(six_percent(LIGHT)), "fail", "differs at light load"),
        (swept(lambda _: 0.94), "fail", "differs throughout"),
        (swept(lambda _: 0.985, lambda _: 1.015), "fail", "gap between down and up"),
        (swept(lambda _: 1.029), "undecided", None),
    ],
)
def test_what_is_found(readings: Sequence[str], verdict: str, comparison: str | None) -> None:
    run = beside(readings)

    assert (run.verdict, run.figures["comparison"]) == (verdict, comparison)
    assert run.says.startswith(comparison or "undecided")


def test_the_differences_and_their_uncertainties() -> None:
    """At 0 cmHg: one step of the gauge on a slope of 0.06 H in 5 cmHg, three counts of 0.0001 H, for each of 4 values."""
    run = beside(swept(six_percent(FULL)))

    step, mine, its = 3e-4 / 3**0.5, 0.0636 / 5 / 12**0.5, 0.06 / 5 / 12**0.5
    u = 1.06 * (((step**2 + mine**2) / 1.802**2 + (step**2 + its**2) / 1.7**2) / 2) ** 0.5
    assert run.figures["full_load_difference"] == pytest.approx(0.06, abs=1e-12)
    assert run.figures["full_load_difference_expanded_uncertainty"] == pytest.approx(2 * u, rel=1e-9)
    assert run.figures["full_load_difference_at_pa"] == 0.0
    assert run.figures["light_load_difference"] == 0.0
    assert run.figures["gap"] == 0.0
    assert (run.figures["difference_limit"], run.figures["gap_limit"]) == (0.03, 0.02)


def test_what_sticks_moves_the_ways_apart_and_leaves_their_mean() -> None:
    run = beside(swept(lambda _: 0.98, lambda _: 1.02, vacua=(0, 5, 10, 20, 30, 40)))

    rows = run.figures["rows"]
    assert isinstance(rows, list)
    assert run.figures["gap"] == pytest.approx(0.04, abs=1e-4)
    assert [row["difference"] for row in rows[:-1]] == pytest.approx([0.0] * 5, abs=1e-4)
    assert rows[-1]["gap"] is None
    assert rows[-1]["difference"] == pytest.approx(-0.02, abs=1e-4)


def test_a_scale_that_one_meter_has_wrong_falls_out_and_that_of_two_does_not() -> None:
    same = beside(swept())
    other = beside(swept(), meter="L3: 0.5% + 3 counts")
    unnamed = beside(swept(), trusted(conditions={"meter": "0.5% + 3 counts"}), meter="0.5% + 3 counts")

    u_same, u_other, u_unnamed = (
        run.figures["full_load_difference_expanded_uncertainty"] for run in (same, other, unnamed)
    )
    assert isinstance(u_same, float)
    assert u_other == u_unnamed == pytest.approx((u_same**2 + 8 * 0.005**2 / 3) ** 0.5, rel=1e-9)
    assert "the same meter for both, L2" in said(same)
    assert "not known to be the same meter" in said(other)


@pytest.mark.parametrize("name", ["L2", " l 2 ", "L2: 0.5% + 3 counts"])
def test_a_meter_is_known_by_its_name(name: str) -> None:
    assert "the same meter for both" in said(beside(swept(), meter=name))


def test_two_unlike_meters_leave_a_small_difference_undecided() -> None:
    readings = swept(lambda _: 1.045)

    assert beside(readings).verdict == "fail"
    assert beside(readings, meter="L3: 3% + 3 counts").verdict == "undecided"


@pytest.mark.parametrize(
    ("reference", "conditions", "why"),
    [
        (trusted(part_number="HV 204 097"), {}, "J41N8-R has another part number (HV 204 097, this part hv-204.118)"),
        (trusted(part_number=""), {}, "J41N8-R has another part number (none on record"),
        (trusted(), {"frequency": "120Hz"}, "this unit was measured at 120 Hz, J41N8-R at 1000 Hz"),
        (trusted(), {"frequency": ""}, "the frequency of the measurement on this unit was not noted"),
        (trusted(conditions={"frequency": ""}), {}, "the frequency of the measurement on J41N8-R was not noted"),
        (trusted(), {"reference": ""}, "no reference was named"),
        (ReferenceRun(TAG, NUMBER, missing="no sweep of it"), {}, "no sweep of it"),
        (trusted(["0cmHg=1H", "zero=2H"]), {}, "the sweep of J41N8-R cannot be read"),
        (trusted(swept(vacua=(0, 10, 20, 30))), {}, "J41N8-R was swept at fewer than 5 vacua on the way down"),
    ],
)
def test_what_cannot_be_compared_is_not_judged_but_the_gap_is_told(
    reference: ReferenceRun, conditions: dict[str, str], why: str
) -> None:
    run = beside(swept(lambda _: 0.98, lambda _: 1.02), reference, **conditions)

    assert run.verdict == "not judged"
    assert why in run.says
    assert run.figures["comparison"] == "gap between down and up"
    assert run.figures["gap"] == pytest.approx(0.04, abs=1e-4)
    assert run.figures["light_load_difference"] is run.figures["full_load_difference"] is None


def test_a_part_without_a_number_has_no_reference() -> None:
    run = beside(swept(), number="")

    assert run.verdict == "not judged"
    assert "the part number of this part is not on record" in run.says


def test_too_few_vacua_are_no_sweep() -> None:
    run = beside(swept(vacua=(0, 10, 20, 30)))

    assert run.verdict == "not judged"
    assert "4 vacua on the way down are too few; take 5 or more" in run.says


def test_without_a_way_back_likeness_is_not_called_and_a_difference_is() -> None:
    alike, other = (beside(swept(factor)[: len(CURVE)]) for factor in (lambda _: 1.0, lambda _: 1.06))

    assert (alike.verdict, alike.figures["gap"]) == ("undecided", None)
    assert "no way back to compare" in alike.says
    assert (other.verdict, other.figures["comparison"]) == ("fail", "differs throughout")


def test_a_short_way_back_does_not_prove_that_nothing_sticks() -> None:
    run = beside(swept()[:-3])

    assert (run.verdict, run.figures["comparison"]) == ("undecided", None)
    assert "gap between down and up: too close to the limit, or too few vacua, to decide" in said(run)


def test_nothing_is_read_beyond_the_ends_of_the_reference() -> None:
    run = beside(swept(), trusted(swept(vacua=(10, 20, 30, 40, 50))))

    rows = run.figures["rows"]
    assert isinstance(rows, list)
    assert [row["reference_down_h"] is None for row in rows] == [True, True, *[False] * 5]
    assert "2 of 7 vacua have no reference and are not compared" in said(run)
    assert run.verdict == "pass"


def test_a_zone_that_was_not_swept_is_not_called_alike() -> None:
    vacua = (15, 20, 30, 40, 50)
    curve = dict(zip(vacua, (1.49, 1.4, 1.21, 1.02, 0.85), strict=True))
    points = [f"{vacuum}cmHg={curve[vacuum]:.4f}H" for vacuum in (*vacua, *vacua[-2::-1])]

    run = beside(points)

    assert (run.verdict, run.figures["full_load_difference"]) == ("undecided", None)
    assert "full load no value" in run.says


@pytest.mark.parametrize("doubt", ["its hold of 2026-02-01 failed", "worked on since: opened, 2026-03-01"])
@pytest.mark.parametrize("factor", [1.0, 1.06])
def test_a_doubtful_reference_decides_nothing(doubt: str, factor: float) -> None:
    run = beside(swept(lambda _: factor), trusted(doubts=(doubt,)))

    assert (run.verdict, run.figures["comparison"]) == ("undecided", None)
    assert f"itself doubtful ({doubt})" in run.says


def test_what_the_bench_knows_of_the_reference_stands_among_the_reasons() -> None:
    run = beside(swept(), trusted(known=("its sweep of 2026-03-01", "its hold of 2026-02-01 passed")))

    told = next(reason for reason in run.reasons if "was named as the trusted unit" in reason.says)
    assert "its hold of 2026-02-01 passed" in told.says
    assert told.facts == ("bench_run-3",)


def test_a_specialists_sheet_is_compared_on_the_ways_it_has() -> None:
    down_only = swept()[: len(CURVE)]

    noted = {**LIMIT_CONDITIONS, "reference": "report 2017-44", "reference reading": down_only}
    run = judge("sweep", "pressure sensor", swept(), noted)

    assert (run.verdict, run.figures["reference"]) == ("pass", "report 2017-44")
    assert "not known to be the same meter" in said(run)


@pytest.mark.parametrize(
    ("mine", "its", "verdict"), [("1005hPa", "1005hPa", "pass"), ("1005hPa", "960hPa", "undecided")]
)
def test_another_days_air_widens(mine: str, its: str, verdict: str) -> None:
    run = beside(swept(), trusted(conditions={"barometer": its}), barometer=mine)

    assert run.verdict == verdict
    assert ("the barometers differ by 45 hPa" in said(run)) is (mine != its)


def test_temperatures_apart_and_a_vacuum_past_nominal_are_said() -> None:
    deep = [*swept()[: len(CURVE)], "55cmHg=0.78H", *swept()[len(CURVE) - 1 :]]

    run = beside(deep, trusted(conditions={"ambient": "12degC"}), ambient="24degC")

    assert "measured at temperatures 12 K apart, which is not corrected" in said(run)
    assert "drawn to 55 cmHg, past nominal" in said(run)


@pytest.mark.parametrize("factor", [0.94, 1.06])
@pytest.mark.parametrize("where", [FULL, LIGHT, range(51)])
def test_no_turn_is_ever_advised(factor: float, where: range) -> None:
    words = said(beside(swept(lambda vacuum: factor if vacuum in where else 1.0)))

    assert "a specialist with the reference charts can, and until then nobody turns anything" in words
    assert not re.search(r"\b(turn (it|the|in|out|back)|screw (in|out)|set it|adjust it)\b", words)


def test_the_order_typed_tells_down_and_back() -> None:
    down, up = parse_ways(["0cmHg=3H", "10cmHg=2H", "20cmHg=1H", "10cmHg=2.1H"])

    assert [point.value for point in down.points] == [3.0, 2.0, 1.0]
    assert [point.value for point in up.points] == [2.1, 1.0]


def test_the_deepest_read_on_either_way_stands_in_each() -> None:
    down, up = parse_ways(["0cmHg=3H", "20cmHg=1H", "20cmHg=1.1H", "0cmHg=3.1H"])

    assert [point.value for point in down.points] == [3.0, 1.0]
    assert [point.value for point in up.points] == [3.1, 1.1]


def test_a_mark_tells_the_way_in_any_order() -> None:
    marked = parse_ways(["UP:10cmHg=2.1H", "20cmHg=1H", "down:0cmHg=3H", "10cmHg=2H", "up:0cmHg=3.1H"])

    assert marked == parse_ways(["0cmHg=3H", "10cmHg=2H", "20cmHg=1H", "10cmHg=2.1H", "0cmHg=3.1H"])


@pytest.mark.parametrize(
    ("readings", "code"),
    [
        (["0cmHg=3H", "20cmHg=1H", "10cmHg=2H", "15cmHg=1.5H"], "out-of-order"),
        (["0cmHg=3H", "10cmHg=2H", "10cmHg=2.1H", "20cmHg=1H"], "vacuum-twice"),
        (["0cmHg=3H", "10cmHg=2H", "up:20cmHg=1H"], "out-of-order"),
        (["up:0cmHg=3H", "up:10cmHg=2H"], "no-way-down"),
        (["0cmHg=0H"], "no-size"),
        (["0cmHg=94ohm"], "wrong-dimension"),
        (["10s=1.5H"], "wrong-dimension"),
        (["90cmHg=1.5H"], "beyond-atmosphere"),
        (["0cmHg 1.5H"], "no-reading"),
    ],
)
def test_what_is_no_sweep_is_refused(readings: list[str], code: str) -> None:
    with pytest.raises(Refused) as refused:
        check("sweep", "pressure sensor", readings, {})

    assert refused.value.code == code


@pytest.mark.parametrize(
    ("condition", "value", "code"),
    [
        ("frequency", "0Hz", "no-size"),
        ("frequency", "1kohm", "wrong-dimension"),
        ("meter", "L2: good", "no-meter"),
        ("reference reading", ["0cmHg=1V"], "wrong-dimension"),
        ("volume", "60ml", "condition-not-for-procedure"),
    ],
)
def test_what_cannot_be_noted_beside_it(condition: str, value: object, code: str) -> None:
    with pytest.raises(Refused) as refused:
        check("sweep", "pressure sensor", swept(), {condition: value})

    assert refused.value.code == code


@given(
    st.lists(st.integers(0, 70), min_size=5, max_size=12, unique=True),
    st.floats(0.5, 2.0),
    st.floats(0.9, 1.1),
)
def test_one_common_scale_changes_no_finding(vacua: list[int], scale: float, factor: float) -> None:
    """Both units read on a meter that is out by any share: the same meter, the same finding."""
    henries = {vacuum: 1.7 - 0.015 * vacuum for vacuum in vacua}
    ways = (*sorted(vacua), *sorted(vacua)[-2::-1])

    def typed(by: float) -> tuple[str, ...]:
        return tuple(f"{vacuum}cmHg={henries[vacuum] * by:.9f}H" for vacuum in ways)

    true = beside(typed(factor), trusted(typed(1.0)))
    scaled = beside(typed(factor * scale), trusted(typed(scale)))
    for name in ("light_load_difference", "full_load_difference", "gap"):
        assert scaled.figures[name] == pytest.approx(true.figures[name], abs=1e-7)


def test_a_value_between_two_points_is_less_sure_than_at_them() -> None:
    meter = Meter("", MeterSpec(0.0, 0.0, 1.0, "1 count"))
    way = Way(tuple(Point(vacuum, 0.0, henry, 0.001, "") for vacuum, henry in ((0.0, 2.0), (10.0, 1.8), (20.0, 1.4))))

    between, at = way.value(5.0, meter), way.value(10.0, meter)

    assert between is not None
    assert at is not None
    assert between.value == pytest.approx(1.9)
    assert at.value == 1.8
    bulge = 0.001 * 5.0 * 5.0 / 3**0.5
    assert between.u == pytest.approx((0.001**2 / 3 / 2 + bulge**2) ** 0.5)
    assert at.u == pytest.approx(0.001 / 3**0.5)
    assert way.value(20.1, meter) is way.value(-0.1, meter) is None


def test_the_gauges_step_counts_by_the_slope() -> None:
    coarse, fine = (parse_ways(swept(), parse_quantity(step, "pressure"))[0] for step in ("2cmHg", "0.2cmHg"))
    meter = Meter("", MeterSpec(0.0, 0.0, 0.0, "without fault"))

    values = [way.value(way.points[3].place, meter) for way in (coarse, fine)]

    assert [value.u if value else None for value in values] == pytest.approx(
        [0.019 * 2 / 12**0.5, 0.019 * 0.2 / 12**0.5]
    )
