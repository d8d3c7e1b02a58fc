"""Converts totals at the rates on record. Pure.

A rate counts only in the direction in which it was stated: what CHF 1 is in EUR is not computed from what EUR 1 is in
CHF, because people buy and sell at different rates. No rate is made out of two others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from inventory.money import in_whole_units, shown

__all__ = ["Converted", "RateUsed", "converted"]


@dataclass(frozen=True)
class RateUsed:
    """What one unit of `from_currency` was in `to_currency` on a day (EDTF), who says so, and the id of the fact."""

    from_currency: str
    to_currency: str
    rate: str
    source: str
    on: str
    fact: str

    @property
    def says(self) -> str:
        """The rate in a line."""
        return f"1 {self.from_currency} = {self.rate} {self.to_currency} on {self.on}, {self.source}"


@dataclass(frozen=True)
class Converted:
    """Totals in one currency: the sum of those for which a rate is on record, and the rates that were used.

    `apart`: the totals without a rate, which are not in the sum.
    """

    currency: str
    amount: str
    rates: tuple[RateUsed, ...]
    apart: dict[str, str]


def converted(totals: Mapping[str, str], rates: Iterable[RateUsed], currency: str) -> Converted:
    """Totals of several currencies in one, each at the last of its `rates` (oldest first).

    The sum is rounded once, to the currency's minor unit.
    """
    last = {rate.from_currency: rate for rate in rates if rate.to_currency == currency}
    used = tuple(last[each] for each in sorted(totals) if each in last and each != currency)
    amount = Decimal(totals.get(currency, "0"))
    amount += sum((Decimal(totals[rate.from_currency]) * Decimal(rate.rate) for rate in used), Decimal(0))
    apart = {each: amount for each, amount in totals.items() if each != currency and each not in last}
    whole = in_whole_units(amount, currency) if used else shown(amount, currency)
    return Converted(currency, whole, used, apart)
