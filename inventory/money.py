"""Exact amounts of money: decimal digits with a currency of ISO 4217, never floats."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from functools import cache, lru_cache

from inventory.errors import Refused

__all__ = [
    "BASES",
    "checked_amount",
    "checked_currency",
    "checked_rate",
    "in_whole_units",
    "is_currency",
    "minor_digits",
    "shown",
    "total",
]

BASES = ("agreed", "market", "replacement", "purchase price", "repair cost", "exchange core", "not stated")

#: Decimals of a code that ISO 4217 does not list; records of older versions may hold such codes.
_USUAL_DIGITS = 2
_CURRENCY = re.compile(r"[A-Z]{3}")
_COMMA = re.compile(r"[0-9]{1,30},[0-9]{1,2}")
_AMOUNT = re.compile(r"[0-9]{1,30}(\.[0-9]{1,30})?")
_RATE = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?")


@cache
def _digits() -> dict[str, int | None]:
    """The decimals of each code of ISO 4217; None for metals, funds and units of account, which have none."""
    from iso4217 import Currency  # reads its list when it is imported, which would slow every command

    return {each.code: each.exponent for each in Currency}


def is_currency(code: str) -> bool:
    """Whether ISO 4217 lists this code with minor units, so that amounts in it can be added."""
    return _digits().get(code) is not None


def minor_digits(currency: str) -> int:
    """The number of decimals of a currency; 2 for a code that ISO 4217 does not list."""
    digits = _digits().get(currency)
    return _USUAL_DIGITS if digits is None else digits


@lru_cache(maxsize=4096)
def checked_currency(currency: str) -> str:
    """The code of a currency of ISO 4217. Raises `Refused` for anything else, as for gold or a code that is no more."""
    code = (currency or "").strip().upper()
    if not _CURRENCY.fullmatch(code):
        raise Refused("not-a-currency", f'"{currency}" is not a currency: write its three letters, e.g. EUR')
    if code not in _digits():
        raise Refused(
            "not-a-currency",
            f"{code} is not a currency that ISO 4217 lists today",
            hint="if it is no more, give the amount in the currency that replaced it",
        )
    if not is_currency(code):
        raise Refused("not-a-currency", f"{code} stands in ISO 4217 for a metal, a fund or a test, not for money")
    return code


def checked_amount(amount: str, currency: str) -> tuple[str, str]:
    """Amount and currency as they are recorded. Raises `Refused` if one of them cannot be read."""
    code = checked_currency(currency)
    digits = str(amount).strip().replace(" ", "").replace("'", "")
    if _COMMA.fullmatch(digits):  # never three digits: that may be a thousands mark
        digits = digits.replace(",", ".")
    if not _AMOUNT.fullmatch(digits):
        raise Refused(
            "not-an-amount", f'"{amount}" is not an amount', hint="write it with a decimal point, e.g. 1250.50"
        )
    value = Decimal(digits)
    if value >= Decimal(10) ** 12:
        raise Refused("not-an-amount", f'"{amount}" is not an amount a part can be worth')
    exponent = value.normalize().as_tuple().exponent
    if isinstance(exponent, int) and -exponent > minor_digits(code):
        raise Refused("too-many-decimals", f"an amount in {code} has {minor_digits(code)} decimals; {amount} has more")
    return format(value, "f"), code


def checked_rate(rate: str) -> str:
    """A rate of exchange as decimal digits. Raises `Refused` unless it is more than zero."""
    digits = rate.strip()
    if not _RATE.fullmatch(digits) or not Decimal(digits):
        raise Refused(
            "not-a-rate",
            f'"{rate}" is not a rate of exchange',
            hint="what one unit of the first currency was in the second, with a decimal point, e.g. 0.9412",
        )
    return digits


def in_whole_units(amount: Decimal, currency: str) -> str:
    """An amount that was computed, rounded to the currency's minor unit (half a unit up)."""
    return str(amount.quantize(Decimal(1).scaleb(-minor_digits(currency)), ROUND_HALF_UP))


def shown(amount: Decimal, currency: str) -> str:
    """An amount with the decimals of its currency."""
    return f"{amount:.{minor_digits(currency)}f}"


def total(amounts: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The sum of each currency, with its decimals.

    Different currencies are never added, and no amounts in a code that ISO 4217 does not list.
    """
    sums: dict[str, Decimal] = {}
    for amount, currency in amounts:
        if is_currency(currency):
            sums[currency] = sums.get(currency, Decimal(0)) + Decimal(amount)
    return {currency: shown(value, currency) for currency, value in sorted(sums.items())}
