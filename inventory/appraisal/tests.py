"""The claims about an offered part as tests, and the value of each further test, one step ahead.

Pure. A test at the seller's has the weight of a claim with its proof. A fault that the seller shows weighs more, since
nobody talks down his own part. After buying with a right of return, a test on our own bench has full weight; sending
the part back then costs the carriage both ways.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.appraisal.offer import OWN_BENCH, SELLER, NextTest, Offer, SealClaim
from inventory.appraisal.price import Foreseen, Stakes, highest_price, value_of_test
from inventory.evidence.claims import NO_PROOF, Claimed, claim_as_test, claimed_test
from inventory.evidence.judgements import Outlook, TestEvidence, outlook, seal_verdict
from inventory.reference.appraisal import Question, appraisal_data

__all__ = [
    "Prior",
    "claimed_tests",
    "further_tests",
    "has_paper",
    "open_questions",
    "right_of_return",
    "stakes_of",
    "was_added_later",
]

_PAPER = "specialist's paper"


@dataclass(frozen=True)
class Prior:
    """What is known before any further test: the claimed tests, the sort of its kind, and P(good)."""

    offer: Offer
    variant: str
    tests: tuple[TestEvidence, ...]
    p_good: float


def stakes_of(offer: Offer) -> Stakes:
    """Worth if good, worth if bad, and what is paid. A bad one is repaired or kept as a core, whichever pays more."""
    mended = offer.core if offer.repair is None else offer.worth - offer.repair
    return Stakes(offer.worth, max(offer.core, mended), offer.price + offer.carriage)


def claimed_tests(offer: Offer) -> tuple[TestEvidence, ...]:
    """Every claim, seals included, as a test with the weight of its source and proof."""
    tests = [*(claim_as_test(offer.kind, claim, offer.reference.failures) for claim in offer.claims)]
    tests += [_seal_test(offer, seal) for seal in offer.seals]
    return tuple(replace(test, order=place) for place, test in enumerate(tests, start=1))


def has_paper(seal: SealClaim) -> bool:
    """Whether a specialist's paper was shown for the seal."""
    return seal.proof == _PAPER


def guards_nothing(offer: Offer, seal: SealClaim) -> bool:
    """Whether this kind and number left the factory without that seal and no known fault is guarded by it."""
    speaks = any(f"seal {seal.seal}" in mode.shows for mode in offer.reference.failure_modes(offer.kind).modes)
    return not speaks and seal.seal not in offer.reference.factory_seals(offer.kind, offer.part_number)


def was_added_later(offer: Offer, seal: SealClaim) -> bool:
    """Whether a seal is said to be intact although this number left the factory without it: it was added later."""
    if seal.state != "intact" or guards_nothing(offer, seal):
        return False
    return seal.seal not in offer.reference.factory_seals(offer.kind, offer.part_number)


def open_questions(offer: Offer) -> tuple[Question, ...]:
    """The questions to the seller that fit this kind and number and are not answered yet."""
    seals_on_file = offer.reference.factory_seals(offer.kind, offer.part_number)
    shown = {
        claim.test or claimed_test(offer.kind, claim.said, offer.reference.failures)[0]
        for claim in offer.claims
        if claim.proof != NO_PROOF or claim.came_out == "fail"
    }
    shown |= {f"seal {seal.seal}" for seal in offer.seals if seal.proof != NO_PROOF or seal.state == "missing"}
    answered = set(offer.answered)
    answered |= {"letter"} if offer.code_proof != NO_PROOF or offer.code_state not in ("", "read") else set()
    answered |= {"return"} if offer.returnable else set()
    return tuple(
        each
        for each in appraisal_data().questions
        if (not each.kinds or offer.kind in each.kinds)
        and (not each.seal or each.seal in seals_on_file)
        and each.name not in answered
        and (not each.test or each.test not in shown)
    )


def further_tests(prior: Prior) -> tuple[NextTest, ...]:
    """Every test that could still be made before the decision, the most valuable first."""
    found = (*_at_the_sellers(prior), *(_on_own_bench(prior) if prior.offer.returnable else ()))
    return tuple(sorted(found, key=lambda test: (-test.value, test.cost)))


def right_of_return(prior: Prior) -> NextTest | None:
    """The best test on our own bench if the seller took the part back; None if no test would be worth anything."""
    best = max(_on_own_bench(prior), key=lambda test: test.value, default=None)
    return best if best is not None and best.value > 0 else None


def _at_the_sellers(prior: Prior) -> Iterator[NextTest]:
    offer = prior.offer
    data = offer.reference.failures
    for question in open_questions(offer):
        if not question.test:
            continue
        weight = data.claim_source[offer.source] * data.claim_proof[question.proof]
        against = max(weight, data.claim_against.value)
        if_pass = _outlook(prior, question.test, weight).p_good_if_pass
        foreseen = _foreseen(prior.p_good, if_pass, _outlook(prior, question.test, against).p_good_if_fail)
        cost = offer.price * Decimal(str(question.wait))
        gain = value_of_test(prior.p_good, foreseen, stakes_of(offer))
        yield _next(question.test, question.phrase, prior, foreseen, gain - cost, cost, at_seller=True)


def _on_own_bench(prior: Prior) -> Iterator[NextTest]:
    """The tests after buying with a right of return, each with its gain over deciding now, less carriage back."""
    offer = prior.offer
    back = -(offer.carriage + offer.carriage_back)
    shown = {test for mode in offer.reference.failure_modes(offer.kind, prior.variant).modes for test in mode.shows}
    for name, on_file in offer.reference.failures.tests.items():
        if name not in shown or not on_file.bench or name.startswith("seal "):
            continue
        seen = _outlook(prior, name, 1.0)
        foreseen = Foreseen(seen.p_pass, seen.p_good_if_pass, seen.p_good_if_fail)
        gain = value_of_test(prior.p_good, foreseen, stakes_of(offer), otherwise=back)
        yield _next(
            name, f"{on_file.phrase} on your own bench", prior, foreseen, gain, offer.carriage_back, at_seller=False
        )


def _next(
    test: str, phrase: str, prior: Prior, foreseen: Foreseen, value: Decimal, cost: Decimal, *, at_seller: bool
) -> NextTest:
    stakes, carriage = stakes_of(prior.offer), prior.offer.carriage
    if_pass, if_fail = (highest_price(p, stakes, carriage) for p in (foreseen.p_good_if_pass, foreseen.p_good_if_fail))
    where = SELLER if at_seller else OWN_BENCH
    return NextTest(test, where, phrase, value, cost, foreseen.p_pass, if_pass, if_fail)


def _outlook(prior: Prior, test: str, weight: float) -> Outlook:
    offer = prior.offer
    return outlook(offer.kind, prior.tests, (), test, offer.reference, weight=weight, variant=prior.variant)


def _foreseen(now: float, if_pass: float, if_fail: float) -> Foreseen:
    """The two outcomes, with the chance of a pass at which they average to P(good) now."""
    p_pass = 1.0 if if_pass == if_fail else min(1.0, max(0.0, (now - if_fail) / (if_pass - if_fail)))
    return Foreseen(p_pass, if_pass, if_fail)


def _seal_test(offer: Offer, seal: SealClaim) -> TestEvidence:
    worse = was_added_later(offer, seal)
    said = f"{seal.seal} {seal.state}" + (", though the factory fitted none" if worse else "")
    verdict = seal_verdict("renewed" if worse else seal.state, has_document=has_paper(seal))
    claim = Claimed(said, f"seal {seal.seal}", offer.source, seal.proof, verdict)
    return claim_as_test(offer.kind, claim, offer.reference.failures)
