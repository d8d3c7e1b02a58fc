"""How likely a part is serviceable, given all that was tested, and what those tests could not have shown.

Pure. One fault at a time is assumed, and tests speak independently once the fault is given; both are said among
the reasons. A test that speaks to a fault shows it with probability d; a good part fails it with probability f.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.bench.verdicts import Verdict
from inventory.reasons import WORKSHOP, Reason
from inventory.reference.modes import FailureMode, KindModes, StaleWeights, failure_modes, false_alarm, stale_weights

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

Band = Literal["likely good", "even", "doubtful"]

_LIKELY, _EVEN = 0.65, 0.35
_SHOWN = 0.5
_NAMED = 3
_NO_SOURCE = "no source"
_DECIDED: tuple[Verdict, ...] = ("pass", "fail")
_AFTER_ALL = "9999-12-31"


@dataclass(frozen=True)
class TestEvidence:
    """One test of a part: `what` is a bench procedure or "seal NAME", `verdict` how it came out.

    A seal intact is a pass, missing or disturbed a fail, not seen undecided. `when` is the day as shown; `earliest`
    and `latest` are its ISO bounds (left out: the day itself), `order` the order of recording. `weight` (0 to 1) is
    what the test is worth: 1 on one's own bench. "tested", with no test named, proves nothing.
    """

    __test__ = False  # not a test case, whatever a test runner thinks of the name

    what: str
    when: str
    verdict: Verdict
    weight: float = 1.0
    fact: str = ""
    earliest: str = ""
    latest: str = ""
    order: int = 0

    @property
    def bounds(self) -> tuple[str, str]:
        """First and last ISO day on which it may have been."""
        return (self.earliest or self.when, self.latest or self.when)


@dataclass(frozen=True)
class Event:
    """Something that happened to the unit itself after which a test no longer speaks: opened, heated, dropped."""

    what: str
    when: str
    fact: str = ""
    earliest: str = ""
    latest: str = ""
    order: int = 0

    def makes_stale(self, test: TestEvidence) -> bool:
        """Whether it came, or may have come, after the test; on one known day the order of recording decides."""
        mine, its = (self.earliest or self.when, self.latest or self.when), test.bounds
        if mine == its and mine[0] == mine[1]:
            return self.order > test.order
        return mine[1] >= its[0]


@dataclass(frozen=True)
class ModeShare:
    """One way of failing: its share of the failures, and how surely the tests so far would have shown it (0 to 1)."""

    mode: str
    share: float
    revealed: float


@dataclass(frozen=True)
class TestWeight:
    """One test as it counted: `weight` 0 to 1, and whether it was made before the unit was worked on."""

    __test__ = False

    what: str
    when: str
    weight: float
    stale: bool


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
            "tests": [{"what": t.what, "when": t.when, "weight": t.weight, "stale": t.stale} for t in self.tests],
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


@dataclass(frozen=True)
class _Counted:
    """One test with the weight it counts at, whether it is stale, and whether a later one of its sort replaced it."""

    test: TestEvidence
    weight: float
    stale_by: Event | None
    replaced: bool


@dataclass(frozen=True)
class Outlook:
    """What one more test can be expected to say: its chance of passing, and P(good) after either outcome (0 to 1)."""

    test: str
    p_pass: float
    p_good_if_pass: float
    p_good_if_fail: float


def outlook(
    kind: str,
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    test: str,
    *,
    weight: float = 1.0,
    day: str = "",
) -> Outlook:
    """What a further run of `test`, made after all that is on record, would change; `weight` is what it would count.

    The chance of a pass is the one at which the two outcomes, weighed by their chances, average to what is believed
    now; so a test that is only a copy of one already counted is foreseen to come out as that did.
    """
    now = appraise_evidence(kind, tests, events, day=day).p_serviceable
    last = max((one.order for one in tests), default=0) + 1
    after: dict[Verdict, float] = {}
    for verdict in _DECIDED:
        further = TestEvidence(test, _AFTER_ALL, verdict, weight, order=last)
        after[verdict] = appraise_evidence(kind, [*tests, further], events, day=day).p_serviceable
    if_pass, if_fail = after["pass"], after["fail"]
    p_pass = 1.0 if if_pass == if_fail else min(1.0, max(0.0, (now - if_fail) / (if_pass - if_fail)))
    return Outlook(test, p_pass, if_pass, if_fail)


def appraise_evidence(
    kind: str, tests: Sequence[TestEvidence], events: Sequence[Event], *, day: str = ""
) -> Serviceability:
    """Weigh all tests of one part of that kind together.

    The same test twice counts once, the latest that was decided; a test made before the unit was worked on is stale.
    """
    data = failure_modes(kind)
    counted = _count(tests, events, stale_weights())
    speaking = [one for one in counted if one.weight > 0.0]
    p = data.good
    if speaking:
        likelihoods = [_likelihood(None, one) for one in speaking]
        good = _product(likelihoods)
        bad = [(mode.share, _product([_likelihood(mode, one) for one in speaking])) for mode in data.modes]
        p = posterior_good(data.good, good, bad)
    modes = tuple(ModeShare(mode.name, mode.share, _revealed(mode, speaking)) for mode in data.modes)
    coverage = sum(mode.share * mode.revealed for mode in modes)
    weighed = tuple(TestWeight(o.test.what, o.test.when, o.weight, o.stale_by is not None) for o in counted)
    reasons = (*(_reason(one) for one in counted), *_assumptions(data, p, coverage, bool(speaking)))
    return Serviceability(p, _says(p, data, modes, counted), coverage, modes, weighed, reasons)


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


def _count(tests: Sequence[TestEvidence], events: Sequence[Event], stale: StaleWeights) -> tuple[_Counted, ...]:
    """Each test with what it counts for, oldest first."""
    ordered = sorted(tests, key=lambda test: (test.bounds[1], test.order))
    latest = {test.what: place for place, test in enumerate(ordered) if test.verdict in _DECIDED}
    counted = []
    for place, test in enumerate(ordered):
        by = next((event for event in events if event.makes_stale(test)), None)
        decided = test.verdict in _DECIDED
        replaced = decided and latest[test.what] != place
        known = false_alarm(test.what) is not None and decided and not replaced
        after = (stale.passed if test.verdict == "pass" else stale.failed) if by else 1.0
        counted.append(_Counted(test, test.weight * after if known else 0.0, by, replaced))
    return tuple(counted)


def _likelihood(mode: FailureMode | None, one: _Counted) -> float:
    """P(this outcome | mode, or good when None), tempered so that weight 0 says nothing and weight 1 all.

    Tempering the ratio to the good part's likelihood: (P(mode) / P(good)) ** weight.
    """
    alarm = false_alarm(one.test.what)
    assert alarm is not None  # a test not on file has weight 0 and does not get here
    shows = alarm if mode is None else mode.shows.get(one.test.what, alarm)
    of_mode, of_good = (shows, alarm) if one.test.verdict == "fail" else (1.0 - shows, 1.0 - alarm)
    return float((of_mode / of_good) ** one.weight)


def _revealed(mode: FailureMode, speaking: Sequence[_Counted]) -> float:
    """How surely the tests that count would have shown this fault: 1 - prod(1 - w d)."""
    missed = _product([1.0 - one.weight * mode.shows.get(one.test.what, 0.0) for one in speaking if not one.stale_by])
    return 1.0 - missed


def _product(factors: Sequence[float]) -> float:
    product = 1.0
    for factor in factors:
        product *= factor
    return product


def _band(p: float) -> Band:
    return "likely good" if p >= _LIKELY else "even" if p >= _EVEN else "doubtful"


def _says(p: float, data: KindModes, modes: Sequence[ModeShare], counted: Sequence[_Counted]) -> str:
    """`likely good; nothing so far could have shown a moved adjuster`; a fail says all there is to say."""
    failed = [one.test for one in counted if one.weight > 0.0 and one.test.verdict == "fail"]
    if failed:
        return f"{_band(p)}: {' and '.join(_came_out(test) for test in failed)}"
    parts: list[str] = [_band(p)]
    parts += [
        f"{_named(one.test.what)} no longer counts: {one.stale_by.what}, {one.stale_by.when}"
        for one in counted
        if one.stale_by and not one.replaced and one.test.verdict == "pass" and false_alarm(one.test.what) is not None
    ]
    phrases = {mode.name: mode.phrase for mode in data.modes}
    dark = sorted((mode for mode in modes if mode.revealed < _SHOWN), key=lambda mode: -mode.share)
    named = [phrases[mode.mode] for mode in dark[:_NAMED]]
    if named:
        listed = named[0] if len(named) == 1 else f"{', '.join(named[:-1])} or {named[-1]}"
        parts.append(f"nothing so far could have shown {listed}")
    return "; ".join(parts)


def _named(what: str) -> str:
    """A test as it stands in a sentence: the hold, the resistances, the cap."""
    return {"resistance": "the resistances"}.get(what, f"the {what.removeprefix('seal ')}")


def _came_out(test: TestEvidence) -> str:
    """A test and its outcome: `the hold failed`, `the cap is not intact`."""
    if test.what.startswith("seal "):
        outcome = {"pass": "is intact", "fail": "is not intact"}.get(test.verdict, "was not seen")
    else:
        outcome = {"pass": "passed", "fail": "failed", "undecided": "could not tell"}.get(
            test.verdict, "was not judged"
        )
    return f"{_named(test.what)} {outcome}"


def _reason(one: _Counted) -> Reason:
    """How one test counted, and why not when it did not."""
    test, facts = one.test, tuple(fact for fact in (one.test.fact, one.stale_by.fact if one.stale_by else "") if fact)
    says = f"{_came_out(test)}, {test.when}"
    if false_alarm(test.what) is None and test.what.startswith("seal "):
        rule = "what this seal guards is not on file, so it counts for nothing here"
    elif false_alarm(test.what) is None:
        says = f'said to be "{test.what}", {test.when}'
        rule = "a test that is not named, or not on file, proves nothing"
    elif test.verdict not in _DECIDED:
        rule = "a test that was not decided leaves everything as it was"
    elif one.replaced:
        rule = "the same test counts once, the latest"
    elif one.stale_by:
        says += f"; but {one.stale_by.what}, {one.stale_by.when}"
        rule = "work on the unit, heat or a drop: what it passed before no longer speaks, what it failed half so loud"
    else:
        rule = f"counts with weight {one.weight:g}"
    return Reason(says, rule, _NO_SOURCE, WORKSHOP, facts)


def _assumptions(data: KindModes, p: float, coverage: float, tested: bool) -> tuple[Reason, ...]:
    """What the figure rests on besides the tests."""
    start = f"of used, untested parts of this kind {100 * data.good:.0f} % are taken to be good"
    after = f"; after these tests {100 * p:.0f} %" if tested else "; nothing tested moves that"
    shares = "shares of the failures, and how often each test shows them, are a considered guess"
    return (
        Reason(start + after, "Bayes' rule over the ways this kind fails", data.source, data.standing),
        Reason(
            f"the tests so far could have shown {100 * coverage:.0f} % of the failures",
            shares,
            data.source,
            data.standing,
        ),
        Reason("at most one fault at a time", "assumed", _NO_SOURCE, WORKSHOP),
        Reason("tests speak independently once the fault is given; copies of one count once", "assumed", _NO_SOURCE),
    )
