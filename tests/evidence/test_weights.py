"""What a test counts for once time has passed and things have happened, and which of several counts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from inventory.evidence.inputs import Event, TestEvidence
from inventory.evidence.judgements import Serviceability, appraise_evidence
from inventory.evidence.weights import full_years, weigh_tests
from inventory.reference.data import PROGRAM

HOLD = TestEvidence("hold", "2022-03-02", "pass", order=5)
CAP = TestEvidence("seal cap", "2022-03-02", "pass", order=6)
SAID = TestEvidence("hold", "2024-01-01", "fail", 0.5, order=8, claim='"holds vacuum", says the seller, film shown')
MODES = PROGRAM.failures.kinds["pressure sensor"].modes
OFF = Event("taken off a car", "2023-05-01", stales=False)
LATER = replace(HOLD, when="2022-03-04")
HEATED = Event("heated", "2023-06-01")


def judged(*tests: TestEvidence, events: tuple[Event, ...] = (), day: str = "") -> Serviceability:
    return appraise_evidence("pressure sensor", tests, events, PROGRAM, day=day)


@pytest.mark.parametrize(
    ("since", "until", "years"),
    [
        ("2022-03-02", "2022-03-02", 0),
        ("2022-03-02", "2023-03-01", 0),
        ("2022-03-02", "2023-03-02", 1),
        ("2022-03-02", "2026-12-31", 4),
        ("2020-02-29", "2021-02-28", 0),
        ("2026-03-02", "2022-03-02", 0),
        ("2022-03-02", "", 0),
        ("", "2026-03-02", 0),
        ("2022", "2026-01-01", 4),
    ],
)
def test_full_years_between_two_days(since: str, until: str, years: int) -> None:
    assert full_years(since, until) == years


@pytest.mark.parametrize(
    ("events", "day", "weight"),
    [
        ((), "", 1.0),
        ((), "2022-12-31", 1.0),
        ((), "2024-03-01", 0.95),
        ((), "2024-03-02", 0.95**2),
        ((OFF,), "", 0.9),
        ((OFF, replace(OFF, when="2023-07-01")), "", 0.81),
        ((replace(OFF, when="2022-03-01"),), "", 1.0),
        ((replace(OFF, when="2022-03-02", order=4),), "", 1.0),
        ((replace(OFF, when="2022-03-02", order=9),), "", 0.9),
        ((OFF,), "2024-03-02", 0.9 * 0.95**2),
        ((HEATED,), "2024-03-02", 0.0),
        ((OFF, HEATED), "2024-03-02", 0.0),
    ],
)  # fmt: skip
def test_a_removal_and_a_dry_year_lower_what_a_pass_weighs_and_heat_ends_it(
    events: tuple[Event, ...], day: str, weight: float
) -> None:
    (weighed,) = weigh_tests([HOLD], events, day, PROGRAM.failures)

    assert weighed.weight == pytest.approx(weight)
    assert (weighed.stale_by is not None) is (HEATED in events)


@pytest.mark.parametrize("test", [replace(HOLD, verdict="fail"), CAP], ids=["a failed hold", "a cap seen intact"])
def test_years_and_removals_mend_no_failure_and_age_no_look_at_a_seal(test: TestEvidence) -> None:
    assert weigh_tests([test], (OFF,), "2032-01-01", PROGRAM.failures)[0].weight == 1.0


def test_an_older_hold_says_less_but_never_turns_against_the_unit() -> None:
    fresh, later = judged(HOLD, day="2022-04-01"), judged(HOLD, events=(OFF,), day="2030-04-01")

    assert judged().p_serviceable < later.p_serviceable < fresh.p_serviceable
    assert later.coverage == pytest.approx(0.45 * _shown(later, 0.95) + 0.17 * _shown(later, 0.9))
    assert not later.tests[0].stale


def _shown(found: Serviceability, shows: float) -> float:
    return found.tests[0].weight * shows


def test_what_lowered_a_weight_is_said_with_its_figures() -> None:
    (reason, *_) = judged(HOLD, events=(OFF,), day="2024-03-02").reasons

    assert reason.says == "the hold passed, 2022-03-02, weighs 0.81"
    assert reason.rule == "counts with weight 0.81: taken off a car once since, 0.9 each; 2 full years since, 0.95 each"
    assert reason.standing == "workshop judgement"


@pytest.mark.parametrize(
    ("tests", "events", "counts"),
    [
        # One's own stands before what is told later, whichever way it came out.
        ((HOLD, SAID), (), HOLD),
        ((replace(HOLD, verdict="fail"), replace(SAID, verdict="pass")), (), replace(HOLD, verdict="fail")),
        # Worked on since, a pass of one's own no longer speaks: the later one told of does. A fail still speaks.
        ((HOLD, SAID), (HEATED,), SAID),
        ((replace(HOLD, verdict="fail"), SAID), (HEATED,), replace(HOLD, verdict="fail")),
        # Of one's own the majority, of those told of the strongest, a fault first.
        ((HOLD, replace(HOLD, when="2022-03-03", verdict="fail"), LATER), (), LATER),
        ((HOLD, replace(HOLD, when="2022-03-03", verdict="undecided")), (), HOLD),
        ((SAID, replace(SAID, when="2024-01-02", weight=0.1)), (), SAID),
        ((SAID, replace(SAID, when="2024-01-02", verdict="pass", weight=0.9)), (), SAID),
    ],
)  # fmt: skip
def test_of_several_of_one_sort_one_counts(
    tests: tuple[TestEvidence, ...], events: tuple[Event, ...], counts: TestEvidence
) -> None:
    assert [one.test for one in weigh_tests(tests, events, "", PROGRAM.failures, MODES) if one.weight > 0.0] == [counts]


def test_a_weight_is_a_power_of_the_likelihood_ratio() -> None:
    """At half the weight the odds go half the way, counted in logarithms: for one mode by hand."""
    before, full, half = (
        appraise_evidence("ballast resistor", tests, [], PROGRAM)
        for tests in ([], [TestEvidence("drop", "2026", "fail")], [TestEvidence("drop", "2026", "fail", 0.5)])
    )

    by_mode = [(0.7, 0.95 / 0.05), (0.3, 0.85 / 0.05)]
    prior = (1 - 0.8) / 0.8
    for found, power in ((before, 0.0), (half, 0.5), (full, 1.0)):
        odds_bad = prior * sum(share * ratio**power for share, ratio in by_mode)
        assert found.p_serviceable == pytest.approx(1 / (1 + odds_bad))
    assert math.isclose(before.p_serviceable, 0.8)
