"""Common types of values: a text, one of a few words, a whole number, an amount, the name of a thing."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import Cell, Value, Values
from inventory.reference.data import Reference
from inventory.store.days.dates import parse_when
from inventory.store.words.names import one_of
from inventory.store.words.nothing import is_no_name
from inventory.store.words.text import clean, clean_lines, fold, short_enough

__all__ = ["amount", "currency", "day", "kind_named", "kind_of_part", "named", "paper_named", "text", "whole", "word"]


def text(
    name: str,
    *examples: str,
    needed: bool = False,
    short: bool = False,
    folded: bool = False,
    is_name: bool = False,
    lines: bool = False,
) -> Value:
    """A free text. `short`: its length is limited, because it is an index. `folded`: stored in lower case.

    `is_name`: it names something, so a word for nothing ("unknown", "none") leaves it empty. `lines`: its line breaks
    stay.
    """
    key = _key(name)

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        plain = short_enough(name, typed) if short else clean_lines(typed) if lines else clean(typed)
        plain = "" if is_name and is_no_name(plain) else plain
        return {key: (plain.casefold() if folded else plain) or None}

    return Value(name, read, _shown(key), _same(key), examples, needed, is_name=is_name, free=True)


def word(
    name: str,
    what: str,
    known: Callable[[Reference], tuple[str, ...]] | tuple[str, ...],
    *,
    list_: str = "",
    needed: bool = False,
) -> Value:
    """One of a few words, in any case. `what`: its name in a refusal; `list_`: the list of other spellings."""
    key = _key(name)
    examples = known if isinstance(known, tuple) else ()

    def words_of(reference: Reference) -> tuple[str, ...]:
        return known if isinstance(known, tuple) else known(reference)

    def read(typed: str, cell: Cell) -> dict[str, Any]:
        words = words_of(cell.reference)
        plain = clean(typed).casefold()
        if plain and plain not in words and list_:
            plain = cell.meant(list_, plain)
        one_of(what, plain or None, words, name)
        return {key: plain or None}

    return Value(name, read, _shown(key), _same(key), examples, needed, words=words_of)


def whole(name: str, *examples: str, digits: int = 4) -> Value:
    """A whole number of at most so many digits."""
    key = _key(name)

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        plain = clean(typed)
        if plain and not re.fullmatch(f"[0-9]{{1,{digits}}}", plain):
            raise Refused("not-a-number", f'{name} must be a whole number, not "{plain}"', where=name)
        return {key: int(plain) if plain else None}

    return Value(name, read, _shown(key), _same(key), examples)


def amount(name: str, *examples: str, currency: str = "currency", needed: bool = False) -> Value:
    """An amount of money, with the currency in it or in the column beside it."""
    key = _key(name)

    def read(typed: str, cell: Cell) -> dict[str, Any]:
        digits, code = cell.amount(typed, cell.currency)
        return {key: digits or None} | ({currency: code} if code else {})

    def same(one: Values, other: Values) -> bool:
        ours, theirs = one.get(key), other.get(key)
        return ours == theirs or (None not in (ours, theirs) and Decimal(str(ours)) == Decimal(str(theirs)))

    return Value(name, read, _shown(key), same, examples, needed)


def currency(amount_name: str, name: str = "currency", *, needed: bool = False) -> Value:
    """The currency of an amount (ISO 4217); it is read together with the amount."""
    return replace(text(name, "EUR", "USD", needed=needed), beside=amount_name)


def day(name: str, *examples: str) -> Value:
    """A day or a vague date (EDTF), which may lie in the future."""
    key = _key(name)

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        plain = clean(typed)
        return {key: parse_when(plain).edtf if plain else None}

    return Value(name, read, _shown(key), _same(key), examples)


def named(name: str, refers: str, *examples: str, needed: bool = False) -> Value:
    """The name of a thing on record (`refers`: its kind); case and spaces do not matter."""
    key = _key(name)

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        return {key: None if is_no_name(typed) else short_enough(name, typed) or None}

    def same(one: Values, other: Values) -> bool:
        return fold(str(one.get(key) or "")) == fold(str(other.get(key) or ""))

    return Value(name, read, _shown(key), same, examples, needed, refers, is_name=True)


def kind_of_part(name: str = "kind") -> Value:
    """The kind of a part, as named in the reference data."""
    key = _key(name)

    def read(typed: str, cell: Cell) -> dict[str, Any]:
        plain = clean(typed)
        return {key: kind_named(plain, cell) if plain else None}

    def words_of(reference: Reference) -> tuple[str, ...]:
        return tuple(each.name for each in reference.kinds)

    return Value(name, read, _shown(key), _same(key), ("pressure sensor", "control unit"), words=words_of)


def kind_named(typed: str, cell: Cell) -> str:
    """The kind with this name or spelling; a workshop's own kinds come first. Raises `UnknownName`."""
    try:
        return cell.reference.kind(typed).name
    except UnknownName as unknown:
        meant = cell.meant("kind", typed)
        if meant != typed:
            return cell.reference.kind(meant).name
        near = cell.near("kind", typed)
        raise (UnknownName("kind", typed, near, where="kind") if near else unknown) from None


def paper_named(name: str = "document", *, needed: bool = False) -> Value:
    """The name of a paper or picture on record that shows it."""
    headings = ("paper", "its paper", "Beleg", "Dokument", "justificatif", "documento")
    return replace(
        named(name, "document", needed=needed), help="the paper or picture on record that shows it", headings=headings
    )


def _key(name: str) -> str:
    return name.replace(" ", "_")


def _shown(key: str) -> Callable[[Values], str]:
    def show(values: Values) -> str:
        value = values.get(key)
        return "" if value is None else str(value)

    return show


def _same(key: str) -> Callable[[Values, Values], bool]:
    return lambda one, other: one.get(key) == other.get(key)
