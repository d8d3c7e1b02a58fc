"""Bayes' rule and coverage against worked examples."""

from __future__ import annotations

import pytest

from inventory.evidence.judgements import TestEvidence, appraise_evidence, posterior_good


@pytest.mark.parametrize(
    ("prior", "shows", "false_alarm", "ill"),
    [
        # Mammography: Eddy 1982; Gigerenzer & Hoffrage 1995, Psychol. Rev. 102:684 (7.8 %, from memory; computed).
        (0.01, 0.80, 0.096, 0.07764),
        # The same with other numbers: "about 9 %", epanechnikov.wordpress.com (computed 9.39 %).
        (0.008, 0.90, 0.07, 0.0939),
        # And again: "about 32 %", chemedx.org (computed 32.31 %).
        (0.005, 0.95, 0.01, 0.3231),
    ],
)
def test_a_positive_test_of_something_rare(prior: float, shows: float, false_alarm: float, ill: float) -> None:
    healthy = posterior_good(1.0 - prior, false_alarm, [(1.0, shows)])
    assert 1.0 - healthy == pytest.approx(ill, abs=5e-5)


def test_in_odds_a_likelihood_ratio_of_twelve() -> None:
    """Pre-test 0.6, ratio 12: odds 18, 0.947 (printed 0.95: medcalc.org/manual/likelihood_ratios_test.php)."""
    assert 1.0 - posterior_good(0.4, 1.0, [(1.0, 12.0)]) == pytest.approx(18 / 19, abs=1e-9)


def test_a_negative_mammogram() -> None:
    """The same example: a negative leaves 0.223 % (computed)."""
    assert 1.0 - posterior_good(0.99, 1 - 0.096, [(1.0, 0.20)]) == pytest.approx(0.0022298, abs=5e-7)


def test_a_copy_of_a_test_is_no_second_test() -> None:
    """Copies multiplied as if independent overstate: 7.8 % would read 41 % (computed from the example above)."""
    once = posterior_good(0.99, 0.096, [(1.0, 0.80)])
    twice = posterior_good(0.99, 0.096**2, [(1.0, 0.80**2)])
    assert (1.0 - once, 1.0 - twice) == (pytest.approx(0.0776, abs=5e-5), pytest.approx(0.4123, abs=5e-5))
    hold = TestEvidence("hold", "2026-03-02", "pass")
    one, copied = (appraise_evidence("pressure sensor", tests, []) for tests in ([hold], [hold, hold, hold]))
    assert copied.p_serviceable == one.p_serviceable


def test_coverage_is_a_ratio_of_rates_not_a_count_of_modes() -> None:
    """ISO 13849-1:2015, 3.1.26 (read in a commentary on it): rate of detected over rate of all dangerous failures.

    One mode of a series resistor's two is fully a matter of the ohms; counted by modes it would be about a half.
    """
    run = appraise_evidence("series resistor", [TestEvidence("resistance", "2026-03-02", "pass")], [])
    detected = sum(mode.share * mode.revealed for mode in run.modes)
    assert run.coverage == pytest.approx(detected / sum(mode.share for mode in run.modes))
    assert run.coverage == pytest.approx(0.60 * 0.95 + 0.40 * 0.40)
    assert abs(run.coverage - sum(mode.revealed for mode in run.modes) / 2) > 0.05
