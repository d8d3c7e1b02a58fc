"""How likely a part is serviceable, given all that was tested, and what those tests could not have shown.

Pure. One fault at a time is assumed, and tests speak independently once the fault is given; both are said among
the reasons. A test that speaks to a fault shows it with probability d; a good part fails it with probability f.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inventory.bench.verdicts import Verdict
from inventory.evidence.given import DECIDED, Event, TestEvidence
from inventory.evidence.weights import Counted, count
from inventory.evidence.words import assumptions, reason_of, sentence
from inventory.reasons import Reason
from inventory.reference.data import Reference
from inventory.reference.modes import FailureData, FailureMode, KindModes

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
    """What all the evidence says of one part. `p_serviceable` and `coverage` lie in 0 to 1.

    `fails` is how its kind fails, `counted` each test with what it counted for, oldest first. What is said of them is
    put into words when it is asked for: most of a hundred thousand parts are only counted.
    """

    p_serviceable: float
    fails: KindModes
    counted: tuple[Counted, ...]
    data: FailureData = field(repr=False, compare=False)

    @cached_property
    def modes(self) -> tuple[ModeShare, ...]:
        """Each way of failing, and how surely the tests so far would have shown it."""
        return tuple(ModeShare(mode.name, mode.share, _revealed(mode, self.counted)) for mode in self.fails.modes)

    @cached_property
    def coverage(self) -> float:
        """The share of the failures that the tests so far could have shown: sum of share (1 - prod(1 - w d))."""
        return sum(mode.share * _revealed(mode, self.counted) for mode in self.fails.modes)

    @cached_property
    def tests(self) -> tuple[TestWeight, ...]:
        """Each test as it counted."""
        return tuple(
            TestWeight(one.test.what, one.test.when, one.weight, one.stale_by is not None, one.test.told, one.test.fact)
            for one in self.counted
        )

    @cached_property
    def says(self) -> str:
        """The sentence for people: `likely good, 6 to 9 in 10; nothing so far could have shown a moved adjuster`."""
        return sentence(self.p_serviceable, _dark(self.fails, self.modes), self.counted, self.data)

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """How each test counted, and what the figure rests on besides."""
        tested = any(one.weight > 0.0 for one in self.counted)
        each = (reason_of(one, self.fails, self.data) for one in self.counted)
        return (*each, *assumptions(self.fails, self.p_serviceable, self.coverage, tested, self.data))

    def as_dict(self) -> dict[str, object]:
        """The JSON of `evidence`."""
        return {
            "p_serviceable": self.p_serviceable,
            "says": self.says,
            "coverage": self.coverage,
            "modes": [vars(mode) for mode in self.modes],
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
    kind: str,
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    reference: Reference,
    *,
    day: str = "",
    variant: str = "",
) -> Serviceability:
    """Weigh all tests of one part of that kind, or that sort of it, together, as of an ISO day.

    The same test twice counts once, the latest that was decided; a test made before the unit was worked on is stale;
    with no day named, age does not count.
    """
    fails, data = reference.failure_modes(kind, variant), reference.failures
    counted = count(tests, events, day, data)
    return Serviceability(_p_good(fails, counted, data), fails, counted, data)


def outlook(
    kind: str,
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    test: str,
    reference: Reference,
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
    fails, data = reference.failure_modes(kind, variant), reference.failures
    last = max((one.order for one in tests), default=0) + 1
    further = {verdict: TestEvidence(test, _AFTER_ALL, verdict, weight, order=last) for verdict in DECIDED}
    now = _p_good(fails, count(tests, events, day, data), data)
    if_pass, if_fail = (
        _p_good(fails, count([*tests, further[verdict]], events, day, data), data) for verdict in DECIDED
    )
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


def _p_good(fails: KindModes, counted: Sequence[Counted], data: FailureData) -> float:
    """P(good) after all tests that weigh anything; likelihoods are ratios to the good part's own, each tempered."""
    on_file = data.tests
    speaking = [
        (one.test.what, on_file[one.test.what].false_alarm, one.test.verdict == "fail", one.weight)
        for one in counted
        if one.weight > 0.0
    ]
    if not speaking:
        return fails.good
    return posterior_good(fails.good, 1.0, [(mode.share, _ratio(mode, speaking)) for mode in fails.modes])


def _ratio(mode: FailureMode, speaking: Sequence[tuple[str, float, bool, float]]) -> float:
    """P(these outcomes | mode) / P(these outcomes | good), each to the power of its weight.

    `speaking`: of each test its name, its chance of failing a good part, whether it failed, its weight.
    """
    ratio = 1.0
    for what, alarm, failed, weight in speaking:
        shows = mode.shows.get(what, alarm)
        if shows != alarm:
            ratio *= (shows / alarm if failed else (1.0 - shows) / (1.0 - alarm)) ** weight
    return ratio


def _revealed(mode: FailureMode, counted: Sequence[Counted]) -> float:
    """How surely the tests that count would have shown this fault: 1 - prod(1 - w d)."""
    missed = 1.0
    for one in counted:
        if one.weight > 0.0 and not one.stale_by:
            missed *= 1.0 - one.weight * mode.shows.get(one.test.what, 0.0)
    return 1.0 - missed


def _dark(fails: KindModes, modes: Sequence[ModeShare]) -> list[str]:
    """What the tests so far would more likely than not have missed, the most frequent first."""
    missed = [(mode, shown) for mode, shown in zip(fails.modes, modes, strict=True) if shown.revealed < _SHOWN]
    return [mode.phrase for mode, _ in sorted(missed, key=lambda pair: -pair[0].share)]
