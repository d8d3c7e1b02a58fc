"""What holds for evidence in any order of any facts, at fixed shares."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.evidence.inputs import CAUSES_CHECKED, SHORT_UNCLEARED, SPECIALIST, Event, TestEvidence
from inventory.evidence.judgements import appraise_evidence, seal_verdict
from inventory.reference.data import PROGRAM

KINDS = st.sampled_from(["pressure sensor", "control unit", "injector", "fuel pump", "throttle switch"])
WHATS = st.sampled_from(sorted(PROGRAM.failures.tests))
BENCH = st.sampled_from(sorted(name for name in PROGRAM.failures.tests if not name.startswith("seal ")))
SEALS = st.sampled_from(sorted(name for name in PROGRAM.failures.tests if name.startswith("seal ")))
#: From the worst state of a seal to the best.
STATES = ("missing", "disturbed", "not seen", "intact")
SLACK = 1e-9
DAYS = st.integers(1, 28).map(lambda day: f"2026-03-{day:02}")


@st.composite
def made(draw: st.DrawFn, what: st.SearchStrategy[str]) -> TestEvidence:
    name = draw(what)
    claimed = draw(st.booleans()) and not name.startswith("seal ")
    verdict = draw(st.sampled_from(["pass", "fail", "undecided"]))
    weight = 1.0
    if claimed:
        weight = 0.9 if verdict == "fail" else draw(st.sampled_from([0.15, 0.35, 0.855]))
    counts_as = ""
    if not claimed and name == "hold" and verdict == "undecided":
        counts_as = draw(st.sampled_from(["", SHORT_UNCLEARED]))
    elif not claimed and name == "mixture":
        counts_as = draw(st.sampled_from(["", CAUSES_CHECKED]))
    claim = "somebody says" if claimed else ""
    return TestEvidence(name, draw(DAYS), verdict, weight, claim=claim, counts_as=counts_as)  # type: ignore[arg-type]


EVENTS = st.builds(
    Event,
    what=st.just("work"),
    when=DAYS,
    stales=st.booleans(),
    mends=st.sets(st.sampled_from(["cleaning", "own report", "new hose or seal", SPECIALIST]), max_size=2).map(
        frozenset
    ),
)
FACTS = st.lists(st.one_of(made(WHATS), EVENTS), max_size=8)


def p(kind: str, facts: list[TestEvidence | Event]) -> float:
    """P(good) after facts that were recorded in this order."""
    placed = [replace(fact, order=place) for place, fact in enumerate(facts)]
    tests = [fact for fact in placed if isinstance(fact, TestEvidence)]
    happened = [fact for fact in placed if isinstance(fact, Event)]
    return appraise_evidence(kind, tests, happened, PROGRAM, day="2026-04-15").p_serviceable


@given(KINDS, FACTS, made(BENCH), st.integers(0, 8))
def test_no_fail_raises_p(kind: str, facts: list[TestEvidence | Event], test: TestEvidence, place: int) -> None:
    weight = 0.9 if test.claim else 1.0
    counts_as = test.counts_as if test.what == "mixture" else ""
    fail = replace(test, verdict="fail", weight=weight, counts_as=counts_as)

    assert p(kind, [*facts[:place], fail, *facts[place:]]) <= p(kind, facts) + SLACK


@given(KINDS, FACTS, DAYS, st.integers(0, 8))
def test_no_short_hold_on_a_rig_not_proved_raises_p(
    kind: str, facts: list[TestEvidence | Event], day: str, place: int
) -> None:
    short = TestEvidence("hold", day, "undecided", counts_as=SHORT_UNCLEARED)

    assert p(kind, [*facts[:place], short, *facts[place:]]) <= p(kind, facts) + SLACK


@given(KINDS, FACTS, SEALS, DAYS, st.integers(0, 8), st.sampled_from(STATES), st.sampled_from(STATES))
def test_no_worse_seal_raises_p(
    kind: str, facts: list[TestEvidence | Event], seal: str, day: str, place: int, one: str, other: str
) -> None:
    """The state of one look, made worse; not seen is no look, so it is compared only where it is the only one."""
    worse, better = sorted((one, other), key=STATES.index)
    if "not seen" in (one, other):
        assume(not any(isinstance(fact, TestEvidence) and fact.what == seal for fact in facts))

    def seen(state: str) -> float:
        look = TestEvidence(seal, day, seal_verdict(state, has_document=False))
        return p(kind, [*facts[:place], look, *facts[place:]])

    assert seen(worse) <= seen(better) + SLACK


@given(KINDS, FACTS, st.randoms(use_true_random=False))
def test_the_order_of_recording_does_not_matter_for_facts_of_different_days(
    kind: str, facts: list[TestEvidence | Event], chance: object
) -> None:
    apart = [replace(fact, when=f"2026-02-{place + 1:02}") for place, fact in enumerate(facts)]
    shuffled = list(apart)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]

    assert abs(p(kind, shuffled) - p(kind, apart)) <= SLACK


@given(KINDS, FACTS, made(BENCH), st.integers(0, 8), st.sampled_from([0.15, 0.35, 0.855]))
def test_a_claim_moves_p_no_more_than_the_same_test_made_here(
    kind: str, facts: list[TestEvidence | Event], test: TestEvidence, place: int, praise: float
) -> None:
    assume(test.decided)
    own = replace(test, claim="", weight=1.0, counts_as="")
    claimed = replace(own, claim="somebody says", weight=0.9 if own.verdict == "fail" else praise)
    clear = [fact for fact in facts if not isinstance(fact, TestEvidence) or fact.what != test.what]
    before = p(kind, clear)

    def moved(fact: TestEvidence) -> float:
        return abs(p(kind, [*clear[:place], fact, *clear[place:]]) - before)

    assert moved(claimed) <= moved(own) + SLACK


@given(KINDS, FACTS, made(BENCH), st.sampled_from([0.15, 0.35, 0.855]))
def test_claims_never_outweigh_a_test_made_here(
    kind: str, facts: list[TestEvidence | Event], test: TestEvidence, praise: float
) -> None:
    """With a test of our own of the last day, what anybody says of the same test changes nothing."""
    assume(test.decided)
    own = replace(test, when="2026-04-01", claim="", weight=1.0, counts_as="")
    claimed = replace(own, when="2026-04-02", verdict="pass", claim="somebody says", weight=praise)

    assert abs(p(kind, [*facts, own, claimed]) - p(kind, [*facts, own])) <= SLACK
