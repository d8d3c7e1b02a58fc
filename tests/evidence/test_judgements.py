"""What the tests of a part say together: coils little, a hold much, and a stale one nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.bench.verdicts import Verdict
from inventory.evidence.judgements import (
    Event,
    Serviceability,
    TestEvidence,
    appraise_evidence,
    posterior_good,
    seal_verdict,
)
from inventory.reference.data import PROGRAM

COILS = TestEvidence("resistance", "2026-03-01", "pass", fact="bench_run-1", order=1)
HOLD = TestEvidence("hold", "2026-03-02", "pass", fact="bench_run-2", order=2)
CAP = TestEvidence("seal cap", "2026-03-02", "pass", fact="seal_sighting-3", order=3)


def sensor(*tests: TestEvidence, events: tuple[Event, ...] = ()) -> Serviceability:
    return appraise_evidence("pressure sensor", tests, events, PROGRAM)


def test_coils_alone_move_it_little_and_a_hold_moves_it_much() -> None:
    nothing, coils, hold = sensor(), sensor(COILS), sensor(HOLD)
    assert 0 < coils.p_serviceable - nothing.p_serviceable < 0.05
    assert hold.p_serviceable - nothing.p_serviceable > 0.15
    assert coils.coverage < 0.1 < 0.5 < hold.coverage


def test_hold_and_cap_are_likely_good_never_proved() -> None:
    both = sensor(HOLD, CAP)
    assert (
        both.says == "likely good, 6 to 8 in 10; nothing so far could have shown dead cells, a worn core or a bad coil"
    )
    assert both.p_serviceable < 0.9


def test_the_cap_is_what_speaks_of_the_adjuster() -> None:
    adjuster = {mode.mode: mode.revealed for mode in sensor(HOLD).modes}["adjuster moved"]
    assert adjuster == 0.0
    assert "a moved adjuster" in sensor(HOLD).says
    assert "a moved adjuster" not in sensor(HOLD, CAP).says


def test_coverage_is_the_share_of_failures_that_could_have_been_shown() -> None:
    """The two leaks, 0.45 and 0.17 of the failures, shown with 0.95 and 0.90: 0.5805; the coils add 0.07 * 0.90."""
    assert sensor(HOLD).coverage == pytest.approx(0.45 * 0.95 + 0.17 * 0.90)
    assert sensor(HOLD, COILS).coverage == pytest.approx(0.45 * 0.95 + 0.17 * 0.90 + 0.07 * 0.90)


def test_the_same_test_twice_counts_once() -> None:
    again = replace(HOLD, when="2026-03-05", order=9)
    assert sensor(HOLD, again).p_serviceable == sensor(HOLD).p_serviceable
    assert sensor(HOLD, HOLD).coverage == sensor(HOLD).coverage
    assert [test.weight for test in sensor(HOLD, again).tests] == [0.0, 1.0]


def test_a_pass_and_a_fail_with_nothing_done_between_are_open_whatever_order_they_come_in() -> None:
    later_fail = replace(HOLD, when="2026-03-05", verdict="fail", order=9)
    assert sensor(later_fail, HOLD).says == (
        "about as likely good as not, 3 to 7 in 10; the hold passed once and failed once with nothing done between "
        "that could mend it: open, a third one decides; nothing so far could have shown a torn diaphragm, a leaking "
        "case joint or dead cells"
    )
    assert sensor(later_fail, HOLD) == sensor(HOLD, later_fail)
    later_undecided = replace(HOLD, when="2026-03-05", verdict="undecided", order=9)
    assert sensor(later_undecided, HOLD).p_serviceable == sensor(HOLD).p_serviceable


@pytest.mark.parametrize("verdict", ["undecided", "not judged"])
def test_what_was_not_decided_leaves_everything_as_it_was(verdict: Verdict) -> None:
    run = sensor(replace(HOLD, verdict=verdict))
    assert (run.p_serviceable, run.coverage) == (sensor().p_serviceable, 0.0)


def test_a_test_that_is_not_on_file_proves_nothing() -> None:
    unknown = sensor(TestEvidence("shaken", "2025", "pass"))
    assert (unknown.p_serviceable, unknown.coverage) == (sensor().p_serviceable, 0.0)
    assert unknown.reasons[0].rule == "a test without a name, or not on file, proves nothing"


def test_work_on_the_unit_makes_a_hold_stale_and_says_so() -> None:
    heated = sensor(HOLD, events=(Event("heated to free a screw", "2026-03-04", fact="work-7"),))
    assert (heated.p_serviceable, heated.coverage) == (sensor().p_serviceable, 0.0)
    assert [(test.weight, test.stale) for test in heated.tests] == [(0.0, True)]
    assert "the hold no longer counts: heated to free a screw, 2026-03-04" in heated.says
    assert any(reason.facts == ("bench_run-2", "work-7") for reason in heated.reasons)


def test_all_that_work_on_the_unit_ended_is_said_once() -> None:
    heated = sensor(COILS, HOLD, CAP, events=(Event("heated", "2026-03-04"),))
    assert heated.says.startswith(
        "about as likely good as not, 3 to 7 in 10; the resistance test, the hold and the cap no longer count: heated, 2026-03-04; nothing so far"
    )


def test_a_hold_made_again_counts_and_the_older_one_says_so() -> None:
    again = replace(HOLD, when="2026-03-05", order=9)
    found = sensor(HOLD, again, events=(Event("heated", "2026-03-04"),))
    assert "no longer" not in found.says
    assert [reason.says for reason in found.reasons[:2]] == [
        "the hold passed, 2026-03-02; replaced by later or better tests",
        "the hold passed, 2026-03-05",
    ]


def test_work_before_the_hold_leaves_it_as_it_was() -> None:
    assert sensor(HOLD, events=(Event("opened", "2026-02-01"),)).p_serviceable == sensor(HOLD).p_serviceable


@pytest.mark.parametrize(("order", "stale"), [(1, False), (9, True)])
def test_on_one_day_the_order_of_writing_decides(order: int, stale: bool) -> None:
    run = sensor(HOLD, events=(Event("dropped", "2026-03-02", order=order),))
    assert run.tests[0].stale is stale


def test_work_on_a_vague_day_that_may_be_later_makes_it_stale() -> None:
    spring = Event("opened", "2026-21", earliest="2026-03-01", latest="2026-05-31")
    assert sensor(HOLD, events=(spring,)).tests[0].stale


def test_a_failed_hold_does_not_become_good_by_heating_the_unit() -> None:
    failed = replace(HOLD, verdict="fail")
    heated = sensor(failed, events=(Event("heated", "2026-03-04"),))
    assert heated.says.startswith("very unlikely to be good, at most 1 in 10: the hold failed; nothing so far")
    assert heated.p_serviceable == sensor(failed).p_serviceable


def test_a_claim_weighs_as_it_is_weighed() -> None:
    half = sensor(replace(HOLD, weight=0.5))
    assert sensor().p_serviceable < half.p_serviceable < sensor(HOLD).p_serviceable
    assert half.coverage == pytest.approx(sensor(HOLD).coverage / 2)
    assert sensor(replace(HOLD, weight=0.0)).p_serviceable == sensor().p_serviceable


def test_a_missing_cap_counts_against() -> None:
    gone = sensor(replace(CAP, verdict="fail"))
    assert gone.p_serviceable < sensor().p_serviceable
    assert gone.says.startswith("about as likely good as not, 3 to 6 in 10: the cap is not intact; nothing so far")


def test_the_json_has_the_contracts_keys() -> None:
    answer = sensor(HOLD).as_dict()
    assert set(answer) == {"p_serviceable", "says", "coverage", "modes", "tests", "reasons"}
    assert answer["tests"] == [
        {"what": "hold", "when": "2026-03-02", "weight": 1.0, "stale": False, "told": "", "fact": "bench_run-2"}
    ]
    assert isinstance(answer["modes"], list)
    assert set(answer["modes"][0]) == {"mode", "share", "revealed", "share_on_file", "found_here"}


def test_what_is_assumed_is_said() -> None:
    said = " | ".join(reason.says for reason in sensor(HOLD).reasons)
    assert "at most one fault at a time" in said
    assert "independent" in said
    assert "the hold passed, 2026-03-02" in said


@pytest.mark.parametrize(
    ("state", "has_document", "verdict"),
    [
        ("intact", False, "pass"),
        ("missing", False, "fail"),
        ("disturbed", True, "fail"),
        ("renewed", True, "pass"),
        ("renewed", False, "fail"),
        ("not seen", False, "undecided"),
        ("never fitted", False, "not judged"),
    ],
)
def test_a_seal_as_a_test(state: str, has_document: bool, verdict: str) -> None:
    assert seal_verdict(state, has_document=has_document) == verdict


VERDICTS = st.sampled_from(["pass", "fail", "undecided", "not judged"])
TESTS = st.lists(
    st.builds(
        TestEvidence,
        what=st.sampled_from(["hold", "resistance", "seal cap", "tested"]),
        when=st.just("2026-03-02"),
        verdict=VERDICTS,
        weight=st.floats(0, 1),
        order=st.integers(0, 9),
    ),
    max_size=6,
)


@given(TESTS)
def test_a_probability_stays_one_and_the_order_of_telling_does_not_matter(tests: list[TestEvidence]) -> None:
    told = [replace(test, order=place) for place, test in enumerate(tests)]
    forward, backward = sensor(*told), sensor(*reversed(told))
    assert 0.0 < forward.p_serviceable < 1.0
    assert 0.0 <= forward.coverage <= 1.0
    assert forward.p_serviceable == pytest.approx(backward.p_serviceable)
    assert forward.coverage == pytest.approx(sum(mode.share * mode.revealed for mode in forward.modes))


@given(st.floats(0.01, 0.99), st.floats(0.01, 1.0))
def test_evidence_as_likely_either_way_moves_nothing(prior: float, likelihood: float) -> None:
    assert posterior_good(prior, likelihood, [(0.4, likelihood), (0.6, likelihood)]) == pytest.approx(prior)
