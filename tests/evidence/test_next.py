"""The next test by expected change for each minute at the bench."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from inventory.evidence.inputs import Event, TestEvidence
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.next_tests import NextTest, next_in_words, next_tests
from inventory.reference.data import PROGRAM
from tests.evidence.test_properties import FACTS, KINDS

HOLD = TestEvidence("hold", "2026-03-02", "pass", order=1)


def following(*tests: TestEvidence, kind: str = "pressure sensor", events: tuple[Event, ...] = ()) -> list[NextTest]:
    now = appraise_evidence(kind, tests, events, PROGRAM).p_serviceable
    return list(next_tests(kind, tests, events, PROGRAM, now))


def test_of_an_untested_sensor_the_hold_says_most_for_its_minutes() -> None:
    """Passes 95 of 100 good, 5, 10 and 95 of 100 bad (45, 17 and 38 %); 9 of 10 tests decide (computed by hand)."""
    p_pass = 0.475 + 0.5 * (0.45 * 0.05 + 0.17 * 0.10 + 0.38 * 0.95)

    first, *others = following()

    assert (first.procedure, first.minutes) == ("hold", 10)
    change = p_pass * (0.475 / p_pass - 0.5) + (1 - p_pass) * (0.5 - 0.025 / (1 - p_pass))
    assert first.expected_change == pytest.approx(0.9 * change)
    assert first.per_minute == pytest.approx(0.09 * change)
    assert {test.procedure for test in others} == {"resistance", "insulation", "sweep"}
    assert "next: the hold, about 10 min; a pass would make it 5 to 8 in 10" in next_in_words(
        [first], "pressure sensor", PROGRAM
    )


def test_a_test_that_passed_is_not_the_next_but_one_that_is_tied_is() -> None:
    fail = TestEvidence("hold", "2026-03-03", "fail", order=2)

    assert following(HOLD)[0].procedure != "hold"
    assert following(HOLD, fail)[0].procedure == "hold"


def test_a_part_of_which_the_bench_shows_no_fault_says_what_does() -> None:
    assert following(kind="other") == []
    assert [each.procedure for each in following(kind="control unit")] == ["pulse"]
    assert next_in_words([], "control unit", PROGRAM).endswith("on a car, does")
    assert next_in_words([], "other", PROGRAM) == "next: no test on the bench shows one of its known faults"


@settings(max_examples=50)
@given(KINDS, FACTS)
def test_expected_change_is_never_negative_and_the_best_stands_first(
    kind: str, facts: list[TestEvidence | Event]
) -> None:
    tests = tuple(fact for fact in facts if isinstance(fact, TestEvidence))
    found = following(*tests, kind=kind, events=tuple(fact for fact in facts if isinstance(fact, Event)))

    assert all(0.0 <= test.expected_change <= 1.0 for test in found)
    assert found == sorted(found, key=lambda test: -test.per_minute)
