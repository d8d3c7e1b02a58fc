"""What may be said of a value against its limits: JCGM 106 and the zones of ILAC-G8."""

from __future__ import annotations

import math
from decimal import Decimal
from statistics import NormalDist

import pytest
from scipy import integrate, stats

from inventory.bench.methods.limits.judgement import verdict_against
from inventory.bench.quantities.uncertainty import Zone, p_within, zone


def test_jcgm_106_one_sided_breakdown_voltage() -> None:
    """JCGM 106:2012, 7.4: -5.47 V, u 0.05 V, at most -5.40 V: 0.92 (from memory; 0.9192 computed)."""
    assert p_within(-5.47, 0.05, None, -5.40) == pytest.approx(0.9192, abs=5e-5)


def test_jcgm_106_two_sided_viscosity() -> None:
    """The two-sided example of JCGM 106:2012, clause 7: 13.6, u 1.8, 12.5 to 16.3: 0.66 (memory; 0.6626 computed)."""
    assert p_within(13.6, 1.8, 12.5, 16.3) == pytest.approx(0.6626, abs=5e-5)


def test_jcgm_106_the_speed_that_is_surely_over_the_limit() -> None:
    """u = 2 % of the speed: 107 km/h is over 100 with 99.9 % (printed 107, from memory; 106.59 computed)."""
    assert p_within(106.59, 0.02 * 106.59, 100.0, None) == pytest.approx(0.999, abs=5e-6)


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "verdict"),
    [
        (-5.47, 0.05, None, -5.40, "undecided"),
        (-5.49, 0.05, None, -5.40, "pass"),
        (13.6, 1.8, 12.5, 16.3, "undecided"),
        (107.0, 2.14, None, 100.0, "fail"),
        (103.0, 2.06, None, 100.0, "undecided"),
    ],
)
def test_jcgm_106_decisions(value: float, u: float, low: float | None, high: float | None, verdict: str) -> None:
    """The worked cases of JCGM 106:2012, clause 7, decided with 95 % on either side (its inputs from memory).

    The breakdown voltage conforms with 0.92 and the viscosity with 0.66, so neither is decided; 107 km/h is over 100
    with 99.9 %, so it fails. The second and the last are those cases moved across the guard (table 1: 1.645).
    """
    assert verdict_against(value, u, low, high) == verdict
    conforms = p_within(value, u, low, high)
    assert verdict == ("pass" if conforms >= 0.95 else "fail" if conforms <= 0.05 else "undecided")


@pytest.mark.parametrize(("p", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_jcgm_106_table_1(p: float, z: float) -> None:
    """JCGM 106:2012, table 1, one-sided (from memory; computed). The guard of this program is that for 0.95."""
    assert NormalDist().inv_cdf(p) == pytest.approx(z, abs=0.005)
    assert p_within(0.0, 1.0, None, z) == pytest.approx(p, abs=0.002)


BEARINGS = stats.gamma(4, scale=0.25)
LIMIT, U_M = 2.0, 0.25


def _accepted_though_bad(acceptance: float) -> float:
    """The consumer's risk: over all that is truly beyond the limit, the chance that what is measured is accepted."""

    def both(true: float) -> float:
        return float(BEARINGS.pdf(true)) * p_within(true, U_M, None, acceptance)

    return float(integrate.quad(both, LIMIT, 8.0, epsabs=1e-12)[0])


def _rejected_though_good(acceptance: float) -> float:
    """The producer's risk."""

    def both(true: float) -> float:
        return float(BEARINGS.pdf(true)) * p_within(true, U_M, acceptance, None)

    return float(integrate.quad(both, 0.0, LIMIT, epsabs=1e-12)[0])


def test_jcgm_106_ball_bearings() -> None:
    """JCGM 106:2012, 9.5.4: gamma(4, 1/4) um, limit 2 um, u 0.25 um. Figures seen; the producer's risks computed."""
    assert float(BEARINGS.sf(LIMIT)) == pytest.approx(0.0423801, abs=1e-6)
    assert _accepted_though_bad(LIMIT) == pytest.approx(0.0080191, abs=1e-5)
    assert _rejected_though_good(LIMIT) == pytest.approx(0.017445, abs=1e-5)
    assert _accepted_though_bad(1.6718288) == pytest.approx(0.001, abs=1e-5)
    assert _rejected_though_good(1.6718288) == pytest.approx(0.075494, abs=1e-5)


def test_jcgm_106_resistors() -> None:
    """After JCGM 106:2012, 9.5.3 (inputs from memory, figures computed): 1500 ohm +- 0.2, u0 0.12, u 0.04."""
    prior = NormalDist(1500.0, 0.12)

    def risk(guard: float) -> float:
        def both(true: float) -> float:
            return prior.pdf(true) * p_within(true, 0.04, 1499.8 + guard, 1500.2 - guard)

        return 2 * float(integrate.quad(both, 1500.2, 1501.0, epsabs=1e-13)[0])

    assert risk(0.0) == pytest.approx(0.018942, abs=1e-6)
    assert risk(0.08) == pytest.approx(0.00046863, abs=1e-7)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("2.75", "inside"),
        ("2.76", "inside"),
        ("2.77", "inside, not clear"),
        ("2.80", "inside, not clear"),
        ("2.81", "outside, not clear"),
        ("2.84", "outside, not clear"),
        ("2.85", "outside"),
    ],
)
def test_ilac_g8_zones(value: str, expected: Zone) -> None:
    """ILAC-G8:09/2019, 4.2.3, seen at second hand: pass, conditional pass, conditional fail, fail; TL 2.80, w 0.04.

    The source's zones overlap on their edges; which edge belongs where is this program's choice. Lower limits mirror.
    """
    assert zone(Decimal(value), Decimal("0.04"), None, Decimal("2.80")) == expected
    assert zone(-Decimal(value), Decimal("0.04"), -Decimal("2.80"), None) == expected


def test_ilac_g8_risk_at_the_edge_of_the_guard() -> None:
    """With w = U = 2 u the risk of a wrong pass is at most 2.5 % (seen); 2.275 % on the edge (computed)."""
    assert 1.0 - p_within(2.80 - 2 * 0.02, 0.02, None, 2.80) == pytest.approx(0.02275, abs=5e-6)
    assert math.isclose(1.0 - p_within(2.80, 0.02, None, 2.80), 0.5)


@pytest.mark.parametrize(("mean", "outside"), [(10.0, 0.01242), (10.5, 0.10574)])
def test_share_outside_of_a_process(mean: float, outside: float) -> None:
    """Limits 9 to 11, N(mean, 0.4): total risk (seen in a public package's own tests)."""
    assert 1.0 - p_within(mean, 0.4, 9.0, 11.0) == pytest.approx(outside, abs=5e-5)


def test_false_accept_and_false_reject_by_deaver() -> None:
    """Product N(0, 4), test N(0, 1), limits +-8: 0.008 and 0.015 (seen in a public package's own tests)."""
    product = NormalDist(0.0, 4.0)

    accepted = 2 * integrate.quad(lambda true: product.pdf(true) * p_within(true, 1.0, -8.0, 8.0), 8.0, 40.0)[0]
    rejected = integrate.quad(lambda true: product.pdf(true) * (1 - p_within(true, 1.0, -8.0, 8.0)), -8.0, 8.0)[0]

    assert (accepted, rejected) == pytest.approx((0.008, 0.015), abs=5e-4)
