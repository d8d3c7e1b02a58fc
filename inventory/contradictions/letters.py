"""What counts of the letter (the match code), and which readings cannot both be true. Pure: facts in any order.

Two different letters read from one part leave it without a clearly read letter. Where somebody read it here, what a
sheet or another person says is not of equal standing and is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.contradictions.looks import (
    ANSWERS,
    FROM_THE_PART,
    LETTER,
    MINE_WRONG,
    NOT_NOW,
    Contradiction,
    Look,
    look_from,
    settles,
    told,
)
from inventory.facts.order import in_order
from inventory.store.words.letters import in_doubt, letters_in
from inventory.store.words.text import squeeze

__all__ = ["Letter", "letter_of"]


@dataclass(frozen=True)
class Letter:
    """The readings of the letter that count, oldest first, what does not fit, and the facts that were wrong."""

    codes: tuple[str, ...]
    contradiction: Contradiction | None = None
    dropped: frozenset[str] = frozenset()


def letter_of(markings: Iterable[Any], settlements: Iterable[Any] = ()) -> Letter:
    """What counts of the letter, from rows of `marking` and `settlement` that count."""
    readings = {fact.id: read for fact in markings if (read := _reading(fact)) is not None}
    if any(read.own for read in readings.values()):
        readings = {key: read for key, read in readings.items() if read.own}
    settling = [fact for fact in settlements if fact.about == LETTER]
    standing: list[Look] = []
    dropped: set[str] = set()
    shown: tuple[Look, ...] = ()
    settled, put_off, further = "", False, []
    for fact in in_order([*(fact for fact in markings if fact.id in readings), *settling]):
        if not settles(fact):
            read = readings[fact.id]
            put_off = put_off and read.says in _codes(standing)
            standing.append(read)
        elif len(_codes(standing)) > 1:
            further.append(f"settlement-{fact.id}")
            put_off = fact.answer == NOT_NOW
            if not put_off:
                shown, last = _one_of_each(standing), standing[-1].says
                wrong = [look for look in standing if (look.says == last) == (fact.answer == MINE_WRONG)]
                dropped.update(look.fact for look in wrong)
                standing = [look for look in standing if look not in wrong]
                settled = "" if fact.document_id is not None else told(fact)
    codes = _codes(standing)
    found = None
    if len(codes) > 1:
        counts = "no letter counts as clearly read"
        found = Contradiction(LETTER, _one_of_each(standing), counts, ANSWERS, put_off, further=tuple(further))
    elif settled:
        found = Contradiction(LETTER, shown, f"{codes[0]} counts", settled=settled, further=tuple(further))
    return Letter(codes, found, frozenset(dropped))


def _reading(fact: Any) -> Look | None:
    """The letter that a marking reads from the part itself, folded; None if it reads none clearly."""
    code, origin = fact.match_code, fact.match_code_read_from or "part"
    if not code or fact.match_code_state not in (None, "read") or origin not in FROM_THE_PART:
        return None
    folded = _folded(code)
    if not folded or in_doubt(code) or not letters_in(code):
        return None
    return look_from(fact, "marking", "", folded, None)


def _folded(code: str) -> str:
    return squeeze(code).upper()


def _codes(readings: Sequence[Look]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(look.says for look in readings))


def _one_of_each(readings: Sequence[Look]) -> tuple[Look, ...]:
    """The last reading of each letter, in the order of the letters."""
    return tuple({look.says: look for look in readings}.values())
