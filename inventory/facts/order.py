"""The order in which facts count, and which count by a day. Pure; facts are any objects with their columns."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

__all__ = ["by_day", "in_order", "may_follow", "order_key", "timeless"]


def may_follow(later: Any, earlier: Any) -> bool:
    """Whether one fact was, or may have been, so after another; on the same day the order of recording decides."""
    if later.earliest == later.latest == earlier.earliest == earlier.latest:
        return bool((later.ranked, later.id) > (earlier.ranked, earlier.id))
    return bool(later.latest >= earlier.earliest)


def order_key(fact: Any) -> tuple[str, str, int]:
    """Where a fact comes: by the day it counts from, then by when it (or the fact it corrects) was recorded."""
    return fact.counts_from, fact.ranked, fact.id or 0


def in_order(facts: Iterable[Any]) -> list[Any]:
    """Facts, oldest first, by their `order_key`."""
    every = list(facts)
    if len(every) > 1:  # most parts have one fact of a sort
        every.sort(key=order_key)
    return every


def by_day(facts: Iterable[Any], until: str) -> list[Any]:
    """The facts that count by an ISO day, oldest first."""
    return [fact for fact in in_order(facts) if fact.counts_from <= until]


def timeless(facts: Iterable[Any], until: str) -> list[Any]:
    """Facts about what does not change (a serial, a name), the most reliable one last.

    Those that count by the ISO day come last, in order. Before them come those of later days, the nearest last: a
    serial read later was the same before.
    """
    ordered = in_order(facts)
    later = [fact for fact in ordered if fact.counts_from > until]
    return [*reversed(later), *(fact for fact in ordered if fact.counts_from <= until)]
