"""The weight of each test of a part: which of several repeats counts, what happened since, how old it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.evidence.inputs import Event, TestEvidence
from inventory.reference.modes import FailureData

__all__ = ["WeighedTest", "full_years", "weigh_tests"]


@dataclass(frozen=True)
class WeighedTest:
    """One test with its weight (0 to 1), and the reasons for it.

    `stale_by`: what was done to the unit since. `replaced`: a later or better repeat counts instead. `removals` and
    `years`: removals from a car and full years since the test.
    """

    test: TestEvidence
    weight: float
    stale_by: Event | None = None
    replaced: bool = False
    removals: int = 0
    years: int = 0


def weigh_tests(
    tests: Sequence[TestEvidence], events: Sequence[Event], day: str, data: FailureData
) -> tuple[WeighedTest, ...]:
    """Each test with what it counts for on an ISO day, oldest first; with no day named, age does not count.

    Of several of one sort one counts: the latest on one's own bench that is not stale, else the latest told of.
    """
    if not tests:
        return ()
    ordered = sorted(tests, key=lambda test: (test.bounds[1], test.order))
    ending = [event for event in events if event.stales]
    stale_by = [next((event for event in ending if event.follows(test)), None) for test in ordered]
    best: dict[str, tuple[bool, int]] = {}
    for place, test in enumerate(ordered):
        if test.decided:
            rank = (not test.claim and stale_by[place] is None, place)
            best[test.what] = max(rank, best.get(test.what, rank))
    return tuple(
        _weigh_one(test, stale_by[place], test.decided and best[test.what][1] != place, events, day, data)
        for place, test in enumerate(ordered)
    )


def full_years(since: str, until: str) -> int:
    """Full years from one ISO day to another, at least 0; 0 if either is not a day."""
    if not (since[:4].isdecimal() and until[:4].isdecimal()):
        return 0
    return max(0, int(until[:4]) - int(since[:4]) - (until[4:] < since[4:]))


def _weigh_one(
    test: TestEvidence,
    stale_by: Event | None,
    replaced: bool,
    events: Sequence[Event],
    day: str,
    data: FailureData,
) -> WeighedTest:
    on_file = data.tests.get(test.what)
    if on_file is None or not test.decided or replaced:
        return WeighedTest(test, 0.0, stale_by, replaced)
    if stale_by is not None:
        left = data.figures["stale pass" if test.verdict == "pass" else "stale fail"].value
        return WeighedTest(test, test.weight * left, stale_by)
    if test.verdict == "fail" or not on_file.ages:
        return WeighedTest(test, test.weight)
    removals = sum(not event.stales and event.follows(test) for event in events)
    years = full_years(test.bounds[1], day)
    left = data.figures["removal"].value ** removals * data.figures["dry year"].value ** years
    return WeighedTest(test, test.weight * left, removals=removals, years=years)
