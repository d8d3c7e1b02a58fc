"""Whether to buy a part that is offered, at what price, and what to ask first.

Pure: an offer in, the verdict with its reasons out. It is for the buyer's own eyes: nothing of it is written down,
and none of it may enter a list. Buying is worth P(good) worth + P(bad) max(core, worth - repair) - price - carriage.
"""

from __future__ import annotations

from inventory.appraisal.offer import OWN_BENCH, Appraisal, Asked, NextTest, Offer, Verdict
from inventory.appraisal.price import buying, expected_worth, highest_price
from inventory.appraisal.tests import Known, asked_about, further_tests, stakes_of, told_tests
from inventory.appraisal.words import looks, message, money_reasons, test_reasons, verdict_sentence
from inventory.evidence.judgements import Serviceability, appraise_evidence

__all__ = ["appraise"]


def appraise(offer: Offer) -> Appraisal:
    """The verdict on an offer, its figures, what is still worth asking, and why."""
    variant = offer.reference.failures.variant_of(offer.kind, offer.part_number, offer.marks)
    tests = told_tests(offer)
    evidence = appraise_evidence(offer.kind, tests, (), offer.reference, variant=variant)
    known = Known(offer, variant, tests, evidence.p_serviceable)
    further = further_tests(known)
    worth_it = tuple(test for test in further if test.value > 0)
    best = worth_it[0] if worth_it else None
    verdict = _verdict(known, best)
    money, of_tests, seen = money_reasons(known), test_reasons(known, further), looks(offer)
    questions = asked_about(offer)
    return Appraisal(
        verdict=verdict,
        says=verdict_sentence(verdict, known, best),
        p_serviceable=known.p_good,
        expected_worth=expected_worth(known.p_good, stakes_of(offer)),
        highest_sensible_price=highest_price(known.p_good, stakes_of(offer), offer.carriage),
        currency=offer.currency,
        next_tests=worth_it,
        ask_seller=tuple(Asked(each.name, each.asks, each.then) for each in questions),
        message=message(offer, questions),
        lines=_lines(evidence, [reason.says for reason in (*money, *of_tests, *seen)], len(tests)),
        reasons=(*money, *of_tests, *seen, *evidence.reasons),
    )


def _verdict(known: Known, best: NextTest | None) -> Verdict:
    if best is not None:
        return "buy to test" if best.where == OWN_BENCH else "ask first"
    return "buy" if buying(known.p_good, stakes_of(known.offer)) >= 0 else "leave"


def _lines(evidence: Serviceability, sentences: list[str], told: int) -> tuple[str, ...]:
    """How good it likely is, the sums, then each thing that was told and how it counts."""
    claims = [f"{reason.says}: {reason.rule}" for reason in evidence.reasons[:told]]
    return (f"good or not: {evidence.says}", *sentences, *claims)
