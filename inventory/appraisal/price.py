"""What buying is worth, the highest sensible price, and what one more test is worth before deciding.

Pure arithmetic. Amounts are Decimal in one currency; chances are numbers from 0 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

__all__ = ["Foreseen", "Stakes", "about", "buying", "expected_worth", "highest_price", "value_of_test"]

NOTHING = Decimal(0)
#: Below this an amount is the noise of arithmetic.
_NOISE = Decimal("1e-9")


@dataclass(frozen=True)
class Stakes:
    """What the part is worth if good and if bad, and what is paid for it in all: price and carriage."""

    good: Decimal
    bad: Decimal
    paid: Decimal


@dataclass(frozen=True)
class Foreseen:
    """What one more test can say: its chance of passing, and the chance that the part is good after either outcome."""

    p_pass: float
    p_good_if_pass: float
    p_good_if_fail: float


def expected_worth(p_good: float, stakes: Stakes) -> Decimal:
    """Worth of the part as it stands: P(good) good + P(bad) bad."""
    p = Decimal(p_good)
    return p * stakes.good + (1 - p) * stakes.bad


def buying(p_good: float, stakes: Stakes) -> Decimal:
    """What buying gains over leaving it."""
    return expected_worth(p_good, stakes) - stakes.paid


def highest_price(p_good: float, stakes: Stakes, carriage: Decimal) -> Decimal:
    """The price at which buying gains nothing; none (0) where even a gift would not pay its carriage."""
    return max(NOTHING, expected_worth(p_good, stakes) - carriage)


def value_of_test(p_good: float, foreseen: Foreseen, stakes: Stakes, *, otherwise: Decimal = NOTHING) -> Decimal:
    """What a test gains, its own cost apart: after it one buys or leaves it, whichever is better then.

    The expected value of sample information for one test and two acts. `otherwise` is what leaving it comes to
    after the test: nothing, or, where the part was bought first to be tested, the loss of sending it back.
    """
    passes = Decimal(foreseen.p_pass)
    after = passes * max(otherwise, buying(foreseen.p_good_if_pass, stakes))
    after += (1 - passes) * max(otherwise, buying(foreseen.p_good_if_fail, stakes))
    gain = after - max(NOTHING, buying(p_good, stakes))
    return NOTHING if abs(gain) < _NOISE else gain


def about(amount: Decimal) -> Decimal:
    """An amount as people say it: its two leading digits, the rest let go; below one in full."""
    if abs(amount) < 1:
        return amount
    step = Decimal(1).scaleb(max(0, amount.adjusted() - 1))
    return (amount / step).to_integral_value(ROUND_FLOOR) * step
