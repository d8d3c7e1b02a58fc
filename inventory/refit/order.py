"""The order in which things go back on, from what must go before what. Pure.

What nothing is said about keeps its place in the order that comes in (the reverse of coming off). Where facts make a
circle, the facts of the circle that speak against that order are set aside.
"""

from __future__ import annotations

import heapq
from collections import defaultdict, deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Before", "Order", "in_order"]

#: Two things, by their keys: the first goes on before the second.
Pair = tuple[str, str]


@dataclass(frozen=True)
class Before:
    """A fact says that one thing goes on before another; `says` is the fact in words."""

    first: str
    then: str
    fact: str
    says: str


@dataclass(frozen=True)
class Order:
    """An order of things by key.

    `group`: things of one group do not wait for each other; 1 waits for nothing. `after`: what each waits for directly.
    `cycles`: each circle, as what is said of its pairs one after the other. `set_aside`: what is not followed because
    it is part of a circle and speaks against the order that came in.
    """

    sequence: tuple[str, ...]
    group: Mapping[str, int]
    after: Mapping[str, tuple[str, ...]]
    cycles: tuple[tuple[Before, ...], ...] = ()
    set_aside: tuple[Before, ...] = ()


def in_order(keys: Sequence[str], said: Iterable[Before]) -> Order:
    """Order the keys; those that wait for nothing keep the order in which they come in."""
    place = {key: number for number, key in enumerate(keys)}
    by_pair: dict[Pair, list[Before]] = defaultdict(list)
    for each in said:
        if each.first in place and each.then in place:
            by_pair[each.first, each.then].append(each)
    knot = _knots(keys, by_pair)
    aside = [pair for pair in by_pair if knot[pair[0]] == knot[pair[1]] and place[pair[0]] >= place[pair[1]]]
    kept = by_pair.keys() - set(aside)
    sequence, group, after = _sorted(place, kept)
    return Order(
        sequence,
        group,
        after,
        tuple(tuple(each for pair in circle for each in by_pair[pair]) for circle in _circles(aside, by_pair, knot)),
        tuple(each for pair in aside for each in by_pair[pair]),
    )


def _sorted(
    place: Mapping[str, int], pairs: Iterable[Pair]
) -> tuple[tuple[str, ...], dict[str, int], dict[str, tuple[str, ...]]]:
    """Kahn's algorithm; of what may come next, the first in the order that came in."""
    follow: dict[str, list[str]] = defaultdict(list)
    before: dict[str, list[str]] = defaultdict(list)
    for first, then in pairs:
        follow[first].append(then)
        before[then].append(first)
    open_ = {key: len(before[key]) for key in place}
    free = [(place[key], key) for key, many in open_.items() if not many]
    heapq.heapify(free)
    group = dict.fromkeys(place, 1)
    sequence = []
    while free:
        _, key = heapq.heappop(free)
        sequence.append(key)
        for then in follow[key]:
            group[then] = max(group[then], group[key] + 1)
            open_[then] -= 1
            if not open_[then]:
                heapq.heappush(free, (place[then], then))
    return tuple(sequence), group, {key: tuple(sorted(before[key], key=place.__getitem__)) for key in place}


def _knots(keys: Iterable[str], pairs: Collection[Pair]) -> dict[str, str]:
    """The strongly connected component of each key, named by one of its keys (Kosaraju)."""
    follow, back = _neighbours(pairs), _neighbours((then, first) for first, then in pairs)
    finished: list[str] = []
    seen: set[str] = set()
    for start in keys:
        todo = [(start, iter(follow[start]))] if start not in seen else []
        seen.add(start)
        while todo:
            key, rest = todo[-1]
            then = next((each for each in rest if each not in seen), None)
            if then is None:
                finished.append(todo.pop()[0])
            else:
                seen.add(then)
                todo.append((then, iter(follow[then])))
    knot: dict[str, str] = {}
    for root in reversed(finished):
        reached = [root] if root not in knot else []
        while reached:
            key = reached.pop()
            if key not in knot:
                knot[key] = root
                reached += back[key]
    return knot


def _circles(aside: Iterable[Pair], pairs: Collection[Pair], knot: Mapping[str, str]) -> list[list[Pair]]:
    """The shortest circle through each pair that is set aside, except pairs that stand in one already."""
    follow = _neighbours(pair for pair in pairs if knot[pair[0]] == knot[pair[1]])
    circles: list[list[Pair]] = []
    shown: set[Pair] = set()
    for first, then in aside:
        if (first, then) in shown:
            continue
        came_from = {then: then}
        queue = deque([then])
        while first not in came_from:
            key = queue.popleft()
            for each in follow[key]:
                if each not in came_from:
                    came_from[each] = key
                    queue.append(each)
        way, key = [(first, then)], first
        while key != then:
            way.append((came_from[key], key))
            key = came_from[key]
        circles.append([way[0], *reversed(way[1:])])
        shown.update(way)
    return circles


def _neighbours(pairs: Iterable[Pair]) -> dict[str, list[str]]:
    follow: dict[str, list[str]] = defaultdict(list)
    for first, then in pairs:
        follow[first].append(then)
    return follow
