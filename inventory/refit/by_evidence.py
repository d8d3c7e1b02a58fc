"""What the tests of a part say of whether it may go on. Pure; which of them count is decided by the evidence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.evidence.weights import WeighedTest
from inventory.refit.part_to_fit import Hold, OnRecord

__all__ = ["claimed_faults", "failed_tests", "last_hold", "passed_leakage", "undecided_leak"]


def failed_tests(weighed: Sequence[WeighedTest]) -> tuple[OnRecord, ...]:
    """The last fail that counts of each test of our own; a missing seal is no test."""
    failed = [
        one.test for one in weighed if one.weight and one.test.verdict == "fail" and not one.test.claim and not one.tied
    ]
    last = {test.what: test for test in failed if not test.what.startswith("seal ")}
    return tuple(OnRecord(test.what, test.when, test.fact) for test in last.values())


def claimed_faults(weighed: Sequence[WeighedTest]) -> tuple[OnRecord, ...]:
    """The faults that somebody else claims and that count."""
    claims = [one.test for one in weighed if one.weight and one.test.verdict == "fail" and one.test.claim]
    return tuple(
        OnRecord(f"{test.claim}, {test.when}", test.when, test.fact)
        for test in claims
        if not test.what.startswith("seal ")
    )


def last_hold(runs: Sequence[Any], weighed: Sequence[WeighedTest]) -> Hold | None:
    """The last hold of a part, from its runs as they are judged; None if it was never held here."""
    holds = [run for run in runs if run.procedure == "hold" and not run.of_rig_alone and not run.is_told]
    if not holds:
        return None
    last = holds[-1]
    own = (one for one in weighed if one.test.what == "hold" and not one.test.claim and not one.tied)
    passed = any(one.test.verdict == "pass" and one.weight and not one.stale_by for one in own)
    ended = next((run.ended for run in reversed(holds) if run.judgement.verdict == "pass" and run.ended), last.ended)
    return Hold(
        last.fact.on,
        last.fact.id,
        last.judgement.verdict,
        bool(last.judgement.figures.get("short_uncleared")),
        ended.what if ended else "",
        ended.fact if ended else "",
        passed,
    )


def undecided_leak(runs: Sequence[Any]) -> OnRecord | None:
    """The last leakage test of a part, if it decided nothing."""
    last = next((run for run in reversed(runs) if run.procedure == "leakage" and not run.is_told), None)
    if last is None or last.judgement.verdict in ("pass", "fail"):
        return None
    return OnRecord("leakage", last.fact.on, last.fact.id)


def passed_leakage(runs: Sequence[Any]) -> OnRecord | None:
    """The last leakage test of a part, if it passed and nothing was done to the part since."""
    last = next((run for run in reversed(runs) if run.procedure == "leakage" and not run.is_told), None)
    if last is None or last.judgement.verdict != "pass" or last.ended is not None:
        return None
    return OnRecord("leakage", last.fact.on, last.fact.id, (last.fact.counts_from, last.fact.ranked))
