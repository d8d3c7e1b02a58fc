"""Exact amounts of money: decimal digits with a currency, never floats."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from inventory.errors import Refused

__all__ = ["BASES", "checked_amount", "checked_currency", "minor_digits", "shown", "total"]

BASES = ("agreed", "market", "replacement", "purchase price", "repair cost", "exchange core", "not stated")

#: Decimals of the currencies that do not have two (ISO 4217 minor units, from memory).
_MINOR = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND"), 0),
    **dict.fromkeys(("VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
    **dict.fromkeys(("CLF", "UYW"), 4),
}
_CURRENCY = re.compile(r"[A-Z]{3}")
_COMMA = re.compile(r"[0-9]{1,30},[0-9]{1,2}")
_AMOUNT = re.compile(r"[0-9]{1,30}(\.[0-9]{1,30})?")


def minor_digits(currency: str) -> int:
    """The number of decimals of a currency."""
    return _MINOR.get(currency, 2)


@lru_cache(maxsize=4096)
def checked_currency(currency: str) -> str:
    """The code of a currency (ISO 4217: three letters). Raises `Refused` for anything else."""
    code = (currency or "").strip().upper()
    if not _CURRENCY.fullmatch(code):
        raise Refused("not-a-currency", f'"{currency}" is not a currency: write its three letters, e.g. EUR')
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


def shown(amount: Decimal, currency: str) -> str:
    """An amount with the decimals of its currency."""
    return f"{amount:.{minor_digits(currency)}f}"


def total(amounts: list[tuple[str, str]]) -> dict[str, str]:
    """The sum of each currency, with its decimals. Different currencies are never added."""
    sums: dict[str, Decimal] = {}
    for amount, currency in amounts:
        sums[currency] = sums.get(currency, Decimal(0)) + Decimal(amount)
    return {currency: shown(value, currency) for currency, value in sorted(sums.items())}
