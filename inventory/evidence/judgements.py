"""How likely a part is serviceable after all its tests, and which faults those tests could not have shown.

Pure. It assumes at most one fault at a time, and tests that are independent given the fault; the reasons say so. A
test shows a fault with probability d; a good part fails it with probability f. Work counts by what it could mend.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from inventory.bench.verdicts import Verdict
from inventory.evidence.inputs import DECIDED, Event, TestEvidence
from inventory.evidence.own_counts import OwnShares
from inventory.evidence.weights import WeighedTest, false_alarm, repair_in_force, weigh_tests
from inventory.evidence.words import assumptions, own_counts_reason, reason_of, repair_reason, sentence
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
#: The day of a test that is still to be made: later than everything on record, vague days included.
_AFTER_ALL = "9999-12-31"


@dataclass(frozen=True)
class ModeShare:
    """One failure mode: its share of the failures, and the chance that the tests so far would show it (0 to 1).

    `share_on_file` is the share before own counts moved it, `found_here` how many other parts had it (a test that
    shows several faults counts in part for each).
    """

    mode: str
    share: float
    revealed: float
    share_on_file: float
    found_here: float


@dataclass(frozen=True)
class TestWeight:
    """One test with its weight (0 to 1), whether it is stale, and the words of the claim (`told`), if it is one."""

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

    `kind_modes` holds the failure modes of its kind, `weighed` each test with its weight, oldest first; `repair` is a
    specialist's repair with a paper that is still in force; `own` the faults found on other parts. The sentences are
    made only when asked for: of a hundred thousand parts most are only counted.
    """

    p_serviceable: float
    kind_modes: KindModes
    weighed: tuple[WeighedTest, ...]
    data: FailureData = field(repr=False, compare=False)
    repair: Event | None = None
    own: OwnShares | None = None

    @cached_property
    def modes(self) -> tuple[ModeShare, ...]:
        """Each failure mode, and the chance that the tests so far would show it."""
        on_file, found = (self.own.on_file, self.own.found) if self.own is not None else ({}, {})
        return tuple(
            ModeShare(
                mode.name,
                mode.share,
                _revealed(mode, self.weighed),
                on_file.get(mode.name, mode.share),
                found.get(mode.name, 0.0),
            )
            for mode in self.kind_modes.modes
        )

    @cached_property
    def coverage(self) -> float:
        """Share of the failures that the tests so far could have shown: sum of share (1 - prod(1 - w d))."""
        return sum(mode.share * _revealed(mode, self.weighed) for mode in self.kind_modes.modes)

    @cached_property
    def tests(self) -> tuple[TestWeight, ...]:
        """Each test with its weight."""
        return tuple(
            TestWeight(
                one.test.what, one.test.when, one.weight, one.stale_by is not None, one.test.claim, one.test.fact
            )
            for one in self.weighed
        )

    @cached_property
    def says(self) -> str:
        """The sentence for people: `likely good, 6 to 9 in 10; nothing so far could have shown a moved adjuster`."""
        return sentence(self.p_serviceable, self.not_shown, self.weighed, self.data)

    @cached_property
    def not_shown(self) -> list[str]:
        """The faults that the tests so far would more likely miss than show, most frequent first, as phrases."""
        missed = [
            (mode, shown)
            for mode, shown in zip(self.kind_modes.modes, self.modes, strict=True)
            if shown.revealed < _SHOWN
        ]
        return [mode.phrase for mode, _ in sorted(missed, key=lambda pair: -pair[0].share)]

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """How each test counted, then the assumptions."""
        tested = any(one.weight > 0.0 for one in self.weighed)
        each = (reason_of(one, self.kind_modes, self.data) for one in self.weighed)
        repaired = (repair_reason(self.repair, self.data),) if self.repair is not None else ()
        counted = (own_counts_reason(self.own, self.kind_modes, self.data),) if self.own and self.own.enough else ()
        assumed = assumptions(
            self.kind_modes, self.p_serviceable, self.coverage, tested, self.data, repaired=self.repair is not None
        )
        return (*each, *repaired, *counted, *assumed)

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
    """The expected result of one more test: its chance of a pass, and P(good) after either outcome (0 to 1)."""

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
    own: OwnShares | None = None,
) -> Serviceability:
    """Weigh all tests of one part together, as of an ISO day. `variant` names a sort of its kind.

    `own`: the faults found on other parts of its kind; they move the shares of its failure modes and nothing else.

    Of repeats of a test the majority counts, once. Work on the unit, heat or a drop makes earlier passes stale; work
    that could mend a fault makes earlier fails stale for it. Without a day, age does not count.
    """
    data, repair = reference.failures, repair_in_force(events)
    kind_modes = _after_repair(_with_shares(reference.failure_modes(kind, variant), own), repair, data)
    weighed = weigh_tests(tests, events, day, data, kind_modes.modes)
    return Serviceability(_p_good(kind_modes, weighed, data), kind_modes, weighed, data, repair, own)


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
    own: OwnShares | None = None,
) -> Outlook:
    """What one more run of `test`, with this `weight`, would change; `own` as for `appraise_evidence`.

    It is made with all readings, at the setting at which such tests count or are open now. The chance of a pass is the
    one at which both outcomes, weighted by their chances, average to P(good) now. So a repeat of a test is expected to
    give the same result again. If neither outcome would change P(good), the chance is given as 1.
    """
    data = reference.failures
    modes_on_file = _with_shares(reference.failure_modes(kind, variant), own)
    kind_modes = _after_repair(modes_on_file, repair_in_force(events), data)
    last = max((one.order for one in tests), default=0) + 1
    weighed = weigh_tests(tests, events, day, data, kind_modes.modes)
    at = next((one.test.setting for one in reversed(weighed) if one.test.what == test and (one.tied or one.weight)), "")
    read = frozenset().union(*(one.readings for one in tests if one.what == test))
    more = TestEvidence(test, _AFTER_ALL, "undecided", weight, order=last, setting=at, readings=read)
    further = {verdict: replace(more, verdict=verdict) for verdict in DECIDED}

    def p_after(made: TestEvidence) -> float:
        return _p_good(kind_modes, weigh_tests([*tests, made], events, day, data, kind_modes.modes), data)

    now = _p_good(kind_modes, weighed, data)
    if_pass, if_fail = (p_after(further[verdict]) for verdict in DECIDED)
    p_pass = 1.0 if if_pass == if_fail else min(1.0, max(0.0, (now - if_fail) / (if_pass - if_fail)))
    return Outlook(test, p_pass, if_pass, if_fail)


