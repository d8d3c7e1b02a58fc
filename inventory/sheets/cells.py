"""Reading single cells: days, amounts, words of a list. Each refuses, with a sentence, what it cannot take."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal

from inventory.errors import Refused
from inventory.parts.markings import one_of
from inventory.sheets.columns import words
from inventory.store.dates import When, when_on
from inventory.store.text import clean
from inventory.worth.money import checked_amount

__all__ = ["UNDATED", "amount_of", "day_of", "one_word", "same_amount"]

#: Told of a time that no cell gave: some day up to the one it was read.
UNDATED = "day not stated"
_DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")
_CLOCKED = re.compile(r"(\d{4}-\d\d-\d\d)[ T]\d\d:\d\d.*")
_SLASHED = re.compile(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}")
_AMOUNT = re.compile(r"([^\d\s.,'’+-]*)\s*([\d.,'’\s\u00a0\u202f]*\d)\s*([^\d\s.,'’]*)(?:,-|\.-)?")


def day_of(text: str, today: date) -> When:
    """A day as people write it: extended format, words, or 03.04.2019, which is day first; never one still to come."""
    if dotted := _DOTTED.fullmatch(text):
        text = f"{dotted[3]}-{int(dotted[2]):02}-{int(dotted[1]):02}"
    elif clocked := _CLOCKED.fullmatch(text):
        text = clocked[1]
    elif _SLASHED.fullmatch(text):
        raise Refused("day-or-month", f'"{text}" does not say which is the day', hint="write it as 2019-04-03")
    return when_on(text, today)


def amount_of(text: str, currency: str | None) -> tuple[str, str]:
    """An amount with its currency, which may stand beside the figures; a lone 1.234 is ambiguous and refused."""
    read = _AMOUNT.fullmatch(text)
    if read is None:
        raise Refused("not-an-amount", f'"{text}" is no amount', hint="write it with a point: 1250.50")
    beside = read[1] or read[3]
    named = words("signs").get(beside, beside) or currency
    if not named:
        raise Refused(
            "amount-without-currency",
            f"{text} has no currency",
            hint='write EUR in the currency column, or in the header: "Value (EUR)"',
        )
    return checked_amount(_figures(read[2]), named)


def _figures(text: str) -> str:
    """Figures with a decimal point and nothing between the thousands."""
    bare = re.sub(r"['’\s\u00a0\u202f]", "", text)
    if "," in bare and "." in bare:
        mark = max(",.", key=bare.rfind)
        return bare.replace("." if mark == "," else ",", "").replace(",", ".")
    if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", bare):
        raise Refused(
            "thousand-or-decimal",
            f'"{text}" can be read in two ways',
            hint=f"write {re.sub('[.,]', '', bare)}, or the amount with two decimals",
        )
    if re.fullmatch(r"[1-9]\d{0,2}([.,]\d{3}){2,}", bare):
        return re.sub("[.,]", "", bare)
    return bare.replace(",", ".")


def same_amount(one: str | None, other: str | None) -> bool:
    """Whether two amounts in decimal digits are the same."""
    return one == other or (one is not None and other is not None and Decimal(one) == Decimal(other))


def one_word(what: str, known: tuple[str, ...]) -> Callable[[str], str]:
    """A reader of cells that hold one of a few words, in either case."""

    def read(text: str) -> str:
        word = clean(text).casefold()
        one_of(what, word, known)
        return word

    return read
