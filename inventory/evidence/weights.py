"""The weight of each test of a part: which of several repeats counts, what happened since, how old it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.evidence.counting import Placed, count_tests
from inventory.evidence.inputs import Event, TestEvidence
from inventory.reference.modes import FailureData, FailureMode, TestOnFile

__all__ = ["WeighedTest", "false_alarm", "full_years", "repair_in_force", "weigh_tests"]

_Mending = tuple[str, ...]


@dataclass(frozen=True)
class WeighedTest:
    """One test with its weight (0 to 1), and the reasons for it.

    `stale_by`: what was done to the unit since, that ended it. `replaced`: other tests of its sort count instead,
    `elsewhere` at another setting or of other readings.
    `tied`: passes and fails of its sort stand against each other. `removals` and `years`: removals from a car and
    full years since the test. `not_for`: it does not count for the faults that are mended by these sorts of work;
    `mended`: the work that did so.
    """

    test: TestEvidence
    weight: float
    stale_by: Event | None = None
    replaced: bool = False
    elsewhere: bool = False
    removals: int = 0
    years: int = 0
    tied: bool = False
    not_for: frozenset[_Mending] = frozenset()
    mended: Event | None = None

    @property
    def failed(self) -> bool:
        """Whether it counts against the part: a fail, or short on a rig that is not proved."""
        return self.test.verdict == "fail" or self.test.short

    def weight_for(self, mode: FailureMode) -> float:
        """Its weight (0 to 1) for one failure mode."""
        return 0.0 if mode.mended_by in self.not_for else self.weight


@dataclass(frozen=True)
class _Fate:
    """For the faults of one sort of mending: the tests that count and those in a tie, by place."""

    places: frozenset[int]
    tied: frozenset[int]


def weigh_tests(
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    day: str,
    data: FailureData,
    modes: Sequence[FailureMode] = (),
) -> tuple[WeighedTest, ...]:
    """Each test with what it counts for on an ISO day, oldest first; with no day named, age does not count.

    For each failure mode the majority of one sort of test counts, once, since the last work that could mend the mode.
    Mixtures with different mates are no repeats of each other; what is claimed stands beside our last one.
    """
    if not tests:
        return ()
    ordered = sorted(tests, key=lambda test: (test.bounds[1], test.order))
    repeats: dict[tuple[str, str], list[Placed]] = {}
    last_mate = {test.what: test.mate for test in ordered if not test.claim}
    for place, test in enumerate(ordered):
        weight = _aged(test, events, day, data)
        mate = last_mate.get(test.what, "") if test.claim else test.mate
        repeats.setdefault((test.what, mate), []).append(Placed(place, test, weight, false_alarm(test, data)))
    weighed: dict[int, WeighedTest] = {}
    for (what, _), placed in repeats.items():
        weighed |= _weigh_repeats(what, placed, events, day, data, modes)
    return tuple(weighed[place] for place in range(len(ordered)))


def repair_in_force(events: Sequence[Event]) -> Event | None:
    """The last opened work with a specialist's paper, unless the unit was worked on, heated or dropped since."""
    changed = [event for event in events if event.stales and not event.by_specialist]
    repairs = [event for event in events if event.by_specialist and not any(other.follows(event) for other in changed)]
    return max(repairs, key=lambda event: (event.bounds[1], event.order), default=None)


def false_alarm(test: TestEvidence, data: FailureData) -> float:
    """The chance that a good part fails this test, as it was made."""
    if test.counts_as:
        return data.figures[test.counts_as].value
    on_file = data.tests.get(test.what)
    return on_file.false_alarm if on_file is not None else 1.0


def full_years(since: str, until: str) -> int:
    """Full years from one ISO day to another, at least 0; 0 if either is not a day."""
    if not (since[:4].isdecimal() and until[:4].isdecimal()):
        return 0
    return max(0, int(until[:4]) - int(since[:4]) - (until[4:] < since[4:]))


