"""How likely a part is serviceable, given all that was tested, and what those tests could not have shown.

Pure. One fault at a time is assumed, and tests speak independently once the fault is given; both are said among
the reasons. A test that speaks to a fault shows it with probability d; a good part fails it with probability f.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.bench.verdicts import Verdict
from inventory.evidence.given import DECIDED, Event, TestEvidence
from inventory.evidence.weights import Counted, count
from inventory.evidence.words import assumptions, reason_of, sentence
from inventory.reasons import Reason
from inventory.reference.modes import FailureMode, KindModes, failure_data, failure_modes

__all__ = [
    "Event",
    "ModeShare",
    "Outlook",
    "Serviceability",
    "TestEvidence",
    "TestWeight",
    "appraise_evidence",
    "outlook",
    "posterior_good",
    "seal_verdict",
]

_SHOWN = 0.5
#: The day of a test that is still to be made: after all that is on record, vague days included.
_AFTER_ALL = "9999-12-31"


@dataclass(frozen=True)
class ModeShare:
    """One way of failing: its share of the failures, and how surely the tests so far would have shown it (0 to 1)."""

    mode: str
    share: float
    revealed: float


@dataclass(frozen=True)
class TestWeight:
    """One test as it counted: `weight` 0 to 1; whether it was made before the unit was worked on; how it was told."""

    __test__ = False

    what: str
    when: str
    weight: float
    stale: bool
    told: str = ""
    fact: str = ""


@dataclass(frozen=True)
class Serviceability:
    """What all the evidence says of one part. `p_serviceable` and `coverage` lie in 0 to 1."""

    p_serviceable: float
    says: str
    coverage: float
    modes: tuple[ModeShare, ...]
    tests: tuple[TestWeight, ...]
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `evidence`."""
        return {
            "p_serviceable": self.p_serviceable,
            "says": self.says,
            "coverage": self.coverage,
            "modes": [{"mode": m.mode, "share": m.share, "revealed": m.revealed} for m in self.modes],
            "tests": [vars(test) for test in self.tests],
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


@dataclass(frozen=True)
class Outlook:
    """What one more test can be expected to say: its chance of passing, and P(good) after either outcome (0 to 1)."""

    test: str
    p_pass: float
    p_good_if_pass: float
    p_good_if_fail: float


def appraise_evidence(
    kind: str, tests: Sequence[TestEvidence], events: Sequence[Event], *, day: str = "", variant: str = ""
) -> Serviceability:
    """Weigh all tests of one part of that kind, or that sort of it, together, as of an ISO day.

    The same test twice counts once, the latest that was decided; a test made before the unit was worked on is stale;
    with no day named, age does not count.
    """
    fails = failure_modes(kind, variant)
    counted = count(tests, events, day)
    speaking = [one for one in counted if one.weight > 0.0]
    p = _p_good(fails, speaking)
    modes = tuple(ModeShare(mode.name, mode.share, _revealed(mode, speaking)) for mode in fails.modes)
    coverage = sum(mode.share * mode.revealed for mode in modes)
    weighed = tuple(_weighed(one) for one in counted)
    reasons = (*(reason_of(one, fails) for one in counted), *assumptions(fails, p, coverage, bool(speaking)))
    return Serviceability(p, sentence(p, _dark(fails, modes), counted), coverage, modes, weighed, reasons)


def outlook(
    kind: str,
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    test: str,
    *,
    weight: float = 1.0,
    day: str = "",
    variant: str = "",
) -> Outlook:
    """What a further run of `test`, made after all that is on record, would change; `weight` is what it would count.

    The chance of a pass is the one at which the two outcomes, weighed by their chances, average to what is believed
    now; so a test that is only a copy of one already counted is foreseen to come out as that did. Where neither
    outcome would move anything the chance is given as 1.
    """
    fails = failure_modes(kind, variant)
    last = max((one.order for one in tests), default=0) + 1
    further = {verdict: TestEvidence(test, _AFTER_ALL, verdict, weight, order=last) for verdict in DECIDED}
    now = _p_good(fails, count(tests, events, day))
    if_pass, if_fail = (_p_good(fails, count([*tests, further[verdict]], events, day)) for verdict in DECIDED)
    p_pass = 1.0 if if_pass == if_fail else min(1.0, max(0.0, (now - if_fail) / (if_pass - if_fail)))
    return Outlook(test, p_pass, if_pass, if_fail)


def seal_verdict(state: str, *, has_document: bool) -> Verdict:
    """How a look at a seal counts as a test of what it guards.

    Intact, or renewed with a document, passes; missing, disturbed, or renewed without one fails; not seen is
    undecided; a seal that was never fitted tests nothing.
    """
    if state == "renewed":
        return "pass" if has_document else "fail"
    by_state: dict[str, Verdict] = {"intact": "pass", "missing": "fail", "disturbed": "fail", "not seen": "undecided"}
    return by_state.get(state, "not judged")


def posterior_good(prior_good: float, likelihood_good: float, bad: Sequence[tuple[float, float]]) -> float:
    """Bayes' rule: P(good | evidence), with (share, likelihood) of each way of being bad, shares adding up to 1."""
    good = prior_good * likelihood_good
    return good / (good + (1.0 - prior_good) * sum(share * likelihood for share, likelihood in bad))


def _weighed(one: Counted) -> TestWeight:
    test = one.test
    return TestWeight(test.what, test.when, one.weight, one.stale_by is not None, test.told, test.fact)


def _p_good(fails: KindModes, counted: Sequence[Counted]) -> float:
    """P(good) after all tests that weigh anything; likelihoods are ratios to the good part's own."""
    speaking = [one for one in counted if one.weight > 0.0]
    if not speaking:
        return fails.good
    return posterior_good(fails.good, 1.0, [(mode.share, _ratio(mode, speaking)) for mode in fails.modes])


def _ratio(mode: FailureMode, speaking: Sequence[Counted]) -> float:
    """P(these outcomes | mode) / P(these outcomes | good), each tempered: to the power of its weight."""
    ratio = 1.0
    for one in speaking:
        alarm = failure_data().tests[one.test.what].false_alarm
        shows = mode.shows.get(one.test.what, alarm)
        ratio *= (shows / alarm if one.test.verdict == "fail" else (1.0 - shows) / (1.0 - alarm)) ** one.weight
    return ratio


def _revealed(mode: FailureMode, speaking: Sequence[Counted]) -> float:
    """How surely the tests that count would have shown this fault: 1 - prod(1 - w d)."""
    missed = 1.0
    for one in speaking:
        if not one.stale_by:
            missed *= 1.0 - one.weight * mode.shows.get(one.test.what, 0.0)
    return 1.0 - missed


def _dark(fails: KindModes, modes: Sequence[ModeShare]) -> list[str]:
    """What the tests so far would more likely than not have missed, the most frequent first."""
    missed = [(mode, shown) for mode, shown in zip(fails.modes, modes, strict=True) if shown.revealed < _SHOWN]
    return [mode.phrase for mode, _ in sorted(missed, key=lambda pair: -pair[0].share)]
