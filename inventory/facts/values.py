"""Values of the common sorts: a text, one of a few words, a whole number, an amount, the name of something."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import Cell, Value, Values
from inventory.reference.data import Reference
from inventory.store.names import one_of
from inventory.store.text import clean, fold, short_enough

__all__ = ["amount", "currency", "kind_named", "kind_of_part", "named", "text", "whole", "word"]


def text(name: str, *examples: str, needed: bool = False, short: bool = False, folded: bool = False) -> Value:
    """A text in people's own words. `short`: it is looked up by, so its length has a limit. `folded`: in lower case."""
    key = _key(name)

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        plain = short_enough(name, said) if short else clean(said)
        return {key: (plain.casefold() if folded else plain) or None}

    return Value(name, read, _shown(key), _same(key), examples, needed)


def word(
    name: str,
    what: str,
    known: Callable[[Reference], tuple[str, ...]] | tuple[str, ...],
    *,
    list_: str = "",
    needed: bool = False,
) -> Value:
    """One of a few words, in any case. `what`: how a refusal calls it; `list_`: the list of other ways to say it."""
    key = _key(name)
    examples = known if isinstance(known, tuple) else ()

    def words_of(reference: Reference) -> tuple[str, ...]:
        return known if isinstance(known, tuple) else known(reference)

    def read(said: str, cell: Cell) -> dict[str, Any]:
        words = words_of(cell.reference)
        plain = clean(said).casefold()
        if plain and plain not in words and list_:
            plain = cell.meant(list_, plain)
        one_of(what, plain or None, words, name)
        return {key: plain or None}

    return Value(name, read, _shown(key), _same(key), examples, needed, words=words_of)


def whole(name: str, *examples: str) -> Value:
    """A whole number of at most four figures."""
    key = _key(name)

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        plain = clean(said)
        if plain and not re.fullmatch("[0-9]{1,4}", plain):
            raise Refused("not-a-number", f'{name} must be a whole number, not "{plain}"', where=name)
        return {key: int(plain) if plain else None}

    return Value(name, read, _shown(key), _same(key), examples)


def amount(name: str, *examples: str, currency: str = "currency", needed: bool = False) -> Value:
    """An amount of money, with the currency that stands in it or beside it."""
    key = _key(name)

    def read(said: str, cell: Cell) -> dict[str, Any]:
        digits, code = cell.amount(said, cell.currency)
        return {key: digits or None} | ({currency: code} if code else {})

    def same(one: Values, other: Values) -> bool:
        ours, theirs = one.get(key), other.get(key)
        return ours == theirs or (None not in (ours, theirs) and Decimal(str(ours)) == Decimal(str(theirs)))

    return Value(name, read, _shown(key), same, examples, needed)


def currency(amount_name: str, name: str = "currency", *, needed: bool = False) -> Value:
    """The currency of an amount, as ISO 4217 writes it; read with the amount that it stands beside."""
    return replace(text(name, "EUR", "USD", needed=needed), beside=amount_name)


def named(name: str, refers: str, *examples: str, needed: bool = False) -> Value:
    """The name of something on record (`refers`: a kind of thing); two names are the same if they fold to one."""
    key = _key(name)

    def read(said: str, _cell: Cell) -> dict[str, Any]:
        return {key: short_enough(name, said) or None}

    def same(one: Values, other: Values) -> bool:
        return fold(str(one.get(key) or "")) == fold(str(other.get(key) or ""))

    return Value(name, read, _shown(key), same, examples, needed, refers)


def kind_of_part(name: str = "kind") -> Value:
    """What a part is, by the names of the record's reference data."""
    key = _key(name)

    def read(said: str, cell: Cell) -> dict[str, Any]:
        plain = clean(said)
        return {key: kind_named(plain, cell) if plain else None}

    def words_of(reference: Reference) -> tuple[str, ...]:
        return tuple(each.name for each in reference.kinds)

    return Value(name, read, _shown(key), _same(key), ("pressure sensor", "control unit"), words=words_of)


def kind_named(said: str, cell: Cell) -> str:
    """The kind of that name, or the one that people call so; a workshop's own kinds go first."""
    try:
        return cell.reference.kind(said).name
    except UnknownName as unknown:
        meant = cell.meant("kind", said)
        if meant != said:
            return cell.reference.kind(meant).name
        near = cell.near("kind", said)
        raise (UnknownName("kind", said, near, where="kind") if near else unknown) from None


def _key(name: str) -> str:
    return name.replace(" ", "_")


def _shown(key: str) -> Callable[[Values], str]:
    def show(values: Values) -> str:
        value = values.get(key)
        return "" if value is None else str(value)

    return show


def _same(key: str) -> Callable[[Values, Values], bool]:
    return lambda one, other: one.get(key) == other.get(key)
