"""Finds sets of injectors whose flows, measured in one session on one rig, are closest together. Pure.

The spread of a set is its largest minus its smallest flow. In sorted order the closest set of N are N neighbours. The
sets with the smallest worst spread can always be runs of neighbours that do not overlap: if two sets interleave, their
N lower and N upper members are no wider than the wider of the two. So searching the sorted flows is exact.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from inventory.bench.quantities.repeats import guard_for, repeats_of
from inventory.bench.verdicts import TWO_SIDED
from inventory.reasons import COMMON_PRACTICE, WORKSHOP, Reason

__all__ = ["Flow", "FlowSet", "Injector", "Sets", "closest_sets", "match_sets"]

_NO_SOURCE = "no source"


@dataclass(frozen=True)
class Flow:
    """One flow as measured: `name` static or pulsed, the value and its standard uncertainty, the unit of both.

    Of a flow that was read once, `own_spread` is the part of `u` that is the method's own spread.

    `under` is what must be the same for two flows to compare, in words: session, rig, pressure, fluid, time, cleaning.
    """

    name: str
    value: float
    u: float
    unit: str
    under: tuple[tuple[str, str], ...]
    facts: tuple[str, ...] = ()
    own_spread: float = 0.0


@dataclass(frozen=True)
class Injector:
    """An injector in the house: its tag, its family of part numbers, the failed and the unmeasured procedures."""

    tag: str
    family: str
    flows: tuple[Flow, ...]
    failed: tuple[str, ...] = ()
    unmeasured: tuple[str, ...] = ()


@dataclass(frozen=True)
class FlowSet:
    """One set: its tags in the order of their flows, and the spread in the unit of the flows."""

    tags: tuple[str, ...]
    spread: float


@dataclass(frozen=True)
class Sets:
    """The answer: the sets (none if there are too few injectors), the second-best set, and the reasons."""

    sets: tuple[FlowSet, ...]
    second: FlowSet | None
    unit: str
    says: str
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `pairs set`."""
        first = self.sets[0] if self.sets else None
        second = None if self.second is None else {"tags": list(self.second.tags), "spread": self.second.spread}
        return {
            "tags": list(first.tags) if first else [],
            "spread": first.spread if first else None,
            "spread_unit": self.unit or None,
            "sets": [{"tags": list(each.tags), "spread": each.spread} for each in self.sets],
            "second": second,
            "says": self.says,
            "reasons": [reason.as_dict() for reason in self.reasons],
        }


def closest_sets(flows: Sequence[float], size: int, count: int = 1) -> list[tuple[int, ...]]:
    """Indices of `count` separate sets of `size` flows with the smallest worst spread, then the smallest total spread.

    Exact. Empty if there are too few flows. `size` and `count` are at least 1.

    >>> closest_sets([2.31, 2.35, 2.40, 2.44, 2.33, 2.36, 2.52, 2.34], 4)
    [(4, 7, 1, 5)]
    """
    order = sorted(range(len(flows)), key=lambda place: (flows[place], place))
    ends = [flows[order[at + size - 1]] - flows[order[at]] for at in range(len(order) - size + 1)]
    if len(order) < size * count:
        return []
    worst = _smallest_worst(ends, size, count)
    return [tuple(order[at : at + size]) for at in _least_in_all(ends, size, count, worst)]


def _smallest_worst(ends: Sequence[float], size: int, count: int) -> float:
    """The smallest spread that allows `count` runs of neighbours without overlap."""
    candidates = sorted(set(ends))
    low, high = 0, len(candidates) - 1
    while low < high:
        middle = (low + high) // 2
        if _fit(ends, size, candidates[middle]) >= count:
            high = middle
        else:
            low = middle + 1
    return candidates[low]


def _fit(ends: Sequence[float], size: int, worst: float) -> int:
    """How many runs no wider than `worst` fit without overlap: taking the earliest each time is best."""
    at, found = 0, 0
    while at < len(ends):
        if ends[at] <= worst:
            at, found = at + size, found + 1
        else:
            at += 1
    return found