def _weigh_repeats(
    what: str,
    placed: Sequence[Placed],
    events: Sequence[Event],
    day: str,
    data: FailureData,
    modes: Sequence[FailureMode],
) -> dict[int, WeighedTest]:
    """All tests of one sort, by place."""
    on_file = data.tests.get(what)
    if on_file is None:
        return {one.place: WeighedTest(one.test, 0.0, _ended(one.test, events, ())) for one in placed}
    if len(placed) == 1 and not events:  # most parts of a large record
        test, counts = placed[0].test, placed[0].test.decided or placed[0].test.short
        years = full_years(test.bounds[1], day) if test.verdict == "pass" and on_file.ages else 0
        return {placed[0].place: WeighedTest(test, placed[0].weight if counts else 0.0, years=years)}
    shown = tuple(dict.fromkeys(mode.mended_by for mode in modes if what in mode.shows)) or ((),)
    fates: dict[_Mending, _Fate] = {}
    for mended_by in shown:
        counted = count_tests(placed, events, mended_by, takes_back=on_file.takes_back)
        fates[mended_by] = _Fate(frozenset(counted.places), frozenset(counted.tied))
    places = frozenset().union(*(fate.places for fate in fates.values()))
    counting = {one.place: one.test.repeats for one in placed if one.place in places}
    return {one.place: _weigh_one(one, on_file, fates, counting, events, day) for one in placed}


def _weigh_one(
    one: Placed,
    on_file: TestOnFile,
    fates: dict[_Mending, _Fate],
    counting: Mapping[int, frozenset[str]],
    events: Sequence[Event],
    day: str,
) -> WeighedTest:
    test, counts = one.test, one.place in counting
    if not test.decided and not counts:
        return WeighedTest(test, 0.0, _ended(test, events, tuple(fates)))
    tied = any(one.place in fate.tied for fate in fates.values())
    not_for = frozenset(mended_by for mended_by, fate in fates.items() if one.place not in fate.places)
    mended = next((ended for each in fates if (ended := _ended(test, events, (each,)))), None)
    ages = test.verdict == "pass" and counts and on_file.ages
    replaced = not counts and not tied and (bool(counting) or any(fate.tied for fate in fates.values()))
    return WeighedTest(
        test,
        one.weight if counts else 0.0,
        stale_by=_ended(test, events, tuple(fates)),
        replaced=replaced,
        elsewhere=replaced and bool(counting) and all(test.repeats.isdisjoint(its) for its in counting.values()),
        removals=_removals(test, events) if ages else 0,
        years=full_years(test.bounds[1], day) if ages else 0,
        tied=tied and not counts,
        not_for=not_for if counts else frozenset(),
        mended=mended if counts and test.verdict == "fail" else None,
    )


def _ended(test: TestEvidence, events: Sequence[Event], mendings: Sequence[_Mending]) -> Event | None:
    """What ended a test: for a pass any work, heat or drop; for a fail work that could mend all faults it shows."""
    if test.verdict != "fail" and not test.short:
        return next((event for event in events if event.stales and event.follows(test)), None)
    mended = [
        next((event for event in events if event.mends_mode(each) and event.surely_follows(test)), None)
        for each in mendings or ((),)
    ]
    return mended[0] if all(mended) else None


def _removals(test: TestEvidence, events: Sequence[Event]) -> int:
    return sum(event.removal and event.follows(test) for event in events)


def _aged(test: TestEvidence, events: Sequence[Event], day: str, data: FailureData) -> float:
    """Its weight after removals and years; a fail does not age, since drying out repairs nothing."""
    on_file = data.tests.get(test.what)
    if on_file is None or test.verdict != "pass" or not on_file.ages:
        return test.weight
    years = full_years(test.bounds[1], day)
    return (
        test.weight * data.figures["removal"].value ** _removals(test, events) * data.figures["dry year"].value ** years
    )
