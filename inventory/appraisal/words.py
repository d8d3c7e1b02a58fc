"""An appraisal in words: the verdict first, round figures, and what the state of a cap or a letter means. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from inventory.appraisal.offer import OWN_BENCH, NextTest, Offer, Verdict
from inventory.appraisal.price import expected_worth, highest_price, round_amount
from inventory.appraisal.tests import Prior, guards_nothing, has_paper, right_of_return, stakes_of, was_added_later
from inventory.evidence.claims import NO_PROOF
from inventory.money import shown
from inventory.reasons import FROM_MEMORY, Reason
from inventory.reference.appraisal import Question, appraisal_data
from inventory.reference.modes import FailureData
from inventory.store.words.near import near_names

__all__ = ["message", "money_reasons", "seal_and_letter_reasons", "test_reasons", "verdict_sentence"]

_SUM = "value of buying: P(good) worth + P(bad) max(core, worth - repair) - price - carriage"
_EVSI = "expected value of sample information, one step ahead: after the test, buy or leave, whichever is better"
_EVSI_SOURCE = "Raiffa and Schlaifer, Applied Statistical Decision Theory (1961)"


def verdict_sentence(verdict: Verdict, prior: Prior, best: NextTest | None) -> str:
    """`no at EUR 700, highest sensible price about EUR 620`; or what to ask first, and the verdict without it."""
    offer = prior.offer
    price = _exact(offer, offer.price)
    bare = _yes_or_no(prior, price)
    if verdict == "ask first" and best is not None:
        return f"ask first: {best.phrase} is worth {_round(offer, best.value)} more than it costs; without it: {bare}"
    if verdict == "buy to test" and best is not None:
        return (
            f"buy it with a right of return and test it on the day it arrives, before anything else: {best.phrase} "
            f"is worth {_round(offer, best.value)} more than it costs, carriage back included; "
            f"without that right: {bare}"
        )
    return bare


def _yes_or_no(prior: Prior, price: str) -> str:
    stakes, offer = stakes_of(prior.offer), prior.offer
    if expected_worth(prior.p_good, stakes) <= offer.carriage:
        return f"no at {price}, not even as a gift: it is not worth its carriage"
    answer = "yes" if expected_worth(prior.p_good, stakes) >= stakes.paid else "no"
    return f"{answer} at {price}, highest sensible price {_highest_price(prior)}"


def money_reasons(prior: Prior) -> tuple[Reason, ...]:
    """The expected worth, the sum to pay, and the range of the highest sensible price."""
    offer, stakes = prior.offer, stakes_of(prior.offer)
    worth = expected_worth(prior.p_good, stakes)
    low, high = (highest_price(p, stakes, offer.carriage) for p in _doubt_range(prior.p_good, offer.reference.failures))
    doubt = offer.reference.failures.figures["doubt"].value
    sentences = [
        f"worth {_exact(offer, stakes.good)} if good, {_exact(offer, stakes.bad)} if bad ({_bad(offer)}): "
        f"{_round(offer, worth)} on average; {_exact(offer, stakes.paid)} to pay, "
        f"{'carriage included' if offer.carriage else 'no carriage given'}",
        f"the chances are guesses: with odds {doubt:g} times worse or better, the highest sensible price lies between "
        f"{_round(offer, low)} and {_round(offer, high)}",
    ]
    if stakes.bad >= stakes.paid:
        sentences.append(_even_a_bad_one(offer, stakes.bad))
    elif stakes.good < stakes.paid:
        sentences.append("even a good one is worth less than the sum to pay")
    return tuple(Reason(each, _SUM, "worth, repair and core as given by the buyer") for each in sentences)


def _even_a_bad_one(offer: Offer, bad: Decimal) -> str:
    if offer.repair is not None and bad > offer.core:
        return (
            f"even a bad one is worth the price, if it can be repaired for {_exact(offer, offer.repair)}: "
            "make sure that somebody will do it; no test is worth waiting for"
        )
    return "even a bad one is worth the price, as a core: no test is worth waiting for"


def test_reasons(prior: Prior, tests: Sequence[NextTest]) -> tuple[Reason, ...]:
    """The value of each further test; the tests not worth their cost share one sentence."""
    offer = prior.offer
    sentences = []
    if offer.returnable:
        both_ways = _exact(offer, offer.carriage + offer.carriage_back)
        sentences.append(
            f"with a right of return your own bench is the cheapest reliable test: buy, test, send back; if it goes "
            f"back, it costs the carriage both ways, {both_ways}; your time is not counted"
        )
    sentences += [_worth_asking(offer, test) for test in tests if test.value > 0]
    if not offer.returnable and "return" not in offer.answered and (own := right_of_return(prior)):
        sentences.append(
            f"a right of return would be worth {_round(offer, own.value)}, carriage back included: buy it, do "
            f"{own.phrase}, send it back if it does not pass"
        )
    if rest := [test.phrase for test in tests if test.value <= 0]:
        sentences.append(f"not worth their cost for this decision: {', '.join(rest)}")
    return tuple(Reason(each, _EVSI, _EVSI_SOURCE, FROM_MEMORY) for each in sentences)


def _worth_asking(offer: Offer, test: NextTest) -> str:
    cost = _round(offer, test.cost)
    costs = f"{cost} carriage if it goes back" if test.where == OWN_BENCH else f"waiting counted as {cost}"
    return (
        f"{test.phrase}: worth {_round(offer, test.value)} more than it costs ({costs}); "
        f"if it passes, pay up to {_round(offer, test.if_pass)}, if not, up to {_round(offer, test.if_fail)}"
    )


def seal_and_letter_reasons(offer: Offer) -> tuple[Reason, ...]:
    """What the claimed state of each seal and of the letter means, or the seller's silence about cap and letter."""
    data = appraisal_data()
    return tuple(Reason(says, "", data.source, data.standing) for says in _seal_and_letter_lines(offer) if says)


