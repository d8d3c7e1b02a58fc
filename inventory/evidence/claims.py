"""Claims about a part as tests: which test a claim means, and how much it weighs.

Pure. The weight of a claim is the weight of its source times the weight of its proof. A fault that somebody admits
weighs more.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.bench.verdicts import Verdict
from inventory.evidence.inputs import TestEvidence
from inventory.reference.modes import ClaimWords, FailureData

__all__ = [
    "NOT_KNOWN",
    "NO_PROOF",
    "Claimed",
    "claim_as_test",
    "claimed_test",
    "proofs",
    "sources",
    "tests_that_can_be_claimed",
]

NOT_KNOWN = "not known"
NO_PROOF = "none"


@dataclass(frozen=True)
class Claimed:
    """A claim about a part: the words, the test it means (empty: found from the words), the sort of source.

    `proof` is what was shown for it, `came_out` pass or fail.
    """

    said: str
    test: str = ""
    source: str = NOT_KNOWN
    proof: str = NO_PROOF
    came_out: Verdict = "pass"


def sources(data: FailureData) -> tuple[str, ...]:
    """The sorts of people that a claim can come from, most trusted first."""
    return tuple(data.claim_source)


def proofs(data: FailureData) -> tuple[str, ...]:
    """The proofs that can be shown for a claim, weakest first."""
    return tuple(data.claim_proof)


def tests_that_can_be_claimed(data: FailureData) -> tuple[str, ...]:
    """The tests that a claim can be about. The state of a seal is noted as a seal, not as a claim."""
    return tuple(name for name in data.tests if not name.startswith("seal "))


def claimed_test(kind: str, said: str, data: FailureData) -> tuple[str, str]:
    """The test that the words mean for a kind, and why. Both are empty if they name no test."""
    found = _meaning(kind, said, data)
    return (found.test, found.says) if found else ("", "")


def _meaning(kind: str, said: str, data: FailureData) -> ClaimWords | None:
    """What the words mean for a kind; None if they name no test, or say that nobody knows."""
    words = re.findall(r"\w+", said.casefold())
    if data.claim_doubt.intersection(words):
        return None
    text, denied = f" {' '.join(words)} ", data.claim_denied.intersection(words)
    denied_fault = denied | data.claim_denied_fault.intersection(words)
    for each in data.claim_words:
        if each.only and kind not in each.only:
            continue
        denying = denied_fault if each.came_out == "fail" else denied
        if any(f" {phrase} " in text and denying <= set(phrase.split()) for phrase in each.phrases):
            return each
    return None


def claim_as_test(
    kind: str,
    claim: Claimed,
    data: FailureData,
    *,
    when: str = "",
    fact: str = "",
    earliest: str = "",
    latest: str = "",
    order: int = 0,
) -> TestEvidence:
    """The claim as a test of a part of that kind. Words that name no test become a test that is not on file.

    Words against the part make it a failed test, whatever was noted.
    """
    meant = _meaning(kind, claim.said, data)
    test = claim.test or (meant.test if meant else "")
    against = meant is not None and meant.test == test and meant.came_out == "fail"
    taken = meant.says if meant and (against or not claim.test) else ""
    came_out: Verdict = "fail" if against else claim.came_out
    by = "somebody says" if claim.source == NOT_KNOWN else f"says the {claim.source}"
    shown = "no proof shown" if claim.proof == NO_PROOF else f"{claim.proof} shown"
    weight = data.claim_source[claim.source] * data.claim_proof[claim.proof]
    parts = (f"{claim.source} {data.claim_source[claim.source]:g}", f"{shown} {data.claim_proof[claim.proof]:g}")
    worth = f"{' x '.join(parts)} = {weight:.2g}"
    if came_out == "fail" and weight < data.claim_against.value:
        weight, worth = data.claim_against.value, f"{data.claim_against.value:g}: {data.claim_against.says}"
    return TestEvidence(
        what=test or f'said "{claim.said}"',
        when=when,
        verdict=came_out,
        weight=weight,
        fact=fact,
        earliest=earliest,
        latest=latest,
        order=order,
        claim=f'"{claim.said}", {by}, {shown}',
        why="; ".join(part for part in (taken, worth if test else "") if part),
    )
