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
#: A sentence with one of these words may mean the opposite, or nothing: it names no test.
_DENIED = {
    "not", "never", "isn", "wasn", "doesn", "hasn", "won", "cannot", "can", "untested", "if", "whether", "idea",
    "unsure", "unknown", "perhaps", "maybe", "should", "might", "needs",
}  # fmt: skip


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
    words = re.findall(r"\w+", said.casefold())
    if _DENIED.intersection(words):
        return "", ""
    text = f" {' '.join(words)} "
    found = next((each for each in data.claim_words if _means(each, kind, text)), None)
    return (found.test, found.says) if found else ("", "")


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
    """The claim as a test of a part of that kind. Words that name no test become a test that is not on file."""
    test, taken = (claim.test, "") if claim.test else claimed_test(kind, claim.said, data)
    by = "somebody says" if claim.source == NOT_KNOWN else f"says the {claim.source}"
    shown = "no proof shown" if claim.proof == NO_PROOF else f"{claim.proof} shown"
    weight = data.claim_source[claim.source] * data.claim_proof[claim.proof]
    parts = (f"{claim.source} {data.claim_source[claim.source]:g}", f"{shown} {data.claim_proof[claim.proof]:g}")
    worth = f"{' x '.join(parts)} = {weight:.2g}"
    if claim.came_out == "fail" and weight < data.claim_against.value:
        weight, worth = data.claim_against.value, f"{data.claim_against.value:g}: {data.claim_against.says}"
    return TestEvidence(
        what=test or f'said "{claim.said}"',
        when=when,
        verdict=claim.came_out,
        weight=weight,
        fact=fact,
        earliest=earliest,
        latest=latest,
        order=order,
        claim=f'"{claim.said}", {by}, {shown}',
        why="; ".join(part for part in (taken, worth if test else "") if part),
    )


def _means(words: ClaimWords, kind: str, text: str) -> bool:
    return (not words.only or kind in words.only) and any(f" {phrase} " in text for phrase in words.phrases)
