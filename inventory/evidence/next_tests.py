"""Which test on the bench would say most about a part for the time that it takes. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.evidence.inputs import Event, TestEvidence
from inventory.evidence.judgements import outlook
from inventory.evidence.own_counts import OwnShares
from inventory.evidence.words import round_range
from inventory.reference.data import Reference

__all__ = ["LEAST", "NextTest", "next_in_words", "next_tests"]

#: A test that is expected to change P(good) by less than this is not worth naming.
LEAST = 0.005


@dataclass(frozen=True)
class NextTest:
    """One procedure that could be run next, its minutes, and P(good) after a pass and after a fail (0 to 1).

    `expected_change`: the mean absolute change of P(good) over pass, fail and undecided, which changes nothing.
    """

    procedure: str
    minutes: float
    p_if_pass: float
    p_if_fail: float
    expected_change: float

    @property
    def per_minute(self) -> float:
        """The expected change for each minute at the bench."""
        return self.expected_change / self.minutes

    def as_dict(self) -> dict[str, object]:
        """The JSON of one entry of `next`."""
        return {**vars(self), "per_minute": self.per_minute}


def next_tests(
    kind: str,
    tests: Sequence[TestEvidence],
    events: Sequence[Event],
    reference: Reference,
    now: float,
    *,
    day: str = "",
    variant: str = "",
    own: OwnShares | None = None,
) -> tuple[NextTest, ...]:
    """The procedures of a kind that show one of its known faults, most expected change for a minute first.

    `now`: P(good) after all tests so far; the other parameters are those of `appraise_evidence`.
    """
    data = reference.failures
    decides = 1.0 - data.figures["decides nothing"].value
    shown = {test for mode in reference.failure_modes(kind, variant).modes for test in mode.shows}
    found = []
    for procedure in reference.procedures_for(kind):
        on_file = data.tests.get(procedure.name)
        if on_file is None or not on_file.minutes or procedure.wiring or procedure.name not in shown:
            continue
        seen = outlook(kind, tests, events, procedure.name, reference, day=day, variant=variant, own=own)
        if_pass, if_fail = seen.p_good_if_pass, seen.p_good_if_fail
        change = decides * (seen.p_pass * abs(if_pass - now) + (1.0 - seen.p_pass) * abs(if_fail - now))
        found.append(NextTest(procedure.name, on_file.minutes, if_pass, if_fail, change))
    return tuple(sorted(found, key=lambda test: -test.per_minute))


def next_in_words(found: Sequence[NextTest], kind: str, reference: Reference, variant: str = "") -> str:
    """`next: the hold, about 10 min; a pass would make it 5 to 8 in 10, a fail at most 1 in 10`."""
    data = reference.failures
    if not found:
        modes = reference.failure_modes(kind, variant).modes
        on_car = any("mixture" in mode.shows for mode in modes)
        on_car_only = "; the mixture at cruise and at full load, on a car, does" if on_car else ""
        return f"next: no test on the bench shows one of its known faults{on_car_only}"
    best = found[0]
    if best.expected_change < LEAST:
        return "next: no further test on the bench is expected to change this"
    if_pass, if_fail = round_range(best.p_if_pass, data), round_range(best.p_if_fail, data)
    return (
        f"next: {data.tests[best.procedure].phrase}, about {best.minutes:g} min; "
        f"a pass would make it {if_pass}, a fail {if_fail}"
    )
