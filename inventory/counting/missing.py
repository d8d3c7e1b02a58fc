"""A part that the last count looked for and did not find: a finding until somebody sees it again. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inventory.counting.sheet import NOT_HERE
from inventory.facts.order import in_order, order_key
from inventory.parts.judgements import AWAY, CAME, LEFT
from inventory.store.days.date_words import day_words

__all__ = ["missed", "says_missed"]


def missed(lines: Iterable[Any], seen: Any | None, passages: Iterable[Any] = ()) -> Any | None:
    """The line that says a part is not here, if it is the last of its count lines and nothing later explains it.

    `seen`: the last fact that shows that we had the part before us, or None; `passages`: how it came and went.
    """
    last = next(iter(reversed(in_order(lines))), None)
    if last is None or last.found != NOT_HERE:
        return None
    went = (fact for fact in passages if fact.how in AWAY | LEFT | CAME)
    later = (fact for fact in (seen, *went) if fact is not None and order_key(fact)[:2] > order_key(last)[:2])
    return None if any(True for _ in later) else last


def says_missed(day: str, occasion: str) -> str:
    """The finding in words: "not here on 12 March 2026 (count 3)". `day`: EDTF."""
    return f"not here on {day_words(day)} ({occasion})"
