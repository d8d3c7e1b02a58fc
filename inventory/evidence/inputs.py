"""Inputs of the judgement on serviceability: tests, our own and claimed, and what happened to the unit."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from inventory.bench.verdicts import Verdict

__all__ = [
    "CAUSES_CHECKED",
    "DECIDED",
    "OPEN_WINDING",
    "SETTLED",
    "SHORT_UNCLEARED",
    "SPECIALIST",
    "Event",
    "TestEvidence",
]

DECIDED: tuple[Verdict, ...] = ("pass", "fail")


#: Figures that replace a test's chance of failing a good part, by what makes it weigh otherwise.
SHORT_UNCLEARED, OPEN_WINDING, CAUSES_CHECKED = "short uncleared", "open winding", "causes checked"
SPECIALIST = "specialist's paper"
#: Begins the `why` of a test that a settlement calls wrong; the settlement follows.
SETTLED = "settled: "


@dataclass(frozen=True)
class TestEvidence:
    """One test of a part: `what` is a bench procedure, "seal NAME", "runs" or "mixture", `verdict` is its outcome.

    An intact seal is a pass, a missing or disturbed one a fail, one not seen is undecided. `when` is the day as shown;
    `earliest` and `latest` are its ISO bounds (empty: the day itself), `order` the order of recording. `weight` (0 to
    1) is 1 for a test on our own bench. `claim` gives the words of a test that somebody else claims, `why` the reason
    for its weight; both are empty for our own tests. `counts_as` names the figure with its chance of failing a good
    part (empty: the test's own). `kept` is the share of vacuum that a hold kept, with its bounds. `mate`: the tag of
    the other unit of the pair in a mixture; with another mate it is no repeat. `setting`: what was set for it, where a
    test can be made at several settings; at another setting it is no repeat either. `readings`: those that passed or
    failed, where they are taken by name; empty for a test that is one whole. `told`: the outcome in words, where the
    verdict alone does not say it.
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
    claim: str = ""
    why: str = ""
    counts_as: str = ""
    kept: tuple[float, float, float] | None = None
    mate: str = ""
    setting: str = ""
    readings: frozenset[str] = frozenset()
    told: str = ""

    def surely_follows(self, other: TestEvidence) -> bool:
        """Whether it was certainly made after the other."""
        return surely_after(self, other)

    @property
    def repeats(self) -> frozenset[str]:
        """What it is a repeat of: each of its readings, else its setting."""
        return self.readings or frozenset({self.setting})

    @property
    def decided(self) -> bool:
        """Whether it passed or failed."""
        return self.verdict in DECIDED

    @property
    def short(self) -> bool:
        """Whether it fell short on a rig that was not proved tight: undecided, but it counts a little."""
        return self.verdict == "undecided" and self.counts_as == SHORT_UNCLEARED

    @property
    def bounds(self) -> tuple[str, str]:
        """First and last ISO day on which it may have been made."""
        return (self.earliest or self.when, self.latest or self.when)


@dataclass(frozen=True)
class Event:
    """Something that happened to the unit itself.

    Work, heat or a drop makes earlier tests stale. A removal from a car, or work outside (`stales` False), does not.
    `mends` holds the sorts of mending that it was.
    """

    what: str
    when: str
    fact: str = ""
    earliest: str = ""
    latest: str = ""
    order: int = 0
    stales: bool = True
    mends: frozenset[str] = frozenset()

    @property
    def bounds(self) -> tuple[str, str]:
        """First and last ISO day on which it may have been."""
        return (self.earliest or self.when, self.latest or self.when)

    @property
    def removal(self) -> bool:
        """Whether it is a removal from a car, which lowers the weight of earlier passes a little."""
        return not self.stales and not self.mends

    @property
    def by_specialist(self) -> bool:
        """Whether it was opened work with a specialist's paper, before which no test counts."""
        return SPECIALIST in self.mends

    def follows(self, other: TestEvidence | Event) -> bool:
        """Whether it happened, or may have happened, after the other. On one day the order of recording decides."""
        mine, its = self.bounds, other.bounds
        if mine == its and mine[0] == mine[1]:
            return self.order > other.order
        return mine[1] >= its[0]

    def surely_follows(self, other: TestEvidence | Event) -> bool:
        """Whether it certainly happened after the other."""
        return surely_after(self, other)

    def mends_mode(self, mended_by: Collection[str]) -> bool:
        """Whether it could have mended a fault that such work mends."""
        return self.by_specialist or not self.mends.isdisjoint(mended_by)


def surely_after(one: TestEvidence | Event, other: TestEvidence | Event) -> bool:
    """Whether one certainly came after the other. On one day the order of recording decides."""
    mine, its = one.bounds, other.bounds
    if mine == its and mine[0] == mine[1]:
        return one.order > other.order
    return mine[0] > its[1]