def seal_verdict(state: str, *, has_document: bool) -> Verdict:
    """The state of a seal as the verdict of a test of what it guards.

    Intact, or renewed with a document, is a pass. Missing, disturbed, or renewed without one is a fail. Not seen is
    undecided. A seal that was never fitted is not judged.
    """
    if state == "renewed":
        return "pass" if has_document else "fail"
    by_state: dict[str, Verdict] = {"intact": "pass", "missing": "fail", "disturbed": "fail", "not seen": "undecided"}
    return by_state.get(state, "not judged")


def posterior_good(prior_good: float, likelihood_good: float, bad: Sequence[tuple[float, float]]) -> float:
    """Bayes' rule: P(good | evidence), with (share, likelihood) of each failure mode; the shares sum to 1."""
    good = prior_good * likelihood_good
    return good / (good + (1.0 - prior_good) * sum(share * likelihood for share, likelihood in bad))


def _after_repair(kind_modes: KindModes, repair: Event | None, data: FailureData) -> KindModes:
    """The failure modes, with the share of good parts after a specialist's repair if one is in force."""
    if repair is None:
        return kind_modes
    return replace(kind_modes, good=max(kind_modes.good, data.figures["specialist's repair"].value))


def _with_shares(kind_modes: KindModes, own: OwnShares | None) -> KindModes:
    """The failure modes with the shares that own counts moved; what is good stays as it is."""
    if own is None or not own.enough:
        return kind_modes
    return replace(kind_modes, modes=tuple(replace(mode, share=own.shares[mode.name]) for mode in kind_modes.modes))


def _p_good(kind_modes: KindModes, weighed: Sequence[WeighedTest], data: FailureData) -> float:
    """P(good) after all tests with a weight. Each likelihood ratio to a good part is raised to its test's weight."""
    informative = [(one, false_alarm(one.test, data)) for one in weighed if one.weight > 0.0]
    if not informative:
        return kind_modes.good
    bad = [(mode.share, _ratio(mode, informative, data)) for mode in kind_modes.modes]
    return posterior_good(kind_modes.good, 1.0, bad)


def _ratio(mode: FailureMode, informative: Sequence[tuple[WeighedTest, float]], data: FailureData) -> float:
    """P(these outcomes | mode) / P(these outcomes | good), each to the power of its weight.

    `informative`: each test with its chance of failing a good part.
    """
    ratio = 1.0
    for one, alarm in informative:
        shows = mode.shows.get(one.test.what)
        if shows is None:
            continue
        if one.failed:
            ratio *= max(1.0, shows / alarm) ** one.weight_for(mode)
        elif not _silent(data.tests[one.test.what].silent_after, mode, informative):
            ratio *= min(1.0, (1.0 - shows) / (1.0 - alarm)) ** one.weight_for(mode)
    return ratio


def _silent(after: Sequence[str], mode: FailureMode, informative: Sequence[tuple[WeighedTest, float]]) -> bool:
    """Whether a pass says nothing of this fault, since one of these tests showed it."""
    return bool(after) and any(
        one.failed and one.test.what in after and one.test.what in mode.shows and one.weight_for(mode) > 0.0
        for one, _ in informative
    )


def _revealed(mode: FailureMode, weighed: Sequence[WeighedTest]) -> float:
    """The chance that the tests that count would show this fault: 1 - prod(1 - w d)."""
    missed = 1.0
    for one in weighed:
        if one.weight > 0.0:
            missed *= 1.0 - one.weight_for(mode) * mode.shows.get(one.test.what, 0.0)
    return 1.0 - missed
