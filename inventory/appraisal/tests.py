"""What is told of an offered part as tests, and what each further test would be worth, one step ahead.

Pure. A test at the seller's weighs what a claim with its proof weighs, and a fault that is shown weighs more: nobody
films his own to run it down. On the own bench, after buying with the right of return, a test weighs its full weight;
leaving the part then costs the carriage both ways.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.appraisal.offer import OWN_BENCH, SELLER, NextTest, Offer, SealTold
from inventory.appraisal.price import Foreseen, Stakes, highest_price, value_of_test
from inventory.evidence.claims import NO_PROOF, Claimed, claim_as_test, claimed_test
from inventory.evidence.judgements import Outlook, TestEvidence, outlook, seal_verdict
from inventory.reference.appraisal import Question, appraisal_data

__all__ = [
    "Known",
    "asked_about",
    "further_tests",
    "on_paper",
    "right_of_return",
    "stakes_of",
    "told_tests",
    "worse_than_told",
]

_PAPER = "specialist's paper"


@dataclass(frozen=True)
class Known:
    """What is believed before any further test: the tests told of, the sort of its kind, and P(good)."""

    offer: Offer
    variant: str
    tests: tuple[TestEvidence, ...]
    p_good: float


def stakes_of(offer: Offer) -> Stakes:
    """Worth if good, worth if bad, and what is paid. A bad one is mended or left as a core, whichever leaves more."""
    mended = offer.core if offer.repair is None else offer.worth - offer.repair
    return Stakes(offer.worth, max(offer.core, mended), offer.price + offer.carriage)


def told_tests(offer: Offer) -> tuple[TestEvidence, ...]:
    """Every claim and every seal told of, as a test with the weight of who says it and what was shown."""
    tests = [*(claim_as_test(offer.kind, claim, offer.reference.failures) for claim in offer.claims)]
    tests += [_seal_test(offer, seal) for seal in offer.seals]
    return tuple(replace(test, order=place) for place, test in enumerate(tests, start=1))


def on_paper(seal: SealTold) -> bool:
    """Whether a specialist's paper was shown for it."""
    return seal.proof == _PAPER


def guards_nothing(offer: Offer, seal: SealTold) -> bool:
    """Whether that seal is neither one that this kind and number left the factory with nor one that guards anything."""
    speaks = any(f"seal {seal.seal}" in mode.shows for mode in offer.reference.failure_modes(offer.kind).modes)
    return not speaks and seal.seal not in offer.reference.factory_seals(offer.kind, offer.part_number)


def worse_than_told(offer: Offer, seal: SealTold) -> bool:
    """Whether a seal told to be intact is one that this number never left the factory with: somebody put it there."""
    if seal.state != "intact" or guards_nothing(offer, seal):
        return False
    return seal.seal not in offer.reference.factory_seals(offer.kind, offer.part_number)


def asked_about(offer: Offer) -> tuple[Question, ...]:
    """What can still be asked of the seller: for this kind and number, and not yet answered by what is known."""
    fitted = offer.reference.factory_seals(offer.kind, offer.part_number)
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
        and (not each.seal or each.seal in fitted)
        and each.name not in answered
        and (not each.test or each.test not in shown)
    )


def further_tests(known: Known) -> tuple[NextTest, ...]:
    """Every test that could still be made before the decision stands, the most worth above its cost first."""
    found = (*_at_the_sellers(known), *(_on_own_bench(known) if known.offer.returnable else ()))
    return tuple(sorted(found, key=lambda test: (-test.value, test.cost)))


def right_of_return(known: Known) -> NextTest | None:
    """What the best test on one's own bench would be worth if the seller took the part back; None where nothing."""
    best = max(_on_own_bench(known), key=lambda test: test.value, default=None)
    return best if best is not None and best.value > 0 else None


def _at_the_sellers(known: Known) -> Iterator[NextTest]:
    offer = known.offer
    data = offer.reference.failures
    for question in asked_about(offer):
        if not question.test:
            continue
        weight = data.claim_source[offer.source] * data.claim_proof[question.proof]
        against = max(weight, data.claim_against.value)
        if_pass = _outlook(known, question.test, weight).p_good_if_pass
        foreseen = _foreseen(known.p_good, if_pass, _outlook(known, question.test, against).p_good_if_fail)
        cost = offer.price * Decimal(str(question.wait))
        gain = value_of_test(known.p_good, foreseen, stakes_of(offer))
        yield _next(question.test, question.phrase, known, foreseen, gain - cost, cost, at_seller=True)


def _on_own_bench(known: Known) -> Iterator[NextTest]:
    """Buying it to test it: what is gained over deciding now, the carriage both ways counted where it goes back."""
    offer = known.offer
    back = -(offer.carriage + offer.carriage_back)
    shown = {test for mode in offer.reference.failure_modes(offer.kind, known.variant).modes for test in mode.shows}
    for name, on_file in offer.reference.failures.tests.items():
        if name not in shown or name == "runs" or name.startswith("seal "):
            continue
        seen = _outlook(known, name, 1.0)
        foreseen = Foreseen(seen.p_pass, seen.p_good_if_pass, seen.p_good_if_fail)
        gain = value_of_test(known.p_good, foreseen, stakes_of(offer), otherwise=back)
        yield _next(
            name, f"{on_file.phrase} on your own bench", known, foreseen, gain, offer.carriage_back, at_seller=False
        )


def _next(
    test: str, phrase: str, known: Known, foreseen: Foreseen, value: Decimal, cost: Decimal, *, at_seller: bool
) -> NextTest:
    stakes, carriage = stakes_of(known.offer), known.offer.carriage
    if_pass, if_fail = (highest_price(p, stakes, carriage) for p in (foreseen.p_good_if_pass, foreseen.p_good_if_fail))
    where = SELLER if at_seller else OWN_BENCH
    return NextTest(test, where, phrase, value, cost, foreseen.p_pass, if_pass, if_fail)


def _outlook(known: Known, test: str, weight: float) -> Outlook:
    offer = known.offer
    return outlook(offer.kind, known.tests, (), test, offer.reference, weight=weight, variant=known.variant)


def _foreseen(now: float, if_pass: float, if_fail: float) -> Foreseen:
    """The chance of a pass is the one at which both outcomes average to what is believed now."""
    p_pass = 1.0 if if_pass == if_fail else min(1.0, max(0.0, (now - if_fail) / (if_pass - if_fail)))
    return Foreseen(p_pass, if_pass, if_fail)


def _seal_test(offer: Offer, seal: SealTold) -> TestEvidence:
    worse = worse_than_told(offer, seal)
    said = f"{seal.seal} {seal.state}" + (", though none was fitted" if worse else "")
    verdict = seal_verdict("renewed" if worse else seal.state, has_document=on_paper(seal))
    claim = Claimed(said, f"seal {seal.seal}", offer.source, seal.proof, verdict)
    return claim_as_test(offer.kind, claim, offer.reference.failures)