def _least_in_all(ends: Sequence[float], size: int, count: int, worst: float) -> list[int]:
    """The starts of `count` runs no wider than `worst` with the smallest total spread."""
    after = len(ends) + size
    best: list[list[tuple[float, int]]] = [[(0.0, -1)] * (after + 1)]
    for _ in range(count):
        before, row = best[-1], [(math.inf, -1)] * (after + 1)
        for at in range(len(ends) - 1, -1, -1):
            row[at] = row[at + 1]
            taken = ends[at] + before[at + size][0] if ends[at] <= worst else math.inf
            if taken < math.inf and taken <= row[at][0]:
                row[at] = (taken, at)
        best.append(row)
    found, at = [], 0
    for left in range(count, 0, -1):
        at = best[left][at][1]
        found.append(at)
        at += size
    return found


def match_sets(injectors: Iterable[Injector], size: int, count: int = 1) -> Sets:
    """The closest sets of injectors of one family, flowed in one session.

    If several families or sessions have enough, the one with the smallest worst spread as a share of its mean flow
    counts, since static and pulsed flows differ in size.
    """
    every = list(injectors)
    sound = [each for each in every if not each.failed]
    out = [
        Reason(f"left out: {each.tag}, failed {' and '.join(each.failed)}", facts=()) for each in every if each.failed
    ]
    groups = _groups(sound)
    best: tuple[float, tuple[FlowSet, ...], list[tuple[Injector, Flow]]] | None = None
    for members in groups.values():
        places = closest_sets([flow.value for _, flow in members], size, count)
        if not places:
            continue
        made = tuple(_set_of(members, each) for each in places)
        mean = sum(flow.value for _, flow in members) / len(members)
        rank = max(each.spread for each in made) / mean if mean > 0.0 else math.inf
        if best is None or rank < best[0]:
            best = (rank, made, members)
    if best is None:
        return Sets((), None, "", _too_few(groups, size, count), (*_why_too_few(groups, every, size), *out))
    _, made, members = best
    return _answer(made, members, out, size)


def _groups(injectors: Iterable[Injector]) -> dict[tuple[object, ...], list[tuple[Injector, Flow]]]:
    """Injectors with comparable flows: one family, one kind of flow, the same conditions; repeats of one together."""
    groups: dict[tuple[object, ...], list[tuple[Injector, Flow]]] = defaultdict(list)
    for each in injectors:
        of_one: dict[tuple[object, ...], list[Flow]] = defaultdict(list)
        for flow in each.flows:
            of_one[flow.name, flow.unit, flow.under].append(flow)
        for key, flows in of_one.items():
            groups[each.family, *key].append((each, _mean(flows)))
    return dict(groups)


def _mean(flows: Sequence[Flow]) -> Flow:
    """Flows of one injector in one session as one: the mean, with their spread instead of the method's own."""
    if len(flows) == 1:
        return flows[0]
    repeats = repeats_of([flow.value for flow in flows])
    meter = math.sqrt(max(0.0, min(flow.u**2 - flow.own_spread**2 for flow in flows)))
    u = math.hypot(meter, repeats.u * guard_for(repeats.freedom) / guard_for(math.inf))
    facts = tuple(fact for flow in flows for fact in flow.facts)
    return replace(flows[0], value=repeats.mean, u=u, facts=facts)


def _set_of(members: Sequence[tuple[Injector, Flow]], places: Sequence[int]) -> FlowSet:
    flows = [members[place][1].value for place in places]
    return FlowSet(tuple(members[place][0].tag for place in places), max(flows) - min(flows))


