"""Inputs of the judgement on serviceability: tests, our own and claimed, and what happened to the unit."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.bench.verdicts import Verdict

__all__ = ["DECIDED", "Event", "TestEvidence"]

DECIDED: tuple[Verdict, ...] = ("pass", "fail")


@dataclass(frozen=True)
class TestEvidence:
    """One test of a part: `what` is a bench procedure, "seal NAME" or "runs", `verdict` is its outcome.

    An intact seal is a pass, a missing or disturbed one a fail, one not seen is undecided. `when` is the day as shown;
    `earliest` and `latest` are its ISO bounds (empty: the day itself), `order` the order of recording. `weight` (0 to
    1) is 1 for a test on our own bench. `claim` gives the words of a test that somebody else claims, `why` the reason
    for its weight; both are empty for our own tests.
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

    @property
    def decided(self) -> bool:
        """Whether it passed or failed."""
        return self.verdict in DECIDED

    @property
    def bounds(self) -> tuple[str, str]:
        """First and last ISO day on which it may have been made."""
        return (self.earliest or self.when, self.latest or self.when)


@dataclass(frozen=True)
class Event:
    """Something that happened to the unit itself.

    Work, heat or a drop makes earlier tests stale. A removal from a car (`stales` False) only lowers their weight.
    """

    what: str
    when: str
    fact: str = ""
    earliest: str = ""
    latest: str = ""
    order: int = 0
    stales: bool = True

    def follows(self, test: TestEvidence) -> bool:
        """Whether it happened, or may have happened, after the test. On the same day the order of recording decides."""
        mine, its = (self.earliest or self.when, self.latest or self.when), test.bounds
        if mine == its and mine[0] == mine[1]:
            return self.order > test.order
        return mine[1] >= its[0]
