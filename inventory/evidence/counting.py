"""Which of several tests of one sort count for a fault: the majority since the last work that could have mended it.

Pure. Passes and fails of our own are counted against each other, in the order of their days. Work on the unit, heat or
a drop ends what earlier passes gave; work that could mend the fault ends what earlier fails took. Each setting
and each reading by name is counted alone: a fail stands until that reading passes, at that setting. What others claim
counts only where no test of our own speaks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from inventory.evidence.inputs import Event, TestEvidence

__all__ = ["Counted", "Placed", "count_tests"]


@dataclass(frozen=True)
class Placed:
    """A test with its place among all, its weight at its age, and its chance of failing a good part."""

    place: int
    test: TestEvidence
    weight: float
    alarm: float

    @property
    def strength(self) -> tuple[float, float, int]:
        """Sorts tests by how much they say."""
        return (-self.alarm, self.weight, self.place)


@dataclass(frozen=True)
class Counted:
    """The places of the tests that count, and of those that stand against each other."""

    places: tuple[int, ...] = ()
    tied: tuple[int, ...] = ()


@dataclass
class _Votes:
    """Passes less fails so far, and those of them that still speak."""

    net: int = 0
    passes: list[Placed] = field(default_factory=list)
    fails: list[Placed] = field(default_factory=list)

    def add(self, one: Placed, *, takes_back: bool) -> None:
        if one.test.verdict == "pass":
            self.net += 1
            self.passes.append(one)
            return
        if takes_back:
            self.net = min(self.net, 0)
            self.passes.clear()
        self.net -= 1
        self.fails.append(one)

    def unit_changed(self) -> None:
        """Earlier passes end; of the fails, those that passes did not outweigh stay."""
        self.net = min(self.net, 0)
        self.passes.clear()
        if self.net == 0:
            self.fails.clear()

    def mended(self) -> None:
        """Earlier fails end."""
        self.net = max(self.net, 0)
        self.fails.clear()


def count_tests(
    tests: Sequence[Placed], events: Sequence[Event], mended_by: Sequence[str], *, takes_back: bool = False
) -> Counted:
    """Which tests of one sort count for a fault that such work mends."""
    if tests and tests[0].test.what.startswith("seal "):
        return _latest_look(tests, events, mended_by)
    ending = [event for event in events if event.stales]
    mending = [event for event in events if event.mends_mode(mended_by)]
    standing = [one for one in tests if not any(event.surely_follows(one.test) for event in mending)]
    repeats: dict[str, list[Placed]] = defaultdict(list)
    for one in tests:
        if one.test.decided and not one.test.claim:
            for of in one.test.repeats:
                repeats[of].append(one)
    every = [_votes(made, ending, mending, takes_back) for made in repeats.values()]
    fails = [one for votes in every if votes.net < 0 for one in votes.fails]
    tied = [one for votes in every if votes.net == 0 for one in (*votes.passes, *votes.fails)]
    passes = [one for votes in every if votes.net > 0 for one in votes.passes]
    majority = fails or ([] if tied else passes)
    own = [max(majority, key=lambda one: one.strength)] if majority else []
    if not fails:
        short = [one for one in standing if one.test.short and not one.test.claim]
        own += short[-1:]
    if any(votes.passes or votes.fails for votes in every):
        return Counted(_places(own), () if fails else _places(tied))
    claims = [one for one in standing if one.test.decided and one.test.claim and not _overtaken(one.test, tests)]
    return Counted(_places([*own, *_strongest_claim(claims, ending)]))


def _votes(own: Sequence[Placed], ending: Sequence[Event], mending: Sequence[Event], takes_back: bool) -> _Votes:
    def after(one: Placed) -> tuple[int, int]:
        """How many changes, and how many mendings, it was made after."""
        changes = sum(not event.follows(one.test) for event in ending)
        return changes, sum(not event.surely_follows(one.test) for event in mending)

    votes, so_far = _Votes(), (0, 0)
    in_order = sorted(((after(one), one) for one in own), key=lambda each: (each[0], each[1].place))
    for at, one in in_order:
        _pass_time(votes, so_far, at)
        votes.add(one, takes_back=takes_back)
        so_far = at
    _pass_time(votes, so_far, (len(ending), len(mending)))
    return votes


def _pass_time(votes: _Votes, since: tuple[int, int], until: tuple[int, int]) -> None:
    if since[0] != until[0]:
        votes.unit_changed()
    if since[1] != until[1]:
        votes.mended()


def _overtaken(claim: TestEvidence, tests: Sequence[Placed]) -> bool:
    """Whether a later test of our own took the place of a claim, even if stale; of a claimed fault only a pass does."""
    return any(
        one.test.decided
        and not one.test.claim
        and one.test.surely_follows(claim)
        and (claim.verdict == "pass" or one.test.verdict == "pass")
        for one in tests
    )


def _strongest_claim(claims: Sequence[Placed], ending: Sequence[Event]) -> list[Placed]:
    """A fault that somebody admits stands before any praise; praise ends with work on the unit."""
    fails = [one for one in claims if one.test.verdict == "fail"]
    praise = [one for one in claims if not any(event.follows(one.test) for event in ending)]
    return [max(fails or praise, key=lambda one: one.strength)] if fails or praise else []


def _latest_look(looks: Sequence[Placed], events: Sequence[Event], mended_by: Sequence[str]) -> Counted:
    """The latest look at a seal that saw it, our own before one that is claimed, unless its time is over."""

    def over(one: Placed) -> bool:
        if one.test.verdict == "pass":
            return any(event.stales and event.follows(one.test) for event in events)
        return any(event.mends_mode(mended_by) and event.surely_follows(one.test) for event in events)

    seen = [one for one in looks if one.test.decided]
    latest = max(seen, key=lambda one: (not one.test.claim and not over(one), one.place), default=None)
    return Counted(_places([latest]) if latest is not None and not over(latest) else ())


def _places(tests: Sequence[Placed]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(one.place for one in tests))