def _answer(made: tuple[FlowSet, ...], members: list[tuple[Injector, Flow]], out: list[Reason], size: int) -> Sets:
    flow = members[0][1]
    by_tag = {each.tag: found for each, found in members}
    second = _second(made[0], members, size) if len(made) == 1 else None
    unlike = [made[0], second] if second else list(made)
    says = f"closest {size}: {', '.join(made[0].tags)}; they differ by {made[0].spread:.3g} {flow.unit}"
    if len(made) > 1:
        says = f"{len(made)} sets of {size}; the widest differs by {max(each.spread for each in made):.3g} {flow.unit}"
    under = ", ".join(f"{name} {value}" for name, value in flow.under)
    reasons = [
        Reason(
            f"{len(members)} injectors of one fit were flowed {flow.name} under the same conditions: {under}",
            "only flows of one session on one rig compare",
            _NO_SOURCE,
            COMMON_PRACTICE,
            tuple(fact for _, found in members for fact in found.facts),
        ),
        Reason("the closest are neighbours in the order of flow: exact", "largest minus smallest", "arithmetic"),
        *_differences(unlike, by_tag, flow.unit),
    ]
    chosen = {tag for each in made for tag in each.tags}
    never = [(each.tag, each.unmeasured) for each, _ in members if each.tag in chosen and each.unmeasured]
    if never:
        listed = "; ".join(f"{tag}: {', '.join(words)}" for tag, words in never)
        reasons.append(Reason(f"not shown to be in limits: {listed}", "measure them before they go in", _NO_SOURCE))
    return Sets(made, second, flow.unit, says, (*reasons, *out))


def _second(first: FlowSet, members: list[tuple[Injector, Flow]], size: int) -> FlowSet | None:
    """The closest other set: another run of neighbours, or the first set with one member exchanged."""
    order = sorted(range(len(members)), key=lambda place: (members[place][1].value, place))
    others = []
    for left_out in (None, *first.tags):
        kept = [place for place in order if members[place][0].tag != left_out]
        runs = [kept[at : at + size] for at in range(len(kept) - size + 1)]
        others += [found for run in runs if set((found := _set_of(members, run)).tags) != set(first.tags)]
    return min(others, key=lambda each: (each.spread, each.tags), default=None)


def _differences(sets: Sequence[FlowSet | None], flows: dict[str, Flow], unit: str) -> list[Reason]:
    """Whether consecutive sets differ by more than the uncertainty of the readings, 95 %."""
    found = []
    rule = f"a difference counts if it is more than {TWO_SIDED} of its standard uncertainties"
    for one, other in pairwise(each for each in sorted(filter(None, sets), key=lambda each: each.spread)):
        ends = {end for each in (one, other) for end in _ends(each, flows)}
        doubt = TWO_SIDED * math.sqrt(sum(flows[tag].u ** 2 for tag in ends))
        apart = other.spread - one.spread
        words = f"the next set differs by {other.spread:.3g} {unit}, {apart:.2g} {unit} more"
        if apart < doubt:
            says = f"{words}: within the uncertainty of the readings ({doubt:.2g} {unit}), so neither is shown better"
        else:
            says = f"{words}: more than the uncertainty of the readings ({doubt:.2g} {unit}), so it is really worse"
        found.append(Reason(says, rule, _NO_SOURCE, WORKSHOP))
    return found


def _ends(one: FlowSet, flows: dict[str, Flow]) -> tuple[str, str]:
    ordered = sorted(one.tags, key=lambda tag: flows[tag].value)
    return ordered[0], ordered[-1]


def _too_few(groups: dict[tuple[object, ...], list[tuple[Injector, Flow]]], size: int, count: int) -> str:
    most = max((len(members) for members in groups.values()), default=0)
    wanted = f"{count} sets of {size}" if count > 1 else f"set of {size}"
    if most == 0:
        return f"no {wanted}: no injector in the house was flowed"
    return f"no {wanted}: at most {most} that fit were flowed in one session; flow them again together"


def _why_too_few(
    groups: dict[tuple[object, ...], list[tuple[Injector, Flow]]], every: Sequence[Injector], size: int
) -> list[Reason]:
    """The flow sessions on record, and how to flow all together."""
    told = []
    for (_, name, _, under), members in groups.items():
        assert isinstance(under, tuple)
        words = ", ".join(f"{what} {value}" for what, value in under)
        told.append(Reason(f"{len(members)} flowed {name}: {words}", "", "", COMMON_PRACTICE))
    rule = "only flows of one session on one rig compare"
    wanted = (
        "flow all again together: same pressure, fluid, temperature and time, all static or all pulsed, all before or "
        "all after cleaning, with one session name"
    )
    if len(every) < size:
        told.append(Reason(f"there are {len(every)} injectors in the house, off any car", "", "", WORKSHOP))
    return [*told, Reason(wanted, rule, _NO_SOURCE, COMMON_PRACTICE)]
