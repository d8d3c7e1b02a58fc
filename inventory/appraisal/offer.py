"""Input and result of the judgement on an offer."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from inventory.evidence.claims import NO_PROOF, Claimed
from inventory.money import shown
from inventory.reasons import Reason
from inventory.reference.data import PROGRAM, Reference

__all__ = ["OWN_BENCH", "SELLER", "Appraisal", "NextTest", "Offer", "SealClaim", "SellerQuestion", "Verdict"]

#: yes at this price; no; ask the seller first; buy it to test it, with the right to send it back.
Verdict = Literal["buy", "leave", "ask first", "buy to test"]
Where = Literal["seller", "own bench"]
SELLER: Where = "seller"
OWN_BENCH: Where = "own bench"


@dataclass(frozen=True)
class SealClaim:
    """The claimed state of a seal; `proof` is what was shown for it ("picture": a picture shows it)."""

    seal: str
    state: str
    proof: str = NO_PROOF


@dataclass(frozen=True)
class Offer:
    """One part offered for sale. Amounts in `currency`; `worth` if good, `core` if bad and not repaired.

    `repair` is the price of repairing a bad one, None if nobody is known to do it. `code` is the match code as claimed;
    `code_state` is "read", another state of codes, or empty if nothing was said. `answered`: questions not to ask
    again. `reference`: the reference data to judge by.
    """

    kind: str
    price: Decimal
    currency: str
    worth: Decimal
    part_number: str = ""
    marks: str = ""
    carriage: Decimal = Decimal(0)
    carriage_back: Decimal = Decimal(0)
    repair: Decimal | None = None
    core: Decimal = Decimal(0)
    claims: tuple[Claimed, ...] = ()
    seals: tuple[SealClaim, ...] = ()
    code: str = ""
    code_state: str = ""
    code_proof: str = NO_PROOF
    source: str = "seller"
    returnable: bool = False
    answered: tuple[str, ...] = ()
    reference: Reference = field(default=PROGRAM, repr=False)


@dataclass(frozen=True)
class NextTest:
    """One further test. `value` is its gain after its `cost`; `phrase` names it in a sentence.

    `if_pass` and `if_fail` are the highest sensible prices after either outcome.
    """

    test: str
    where: Where
    phrase: str
    value: Decimal
    cost: Decimal
    p_pass: float
    if_pass: Decimal
    if_fail: Decimal


@dataclass(frozen=True)
class SellerQuestion:
    """One question to the seller, and the option to use when the answer comes."""

    name: str
    asks: str
    then: str


@dataclass(frozen=True)
class Appraisal:
    """What an offer is worth to the buyer. `says` begins with the verdict; `lines` are the sentences behind it.

    `next_tests` are the tests worth more than they cost, best first. `message` asks the seller all of `ask_seller`.
    """

    verdict: Verdict
    says: str
    p_serviceable: float
    expected_worth: Decimal
    highest_sensible_price: Decimal
    currency: str
    next_tests: tuple[NextTest, ...]
    ask_seller: tuple[SellerQuestion, ...]
    message: str
    lines: tuple[str, ...]
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `appraise`; amounts with the decimals of their currency."""
        return {
            "verdict": self.verdict,
            "says": self.says,
            "p_serviceable": self.p_serviceable,
            "expected_worth": self._money(self.expected_worth),
            "highest_sensible_price": self._money(self.highest_sensible_price),
            "currency": self.currency,
            "next_tests": [
                {
                    "test": test.test,
                    "where": test.where,
                    "value": self._money(test.value),
                    "cost": self._money(test.cost),
                    "p_pass": test.p_pass,
                    "highest_price_if_pass": self._money(test.if_pass),
                    "highest_price_if_fail": self._money(test.if_fail),
                }
                for test in self.next_tests
            ],
            "ask_seller": [asked.asks for asked in self.ask_seller],
            "answers": [{"question": asked.name, "then": asked.then} for asked in self.ask_seller],
            "message": self.message,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }

    def _money(self, amount: Decimal) -> str:
        return shown(amount, self.currency)
