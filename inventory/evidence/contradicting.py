"""Tests of one sort that came out both ways with nothing done between that could mend it, and what settles them. Pure.

Which passes and fails stand against each other is decided by the weighing of the tests: those it calls a tie. Of the
mixtures on a car a pass and a later fail are one too, if the other causes were checked that day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.contradictions.looks import ANSWERS, MINE_WRONG, NOT_NOW, TEST, Contradiction, Look
from inventory.evidence.inputs import CAUSES_CHECKED, SETTLED, Event, TestEvidence
from inventory.evidence.weights import WeighedTest, weigh_tests
from inventory.reference.modes import FailureData, FailureMode

__all__ = ["Settling", "contradicting_tests", "without_settled"]

_MIXTURE = "mixture"


@dataclass(frozen=True)
class Settling:
    """A settlement of tests: its time, what it is about ("test hold"), the answer in words, and whether shown."""

    at: Event
    about: str
    answer: str
    says: str
    shown: bool


def without_settled(
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    settled: Sequence[Settling],
    data: FailureData,
    modes: Sequence[FailureMode],
) -> tuple[TestEvidence, ...]:
    """The tests; those that a settlement calls wrong are undecided."""
    counting = list(tests)
    for each in settled:
        if each.answer == NOT_NOW:
            continue
        before = [test for test in counting if each.at.follows(test)]
        done = [event for event in events if each.at.follows(event)]
        against = _against(weigh_tests(before, done, "", data, modes), done).get(each.about, ())
        wrong = {test.fact for test in against if (test.verdict == against[-1].verdict) == (each.answer == MINE_WRONG)}
        why = f"{SETTLED}{each.says}"
        counting = [
            replace(test, verdict="undecided", counts_as="", why=why) if test.fact in wrong else test
            for test in counting
        ]
    return tuple(counting)


def contradicting_tests(
    weighed: Sequence[WeighedTest],
    events: Sequence[Event],
    settled: Sequence[Settling],
    looks: Mapping[str, Look],
    cars: Mapping[str, str],
) -> tuple[Contradiction, ...]:
    """The tests that stand against each other: open, and settled by word only.

    `looks`: each test as a look, by its fact; `cars`: the name of the car that was measured, by fact.
    """
    found = []
    still = _against(weighed, events)
    for about, tests in still.items():
        shown = tuple(looks[test.fact] for test in (*tests[:2], *tests[2:][-1:]))
        put_off = [each for each in settled if each.about == about and each.answer == NOT_NOW]
        counts = {one.test.verdict for one in weighed if one.weight and one.test in tests}
        found.append(
            Contradiction(
                about,
                shown,
                "the fail counts" if counts == {"fail"} else "the test counts as open, and a third one decides",
                ANSWERS,
                put_off=any(each.at.follows(tests[-1]) for each in put_off),
                further=tuple(each.at.fact for each in put_off),
                of=cars.get(tests[-1].fact, ""),
            )
        )
    for each in settled:
        wrong = [one.test for one in weighed if one.test.why == f"{SETTLED}{each.says}"]
        if each.shown or each.about in still or not wrong:
            continue
        sort = [one.test for one in weighed if one.test.what == wrong[0].what and each.at.follows(one.test)]
        other = [test for test in sort if test.decided and not test.claim][-1:]
        shown = tuple(sorted((looks[test.fact] for test in (wrong[-1], *other)), key=lambda look: look.order))
        of = cars.get(wrong[-1].fact, "")
        found.append(Contradiction(each.about, shown, "", settled=each.says, further=(each.at.fact,), of=of))
    return tuple(found)


def _against(weighed: Sequence[WeighedTest], events: Sequence[Event]) -> dict[str, tuple[TestEvidence, ...]]:
    """For each sort of test, as "test NAME", those that stand against each other, oldest first."""
    found: dict[str, tuple[TestEvidence, ...]] = {}
    for one in weighed:
        if one.tied:
            found[f"{TEST}{one.test.what}"] = (*found.get(f"{TEST}{one.test.what}", ()), one.test)
    mixtures = [one for one in weighed if one.test.what == _MIXTURE and not one.stale_by]
    fails = [one.test for one in mixtures if one.weight and one.test.counts_as == CAUSES_CHECKED and one.failed]
    passes = [
        one.test for one in mixtures if one.test.verdict == "pass" and fails and fails[-1].surely_follows(one.test)
    ]
    if passes and not any(_between(event, passes[-1], fails[-1]) for event in events):
        found.setdefault(f"{TEST}{_MIXTURE}", (passes[-1], fails[-1]))
    return found


def _between(event: Event, first: TestEvidence, last: TestEvidence) -> bool:
    return bool(event.stales or event.mends) and event.follows(first) and not event.surely_follows(last)
