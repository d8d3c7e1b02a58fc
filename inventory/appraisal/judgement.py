"""Whether to buy a part that is offered, at what price, and what to ask first.

Pure: an offer in, the verdict with its reasons out. It is for the buyer alone: the judgement is never stored, what was
offered only if he keeps it, and none of it may enter a list.

The value of buying is P(good) worth + P(bad) max(core, worth - repair) - price - carriage.
"""

from __future__ import annotations

from inventory.appraisal.offer import OWN_BENCH, Appraisal, NextTest, Offer, SellerQuestion, Verdict
from inventory.appraisal.price import expected_worth, gain_from_buying, highest_price
from inventory.appraisal.tests import Prior, claimed_tests, further_tests, open_questions, stakes_of
from inventory.appraisal.words import message, money_reasons, seal_and_letter_reasons, test_reasons, verdict_sentence
from inventory.evidence.judgements import Serviceability, appraise_evidence

__all__ = ["appraise"]


def appraise(offer: Offer) -> Appraisal:
    """The verdict on an offer, its figures, the questions still worth asking, and the reasons."""
    variant = offer.reference.failures.variant_of(offer.kind, offer.part_number, offer.marks)
    tests = claimed_tests(offer)
    evidence = appraise_evidence(offer.kind, tests, (), offer.reference, variant=variant)
    prior = Prior(offer, variant, tests, evidence.p_serviceable)
    further = further_tests(prior)
    worth_it = tuple(test for test in further if test.value > 0)
    best = worth_it[0] if worth_it else None
    verdict = _verdict(prior, best)
    money, of_tests, seen = money_reasons(prior), test_reasons(prior, further), seal_and_letter_reasons(offer)
    questions = open_questions(offer)
    return Appraisal(
        verdict=verdict,
        says=verdict_sentence(verdict, prior, best),
        p_serviceable=prior.p_good,
        expected_worth=expected_worth(prior.p_good, stakes_of(offer)),
        highest_sensible_price=highest_price(prior.p_good, stakes_of(offer), offer.carriage),
        currency=offer.currency,
        next_tests=worth_it,
        ask_seller=tuple(SellerQuestion(each.name, each.asks, each.then) for each in questions),
        message=message(offer, questions),
        lines=_lines(evidence, [reason.says for reason in (*money, *of_tests, *seen)], len(tests)),
        reasons=(*money, *of_tests, *seen, *evidence.reasons),
    )


def _verdict(prior: Prior, best: NextTest | None) -> Verdict:
    if best is not None:
        return "buy to test" if best.where == OWN_BENCH else "ask first"
    return "buy" if gain_from_buying(prior.p_good, stakes_of(prior.offer)) >= 0 else "leave"


def _lines(evidence: Serviceability, sentences: list[str], claimed: int) -> tuple[str, ...]:
    """How likely it is good, the sums, then each claim and how it counts."""
    claims = [f"{reason.says}: {reason.rule}" for reason in evidence.reasons[:claimed]]
    return (f"condition: {evidence.says}", *sentences, *claims)
