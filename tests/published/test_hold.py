"""The trade's rule for the vacuum hold, and a vacuum that falls exactly as an exponential."""

from __future__ import annotations

import numpy as np
import pytest

from inventory.bench.methods.hold.decay import fit_law
from tests.judging import judge


@pytest.mark.parametrize("unit", ["cmHg", "kPa"])
@pytest.mark.parametrize(("after", "verdict"), [("46.0", "pass"), ("45.6", "pass"), ("44.4", "fail"), ("40.0", "fail")])
def test_drawn_to_50_on_the_dial_and_still_at_45_or_more_after_ten_seconds(unit: str, after: str, verdict: str) -> None:
    """The rule of the trade; the dial's unit is not stated. Common practice, no source."""
    blank = [f"0s=50.0{unit}", f"10s=50.0{unit}"]
    run = judge("hold", "pressure sensor", [f"0s=50.0{unit}", f"10s={after}{unit}"], {"blank": blank})
    assert run.verdict == verdict


def test_just_on_45_is_for_no_gauge_to_call() -> None:
    """The rule of the trade (common practice, no source) with the gauge's own step kept off the limit."""
    run = judge("hold", "pressure sensor", ["0s=50.0cmHg", "10s=45.0cmHg"], {})
    assert run.verdict == "undecided"


def test_the_limits_time_constant() -> None:
    """-10 s / ln 0.9 = 94.912 s (computed)."""
    run = judge("hold", "pressure sensor", ["0s=50cmHg", "10s=48cmHg"], {})
    assert run.figures["limit_time_constant_s"] == pytest.approx(-10 / np.log(0.9), abs=5e-4)


def test_an_exact_exponential_gives_back_its_time_constant() -> None:
    """p = 101 325 - 68 325 exp(-t / 1800 s): 33 000, 35 239.96, 37 406.49, 43 489.14, 52 368.00 Pa (computed)."""
    times = np.array([0.0, 60.0, 120.0, 300.0, 600.0])
    absolute = np.array([33000.0, 35239.96, 37406.49, 43489.14, 52368.00])
    fit = fit_law("exponential", times, 101325.0 - absolute, np.full(5, 1.0))
    assert fit is not None
    assert 1.0 / fit.rate_per_s == pytest.approx(1800.0, rel=1e-6)
    assert fit.start_pa == pytest.approx(68325.0, abs=0.01)
    assert 50e-6 * fit.start_pa * fit.rate_per_s == pytest.approx(1.897917e-3, rel=1e-6)


def test_a_hold_in_millimetres_of_mercury_gives_the_leak_rate() -> None:
    """500 mmHg with 1 800 s stands at 423.24 mmHg after 300 s (computed); leak V p0 / T."""
    readings = ["0s=500.00mmHg", "300s=423.24mmHg"]
    run = judge("hold", "pressure sensor", readings, {"volume": "50ml"})
    assert run.verdict == "pass"
    assert run.figures["time_constant_s"] == pytest.approx(1800.0, rel=1e-4)
    assert run.figures["leak_rate_pa_m3_per_s"] == pytest.approx(50e-6 * 66661.19 / 1800.0, rel=1e-4)
