"""How an appraisal is said: the verdict first, round figures for people, and what a cap or a letter means. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from inventory.appraisal.offer import OWN_BENCH, NextTest, Offer, Verdict
from inventory.appraisal.price import about, expected_worth, highest_price
from inventory.appraisal.tests import Known, guards_nothing, on_paper, right_of_return, stakes_of, worse_than_told
from inventory.evidence.claims import NO_PROOF
from inventory.money import shown
from inventory.reasons import FROM_MEMORY, Reason
from inventory.reference.appraisal import Question, appraisal_data
from inventory.reference.modes import FailureData

__all__ = ["looks", "message", "money_reasons", "test_reasons", "verdict_sentence"]

_SUM = "buying is worth P(good) worth + P(bad) max(core, worth - repair) - price - carriage"
_EVSI = "expected value of sample information, one step ahead: after the test, buy or leave, whichever is better"
_EVSI_SOURCE = "Raiffa and Schlaifer, Applied Statistical Decision Theory (1961)"


def verdict_sentence(verdict: Verdict, known: Known, best: NextTest | None) -> str:
    """`no at EUR 700, highest sensible price about EUR 620`; or what to ask first, and what it would be without."""
    offer = known.offer
    price = _exact(offer, offer.price)
    bare = _bare(known, price)
    if verdict == "ask first" and best is not None:
        return f"ask first: {best.phrase} is worth {_round(offer, best.value)} more than it costs; without it {bare}"
    if verdict == "buy to test" and best is not None:
        return (
            f"buy it with the right of return and test it the day it comes, before anything else: {best.phrase} "
            f"is worth {_round(offer, best.value)} more than it costs, carriage back counted; without that right {bare}"
        )
    return bare


def _bare(known: Known, price: str) -> str:
    stakes, offer = stakes_of(known.offer), known.offer
    if expected_worth(known.p_good, stakes) <= offer.carriage:
        return f"no at {price}, and not as a gift: it is not worth its carriage"
    answer = "yes" if expected_worth(known.p_good, stakes) >= stakes.paid else "no"
    return f"{answer} at {price}, highest sensible price {_most(known)}"


def money_reasons(known: Known) -> tuple[Reason, ...]:
    """What it would be worth, what is paid, and how far the highest sensible price may be off."""
    offer, stakes = known.offer, stakes_of(known.offer)
    worth = expected_worth(known.p_good, stakes)
    low, high = (highest_price(p, stakes, offer.carriage) for p in _doubted(known.p_good, offer.reference.failures))
    doubt = offer.reference.failures.figures["doubt"].value
    told = [
        f"worth {_exact(offer, stakes.good)} good, {_exact(offer, stakes.bad)} bad ({_bad(offer)}): "
        f"{_round(offer, worth)} as it stands; {_exact(offer, stakes.paid)} to pay, "
        f"{'carriage counted' if offer.carriage else 'no carriage named'}",
        f"the chances are guesses: with odds {doubt:g} times worse or better the highest sensible price lies between "
        f"{_round(offer, low)} and {_round(offer, high)}",
    ]
    if stakes.bad >= stakes.paid:
        told.append(_whatever(offer, stakes.bad))
    elif stakes.good < stakes.paid:
        told.append("even a good one is worth less than what is to be paid")
    return tuple(Reason(each, _SUM, "worth, repair and core as given by the buyer") for each in told)


def _whatever(offer: Offer, bad: Decimal) -> str:
    if offer.repair is not None and bad > offer.core:
        return (
            f"even a bad one is worth what is asked, if it can be mended for {_exact(offer, offer.repair)}: "
            "be sure of who would do it; no test is worth waiting for"
        )
    return "even a bad one is worth what is asked, as a core: no test is worth waiting for"


def test_reasons(known: Known, tests: Sequence[NextTest]) -> tuple[Reason, ...]:
    """What each further test would be worth; those that are not worth their cost together in one sentence."""
    offer = known.offer
    told = []
    if offer.returnable:
        both_ways = _exact(offer, offer.carriage + offer.carriage_back)
        told.append(
            f"with the right of return your own bench is the cheapest sure test: buy, test, send back; it costs the "
            f"carriage both ways, {both_ways}, where it goes back, and your hour, not counted"
        )
    told += [_worth_asking(offer, test) for test in tests if test.value > 0]
    if not offer.returnable and "return" not in offer.answered and (own := right_of_return(known)):
        told.append(
            f"a right of return would be worth {_round(offer, own.value)}, carriage back counted: buy it, make "
            f"{own.phrase}, send it back if it does not pass"
        )
    if rest := [test.phrase for test in tests if test.value <= 0]:
        told.append(f"worth no more than they cost, for this decision: {', '.join(rest)}")
    return tuple(Reason(each, _EVSI, _EVSI_SOURCE, FROM_MEMORY) for each in told)


def _worth_asking(offer: Offer, test: NextTest) -> str:
    cost = _round(offer, test.cost)
    costs = f"{cost} carriage back if it goes back" if test.where == OWN_BENCH else f"waiting counted at {cost}"
    return (
        f"{test.phrase}: worth {_round(offer, test.value)} more than it costs ({costs}); "
        f"passed, up to {_round(offer, test.if_pass)} is sensible, not passed {_round(offer, test.if_fail)}"
    )


def looks(offer: Offer) -> tuple[Reason, ...]:
    """What it means how each seal and the letter were told to be, or that nothing was told of the cap or the letter."""
    data = appraisal_data()
    return tuple(Reason(says, "", data.source, data.standing) for says in _looks(offer) if says)


def _looks(offer: Offer) -> Iterator[str]:
    data, fitted = appraisal_data(), offer.reference.factory_seals(offer.kind, offer.part_number)
    for seal in offer.seals:
        renewed = "renewed, with paper" if on_paper(seal) else "renewed"
        if guards_nothing(offer, seal):
            yield f"no {seal.seal} is on file for this kind and number: it counts for nothing either way"
        elif worse_than_told(offer, seal):
            yield f"this number left the factory without a {seal.seal}: one that is there was put on later"
            yield data.means(seal.seal, renewed)
        elif means := data.means(seal.seal, renewed if seal.state == "renewed" else seal.state):
            yield f"{seal.seal} {seal.state}, {_known_by(seal.proof)}: {means}"
    if "cap" in fitted and all(seal.seal != "cap" for seal in offer.seals):
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
    return "as told, not shown" if proof == NO_PROOF else f"{proof} shown"


def _bad(offer: Offer) -> str:
    if offer.repair is None:
        return "no repair named, left as a core" if offer.core else "no repair and no core value named"
    if offer.worth - offer.repair > offer.core:
        return f"mended for {_exact(offer, offer.repair)}"
    return f"a repair at {_exact(offer, offer.repair)} leaves no more than the core"


def _doubted(p: float, data: FailureData) -> tuple[float, float]:
    """P(good) with the odds as much worse and better as the figures behind it may be off."""
    doubt = data.figures["doubt"].value
    return p / (p + (1.0 - p) * doubt), p * doubt / (p * doubt + 1.0 - p)


def _most(known: Known) -> str:
    """The highest sensible price, round; in full where rounding would carry it past the price asked."""
    offer = known.offer
    most = highest_price(known.p_good, stakes_of(offer), offer.carriage)
    if about(most) < offer.price <= most:
        return _exact(offer, most)
    return _round(offer, most)


def _round(offer: Offer, amount: Decimal) -> str:
    near = about(amount)
    return _exact(offer, amount) if near == amount or abs(amount) < 1 else f"about {offer.currency} {near:f}"


def _exact(offer: Offer, amount: Decimal) -> str:
    whole = amount == amount.to_integral_value()
    return f"{offer.currency} {amount:.0f}" if whole else f"{offer.currency} {shown(amount, offer.currency)}"


def message(offer: Offer, questions: Sequence[Question]) -> str:
    """The message; empty where nothing is left to ask."""
    if not questions:
        return ""
    data, what = appraisal_data(), " ".join(word for word in (offer.kind, offer.part_number) if word)
    asked = [f"{place}. {each.asks}" for place, each in enumerate(questions, start=1)]
    return "\n\n".join([data.greeting, data.opening.format(what=what), "\n".join(asked), data.closing])
