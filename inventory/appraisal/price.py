"""The value of buying, the highest sensible price, and the value of one more test before the decision.

Pure arithmetic. Amounts are Decimal in one currency; chances are numbers from 0 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

__all__ = ["Foreseen", "Stakes", "expected_worth", "gain_from_buying", "highest_price", "round_amount", "value_of_test"]

NOTHING = Decimal(0)
#: A smaller amount is rounding noise.
_NOISE = Decimal("1e-9")


@dataclass(frozen=True)
class Stakes:
    """What the part is worth if good and if bad, and what is paid in all: price and carriage."""

    good: Decimal
    bad: Decimal
    paid: Decimal


@dataclass(frozen=True)
class Foreseen:
    """One more test: its chance of a pass, and the chance that the part is good after either outcome."""

    p_pass: float
    p_good_if_pass: float
    p_good_if_fail: float


def expected_worth(p_good: float, stakes: Stakes) -> Decimal:
    """Expected worth of the part: P(good) good + P(bad) bad."""
    p = Decimal(p_good)
    return p * stakes.good + (1 - p) * stakes.bad


def gain_from_buying(p_good: float, stakes: Stakes) -> Decimal:
    """What is gained by buying it instead of leaving it."""
    return expected_worth(p_good, stakes) - stakes.paid


def highest_price(p_good: float, stakes: Stakes, carriage: Decimal) -> Decimal:
    """The price at which buying gains nothing; 0 if even as a gift it is not worth its carriage."""
    return max(NOTHING, expected_worth(p_good, stakes) - carriage)


def value_of_test(p_good: float, foreseen: Foreseen, stakes: Stakes, *, otherwise: Decimal = NOTHING) -> Decimal:
    """What a test gains, before its own cost: after the test the buyer chooses the better of buying and leaving.

    The expected value of sample information for one test and two acts. `otherwise` is the value of leaving after the
    test: 0, or the loss of sending the part back, if it was bought first to be tested.
    """
    passes = Decimal(foreseen.p_pass)
    after = passes * max(otherwise, gain_from_buying(foreseen.p_good_if_pass, stakes))
    after += (1 - passes) * max(otherwise, gain_from_buying(foreseen.p_good_if_fail, stakes))
    gain = after - max(NOTHING, gain_from_buying(p_good, stakes))
    return NOTHING if abs(gain) < _NOISE else gain


def round_amount(amount: Decimal) -> Decimal:
    """An amount rounded down to its two leading digits; below one in full."""
    if abs(amount) < 1:
        return amount
    step = Decimal(1).scaleb(max(0, amount.adjusted() - 1))
    return (amount / step).to_integral_value(ROUND_FLOOR) * step
