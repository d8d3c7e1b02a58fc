"""What the judgement on serviceability is given: tests that were made or told of, and what happened to the unit."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.bench.verdicts import Verdict

__all__ = ["DECIDED", "Event", "TestEvidence"]

DECIDED: tuple[Verdict, ...] = ("pass", "fail")


@dataclass(frozen=True)
class TestEvidence:
    """One test of a part: `what` is a bench procedure, "seal NAME" or "runs"; `verdict` how it came out.

    A seal intact is a pass, missing or disturbed a fail, not seen undecided. `when` is the day as shown; `earliest`
    and `latest` are its ISO bounds (left out: the day itself), `order` the order of recording. `weight` (0 to 1) is
    what the test is worth: 1 on one's own bench. `told`: how it was told of where somebody else says it was made,
    and `why` it counts as it does; both empty on one's own bench.
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
    told: str = ""
    why: str = ""

    @property
    def decided(self) -> bool:
        """Whether it came out one way or the other."""
        return self.verdict in DECIDED

    @property
    def bounds(self) -> tuple[str, str]:
        """First and last ISO day on which it may have been."""
        return (self.earliest or self.when, self.latest or self.when)


@dataclass(frozen=True)
class Event:
    """Something that happened to the unit itself: opened, heated, dropped; or, `stales` being False, taken off a car.

    The first sort makes a test stale, the second only lowers what it weighs.
    """

    what: str
    when: str
    fact: str = ""
    earliest: str = ""
    latest: str = ""
    order: int = 0
    stales: bool = True

    def follows(self, test: TestEvidence) -> bool:
        """Whether it came, or may have come, after the test; on one known day the order of recording decides."""
        mine, its = (self.earliest or self.when, self.latest or self.when), test.bounds
        if mine == its and mine[0] == mine[1]:
            return self.order > test.order
        return mine[1] >= its[0]