def _seal_and_letter_lines(offer: Offer) -> Iterator[str]:
    data, seals_on_file = appraisal_data(), offer.reference.factory_seals(offer.kind, offer.part_number)
    for seal in offer.seals:
        renewed = "renewed, with paper" if has_paper(seal) else "renewed"
        if guards_nothing(offer, seal):
            near = near_names(seal.seal, seals_on_file)
            meant = f"; is {' or '.join(near)} meant?" if near else ""
            yield f"no {seal.seal} is on file for this kind and number, so it does not count{meant}"
        elif was_added_later(offer, seal):
            yield f"this number left the factory without a {seal.seal}: somebody added this one later"
            yield data.means(seal.seal, renewed)
        elif means := data.means(seal.seal, renewed if seal.state == "renewed" else seal.state):
            yield f"{seal.seal} {seal.state}, {_known_by(seal.proof)}: {means}"
    if "cap" in seals_on_file and all(seal.seal != "cap" for seal in offer.seals):
        yield data.means("cap", "not told")
    if offer.reference.kind(offer.kind).match_code:
        yield _letter(offer)


def _letter(offer: Offer) -> str:
    data = appraisal_data()
    if offer.code_state == "read":
        return f"letter {offer.code}, {_known_by(offer.code_proof)}: {data.means('letter', 'read')}"
    state = {"label gone": "gone", "unreadable": "gone", "never fitted": "never fitted"}
    return data.means("letter", state.get(offer.code_state, "not told"))


def _known_by(proof: str) -> str:
    return "claimed, not shown" if proof == NO_PROOF else f"{proof} shown"


def _bad(offer: Offer) -> str:
    if offer.repair is None:
        return "no repair price given, kept as a core" if offer.core else "no repair price and no core value given"
    if offer.worth - offer.repair > offer.core:
        return f"repaired for {_exact(offer, offer.repair)}"
    return f"a repair for {_exact(offer, offer.repair)} would leave no more than the core"


def _doubt_range(p: float, data: FailureData) -> tuple[float, float]:
    """P(good) with the odds divided and multiplied by the doubt of the figures behind it."""
    doubt = data.figures["doubt"].value
    return p / (p + (1.0 - p) * doubt), p * doubt / (p * doubt + 1.0 - p)


def _highest_price(prior: Prior) -> str:
    """The highest sensible price, rounded; in full if rounding would take it below the price asked."""
    offer = prior.offer
    most = highest_price(prior.p_good, stakes_of(offer), offer.carriage)
    if round_amount(most) < offer.price <= most:
        return _exact(offer, most)
    return _round(offer, most)


def _round(offer: Offer, amount: Decimal) -> str:
    near = round_amount(amount)
    return _exact(offer, amount) if near == amount or abs(amount) < 1 else f"about {offer.currency} {near:f}"


def _exact(offer: Offer, amount: Decimal) -> str:
    whole = amount == amount.to_integral_value()
    return f"{offer.currency} {amount:.0f}" if whole else f"{offer.currency} {shown(amount, offer.currency)}"


def message(offer: Offer, questions: Sequence[Question]) -> str:
    """The message to the seller; empty if nothing is left to ask."""
    if not questions:
        return ""
    data, what = appraisal_data(), " ".join(word for word in (offer.kind, offer.part_number) if word)
    asked = [f"{place}. {each.asks}" for place, each in enumerate(questions, start=1)]
    return "\n\n".join([data.greeting, data.opening.format(what=what), "\n".join(asked), data.closing])
