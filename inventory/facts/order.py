"""In which order facts count, and which counted by a day. Pure: the facts come in as any objects with their columns."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

__all__ = ["by_day", "in_order", "timeless"]


def in_order(facts: Iterable[Any]) -> list[Any]:
    """Facts oldest first: by the day they count from, ties by when they, or what they correct, were recorded."""
    every = list(facts)
    if len(every) > 1:  # most parts have one fact of a sort
        every.sort(key=lambda fact: (fact.counts_from, fact.ranked, fact.id or 0))
    return every


def by_day(facts: Iterable[Any], until: str) -> list[Any]:
    """The facts that were so by an ISO day, oldest first."""
    return [fact for fact in in_order(facts) if fact.counts_from <= until]


def timeless(facts: Iterable[Any], until: str) -> list[Any]:
    """Facts about what does not change with the day (a serial, a name), the one to believe most last.

    What was so by the ISO day comes last, in order; before it, nearest last, what was only written of later days: the
    day on which a part was logged says nothing of what it is.
    """
    ordered = in_order(facts)
    later = [fact for fact in ordered if fact.counts_from > until]
    return [*reversed(later), *(fact for fact in ordered if fact.counts_from <= until)]
