"""Which parts came off as one and are kept together until they are parted. Pure: facts come in oldest first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

__all__ = ["joined", "kept_together"]


def joined(facts: Iterable[tuple[int, int, bool]]) -> set[frozenset[int]]:
    """The pairs that are one now. A fact: two parts by key, and whether it says that they were parted."""
    last = {frozenset((one, other)): apart for one, other, apart in facts}
    return {pair for pair, apart in last.items() if not apart and len(pair) == 2}


def kept_together(pairs: Iterable[frozenset[int]]) -> dict[int, tuple[int, ...]]:
    """For each part the others that are one with it, over any number of steps, in the order of their keys."""
    beside: dict[int, set[int]] = defaultdict(set)
    for pair in pairs:
        for key in pair:
            beside[key] |= pair - {key}
    found: dict[int, tuple[int, ...]] = {}
    for start in beside:
        if start in found:
            continue
        reached, todo = {start}, [start]
        while todo:
            more = beside[todo.pop()] - reached
            reached |= more
            todo += more
        for key in reached:
            found[key] = tuple(sorted(reached - {key}))
    return found
