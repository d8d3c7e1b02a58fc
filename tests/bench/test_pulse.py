"""Opening times beside a trusted unit: what they show, what is not compared, and what repeats are worth."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest

from inventory.bench.typed_run import ReferenceRun
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from tests.judging import check, context, judge

TIMES = {700: 4.20, 900: 5.30, 1200: 7.00}
SET = {
    "engine speed": "900rpm",
    "voltage": "12.0V",
    "coolant": "2.5kohm",
    "air": "none",
    "throttle": "Idle",
    "meter": "scope: 0.5% + 1 counts",
}
NUMBER, TAG = "HV 700 100", "J41N8-R"


def timed(factor: Callable[[int], float] = lambda _: 1.0, jumps: float = 0.02) -> tuple[str, ...]:
    """Each setting read twice, `jumps` ms apart."""
    return tuple(
        f"{millihenry}mH={time * factor(millihenry) + off:.3f}ms"
        for millihenry, time in TIMES.items()
        for off in (-jumps / 2, jumps / 2)
    )


def trusted(readings: Sequence[str] = timed(), number: str = NUMBER, **fields: Any) -> ReferenceRun:
    noted = {**SET, **fields.pop("conditions", {})}
    return ReferenceRun(TAG, number, tuple(readings), noted, facts=("bench_run-3",), **fields)


def beside(readings: Sequence[str], its: ReferenceRun | None = None, **conditions: object) -> RunJudgement:
    known = context(NUMBER, reference=its or trusted())
    return judge("pulse", "control unit", readings, {**SET, "reference": TAG, **conditions}, known)


def said(run: RunJudgement) -> str:
    return "\n".join(f"{reason.says}. {reason.rule}" for reason in run.reasons)


@pytest.mark.parametrize(
    ("readings", "verdict", "comparison"),
    [
        (timed(), "pass", "like the reference"),
        (timed(lambda _: 1.01), "pass", "like the reference"),
        (timed(lambda at: 1.06 if at == 1200 else 1.0), "fail", "differs from the reference"),
        (timed(lambda _: 1.03), "undecided", None),
        (timed(jumps=0.4), "undecided", None),
        ([each.replace("700mH", "idle") for each in timed()], "not judged", None),
    ],
)
def test_what_is_found(readings: Sequence[str], verdict: str, comparison: str | None) -> None:
    run = beside(readings)

    assert (run.verdict, run.figures["comparison"]) == (verdict, comparison)
    assert run.says.startswith(comparison or verdict)


def test_the_difference_and_its_uncertainty() -> None:
    """At 700 mH: repeats 0.02 ms apart pooled over three settings, one count, one step of the setting on the slope."""
    run = beside(timed(lambda at: 1.06 if at == 700 else 1.0))

    def u_of(times: Sequence[float]) -> float:
        pooled = sum(2 * (0.01 / time) ** 2 for time in times) / 3
        slope = (times[1] - times[0]) / 200
        return (pooled / 2 + ((0.001 / 3**0.5) ** 2 + slope**2 / 12) / times[0] ** 2) ** 0.5

    u = 1.06 * (u_of((4.452, 5.3, 7.0)) ** 2 + u_of((4.2, 5.3, 7.0)) ** 2) ** 0.5
    assert run.figures["difference"] == pytest.approx(0.06, abs=1e-9)
    assert run.figures["difference_expanded_uncertainty"] == pytest.approx(2 * u, rel=1e-6)
    assert run.figures["difference_at"] == "700 mH"


def test_settings_without_an_inductance_are_compared_by_name_and_others_between_points() -> None:
    reference = trusted([each.replace("700mH", "Idle") for each in timed()])
    mine = ["idle=4.201ms", "idle=4.199ms", "1000mH=5.86ms", "1000mH=5.88ms", "1200mH=7.00ms", "2000mH=9ms"]

    run = beside(mine, reference)

    rows = run.figures["rows"]
    assert isinstance(rows, list)
    by_setting = {row["setting"]: row for row in rows}
    assert by_setting["idle"]["reference_s"] == pytest.approx(4.2e-3)
    assert by_setting["1000 mH"]["reference_s"] == pytest.approx(5.3e-3 + 1.7e-3 / 3)
    assert by_setting["2000 mH"]["reference_s"] is None
    assert "not compared, the reference has no value there: 2000 mH" in said(run)


def test_without_repeats_a_reading_is_not_sure() -> None:
    once = timed(jumps=0.0)[::2]

    run = beside(once)

    assert run.figures["repeats_spread"] is None
    assert "each opening time counts as uncertain by 1 %" in said(run)
    assert beside(timed(jumps=0.0)).verdict == "pass"


@pytest.mark.parametrize(
    ("reference", "conditions", "why"),
    [
        (trusted(number="HV 700 101"), {}, "has another part number"),
        (trusted(), {"engine speed": "1200rpm"}, "engine speed was 1200 rpm for this unit, 900 rpm for J41N8-R"),
        (trusted(), {"air": "20degC"}, "air was 20 degC for this unit, none for J41N8-R"),
        (trusted(), {"throttle": ""}, "throttle was not noted for this unit: run it again and note it (--throttle)"),
        (trusted(), {"engine speed": "3000rpm", "air": ""}, "air was not noted for this unit"),
        (trusted(conditions={"voltage": ""}), {}, "voltage was not noted for J41N8-R"),
        (trusted(), {"reference": ""}, "no reference was named"),
        (ReferenceRun(TAG, NUMBER, missing="no pulse of it"), {}, "no pulse of it"),
        (trusted(["0cmHg=1H"]), {}, "the pulse of J41N8-R cannot be read"),
    ],
)
def test_what_cannot_be_compared_is_not_judged(reference: ReferenceRun, conditions: dict[str, str], why: str) -> None:
    run = beside(timed(), reference, **conditions)

    assert run.verdict == "not judged"
    assert why in run.says
    assert "no table of opening times is published" in said(run)


@pytest.mark.parametrize("factor", [1.0, 1.06])
def test_a_doubtful_reference_decides_nothing(factor: float) -> None:
    run = beside(timed(lambda _: factor), trusted(doubts=("worked on since: opened, 2026-03-01",)))

    assert (run.verdict, run.figures["comparison"]) == ("undecided", None)
    assert "itself doubtful (worked on since" in run.says


@pytest.mark.parametrize(
    ("readings", "conditions", "code"),
    [
        (["700mH=0ms"], {}, "no-size"),
        (["700mH=4"], {}, "no-quantity"),  # a run is read with the units that were written
        (["700=4ms"], {}, "no-quantity"),
        (timed(), {"coolant": "warm"}, "no-quantity"),
        (timed(), {"engine speed": "900Hz"}, "no-such-unit"),
        (timed(), {"frequency": "1kHz"}, "condition-not-for-procedure"),
    ],
)
def test_what_is_no_run_is_refused(readings: Sequence[str], conditions: dict[str, str], code: str) -> None:
    with pytest.raises(Refused) as refused:
        check("pulse", "control unit", readings, {**SET, **conditions})

    assert refused.value.code == code
