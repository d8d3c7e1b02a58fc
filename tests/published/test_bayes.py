"""Bayes' rule and coverage against worked examples.

Marks: seen, in the source named; computed, worked out here; from memory, a remembered print that the arithmetic agrees with.
"""

from __future__ import annotations

import pytest

from inventory.evidence.inputs import TestEvidence
from inventory.evidence.judgements import Serviceability, appraise_evidence, posterior_good
from inventory.evidence.weights import WeighedTest
from inventory.reference.data import PROGRAM
from inventory.reference.modes import FailureMode, KindModes


@pytest.mark.parametrize(
    ("prior", "shows", "false_alarm", "ill", "printed"),
    [
        # Mammography: Eddy 1982; Gigerenzer & Hoffrage 1995, Psychol. Rev. 102:684 (7.8 % from memory; computed).
        (0.01, 0.80, 0.096, 0.07764, 0.078),
        # The same told with other numbers: "about 1 in 10" (seen: caps.fool.com, stockpicks4you.com; computed).
        (0.01, 0.90, 0.09, 0.09174, 0.1),
        # "about 9 %" (seen: epanechnikov.wordpress.com; computed).
        (0.008, 0.90, 0.07, 0.0939, 0.09),
        # "about 32 %" (seen: chemedx.org; computed).
        (0.005, 0.95, 0.01, 0.3231, 0.32),
    ],
)
def test_a_positive_test_of_something_rare(
    prior: float, shows: float, false_alarm: float, ill: float, printed: float
) -> None:
    healthy = posterior_good(1.0 - prior, false_alarm, [(1.0, shows)])

    assert 1.0 - healthy == pytest.approx(ill, abs=5e-5)
    places = len(str(printed)) - 2
    assert round(1.0 - healthy, places) == printed


def test_in_natural_frequencies_seven_of_seventy_seven() -> None:
    """Of 1,000 women 8 are ill, of whom 7 test positive; of the other 992 some 70 do (from memory; computed)."""
    healthy = posterior_good(0.992, 70 / 992, [(1.0, 7 / 8)])

    assert 1.0 - healthy == pytest.approx(7 / 77, abs=1e-12)


def test_a_negative_mammogram() -> None:
    """The first example again: a negative leaves 0.22298 % (computed)."""
    assert 1.0 - posterior_good(0.99, 1 - 0.096, [(1.0, 0.20)]) == pytest.approx(0.0022298, abs=5e-7)


def test_in_odds_a_likelihood_ratio_of_twelve() -> None:
    """Pre-test 0.6, odds 1.5, ratio 12: odds 18, 0.947 (seen, printed 0.95: medcalc.org/manual/likelihood_ratios_test.php)."""
    ill = 1.0 - posterior_good(0.4, 1.0, [(1.0, 12.0)])

    assert ill / (1.0 - ill) == pytest.approx(1.5 * 12.0)
    assert ill == pytest.approx(18 / 19, abs=1e-9)
    assert round(ill, 2) == 0.95


@pytest.mark.parametrize(("ratio", "outcome"), [(8.3333, (0.80, 0.096)), (0.221239, (0.20, 0.904))])
def test_the_likelihood_ratios_of_the_mammogram(ratio: float, outcome: tuple[float, float]) -> None:
    """8.3333 for a positive, 0.221239 for a negative one (computed): the odds are multiplied by just that."""
    shown, alarm = outcome
    ill = 1.0 - posterior_good(0.99, alarm, [(1.0, shown)])

    assert (ill / (1.0 - ill)) / (0.01 / 0.99) == pytest.approx(ratio, rel=1e-5)


def test_the_same_for_parts() -> None:
    """70 in 100 good, of the good 98 pass and of the bad 30: a pass leaves 0.88402 (computed, invented numbers)."""
    assert posterior_good(0.70, 0.98, [(1.0, 0.30)]) == pytest.approx(0.88402, abs=5e-6)


def test_a_copy_of_a_test_is_no_second_test() -> None:
    """Copies multiplied as if independent overstate: 7.764 % would read 41.23 % (computed).

    That tests must be conditionally independent, or the result is over-estimated, was seen at
    medicalalgorithms.com/odds-and-likelihood-ratios-for-sequential-testing.
    """
    once = posterior_good(0.99, 0.096, [(1.0, 0.80)])
    twice = posterior_good(0.99, 0.096**2, [(1.0, 0.80**2)])
    hold = TestEvidence("hold", "2026-03-02", "pass")

    one, copied = (appraise_evidence("pressure sensor", tests, [], PROGRAM) for tests in ([hold], [hold, hold, hold]))

    assert (1.0 - once, 1.0 - twice) == (pytest.approx(0.07764, abs=5e-5), pytest.approx(0.4123, abs=5e-5))
    assert (copied.p_serviceable, copied.coverage) == (one.p_serviceable, one.coverage)


def detected(rates: dict[str, tuple[float, bool]]) -> Serviceability:
    """One test that surely shows some modes and no others, on a kind with these failure rates."""
    whole = sum(rate for rate, _ in rates.values())
    modes = tuple(
        FailureMode(name, name, rate / whole, {"hold": 1.0} if shown else {}) for name, (rate, shown) in rates.items()
    )
    kind_modes = KindModes("invented", 0.5, modes, "workshop judgement", "invented")
    return Serviceability(
        0.5, kind_modes, (WeighedTest(TestEvidence("hold", "2026-03-02", "pass"), 1.0),), PROGRAM.failures
    )


def test_coverage_is_a_ratio_of_rates_not_a_count_of_modes() -> None:
    """Diagnostic coverage: rate of detected dangerous failures over rate of all of them.

    ISO 13849-1:2015, 3.1.26 (seen quoted at machinerysafety101.com/2017/02/27/iso-13849-1-analysis-part-5). Rates of
    60 and 30 detected and 10 not give 0.90 (computed), the lower end of the band "medium" (from memory); two modes of
    three found are not 67 %.
    """
    found = detected({"one": (60.0, True), "two": (30.0, True), "three": (10.0, False)})

    assert found.coverage == pytest.approx(0.90)
    assert sum(mode.revealed for mode in found.modes) / 3 == pytest.approx(2 / 3)


def test_two_modes_of_three_that_are_rare_cover_little() -> None:
    """The same with the rates the other way round: 10 of 100 (computed)."""
    assert detected({"one": (6.0, True), "two": (4.0, True), "three": (90.0, False)}).coverage == pytest.approx(0.10)


def test_the_coverage_of_a_resistance_test_on_a_series_resistor() -> None:
    """Shares and chances of the reference data (workshop judgement): 0.60 x 0.95 + 0.40 x 0.40 (computed)."""
    run = appraise_evidence("series resistor", [TestEvidence("resistance", "2026-03-02", "pass")], [], PROGRAM)

    assert run.coverage == pytest.approx(0.60 * 0.95 + 0.40 * 0.40)
    assert run.coverage == pytest.approx(sum(mode.share * mode.revealed for mode in run.modes))
