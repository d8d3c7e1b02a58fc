"""How to pair a whole shelf: the plan with most confirmed pairs, then most probable, then most possible ones. Pure.

Among plans equal in those counts the one whose pairs are likeliest to be all serviceable (the largest sum of log p),
then the one with most documents, then the first in the order of tags. Exact, see `assignment`; meant for shelves of
some hundreds on either side.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import log

from inventory.pairing.assignment import best_matching
from inventory.pairing.codes import compare, reading
from inventory.pairing.findings import GRADES, Grade, name
from inventory.pairing.fit import Fits
from inventory.pairing.halves import SENSOR_KIND, Half
from inventory.pairing.judgements import PairJudgement, grade
from inventory.reasons import WORKSHOP, Reason

__all__ = ["LeftOver", "Plan", "plan"]

_LEAST_P = 1e-12
"""Below this a chance counts as this one, so that its logarithm is a number."""

_LOG_STEPS = 10**9
"""Logarithms are compared in steps of 1e-9."""


@dataclass(frozen=True)
class LeftOver:
    """A part in scope that is in no pair of the plan, and why."""

    tag: str
    reasons: tuple[Reason, ...]

    def as_dict(self) -> dict[str, object]:
        """The object that stands in a JSON `left_over` list."""
        return {"tag": self.tag, "reasons": [reason.as_dict() for reason in self.reasons]}


@dataclass(frozen=True)
class Plan:
    """The pairs of a shelf, best first, what is left over on either side in order of tags, and pairs by grade."""

    pairs: tuple[PairJudgement, ...]
    left_over_sensors: tuple[LeftOver, ...]
    left_over_units: tuple[LeftOver, ...]
    counts: dict[Grade, int]

    def as_dict(self) -> dict[str, object]:
        """The JSON of `pairs plan`."""
        return {
            "pairs": [pair.as_dict() for pair in self.pairs],
            "left_over": {
                "sensors": [left.as_dict() for left in self.left_over_sensors],
                "units": [left.as_dict() for left in self.left_over_units],
            },
            "counts": dict(self.counts),
        }


def plan(sensors: Iterable[Half], units: Iterable[Half], fits: Fits, reserved: Collection[str] = frozenset()) -> Plan:
    """The plan for sensors and control units in the house.

    Those fitted to a car are out of scope and passed over. Those whose tag is `reserved` are in no pair and left over.
    Raises Refused for a part of a kind that is not paired.
    """
    sensors, units = _in_scope(sensors), _in_scope(units)
    free_sensors = [half for half in sensors if half.tag not in reserved]
    free_units = [half for half in units if half.tag not in reserved]
    judged = {
        (row, column): pair
        for row, sensor in enumerate(free_sensors)
        for column, unit in enumerate(free_units)
        if (pair := grade(sensor, unit, fits)).grade != "ruled out"
    }
    pairs = _best(free_sensors, free_units, judged)
    paired = {tag for pair in pairs for tag in (pair.sensor, pair.unit)}
    mates = _mates_by_tag(judged.values())
    return Plan(
        pairs=pairs,
        left_over_sensors=_left_over(sensors, free_units, fits, paired, mates, reserved),
        left_over_units=_left_over(units, free_sensors, fits, paired, mates, reserved),
        counts={word: sum(pair.grade == word for pair in pairs) for word in GRADES if word != "ruled out"},
    )


def _in_scope(halves: Iterable[Half]) -> list[Half]:
    return sorted((half for half in halves if not half.fitted_to), key=lambda half: half.tag)


def _best(
    sensors: list[Half], units: list[Half], judged: dict[tuple[int, int], PairJudgement]
) -> tuple[PairJudgement, ...]:
    if not judged:
        return ()
    import numpy as np  # with scipy.optimize about 0.2 s, so not on the way to --help

    shape = (len(sensors), len(units))
    allowed = np.zeros(shape, dtype=bool)
    worth = np.zeros(shape, dtype=np.int64)
    more_than_all = min(shape) + 1
    for at, pair in judged.items():
        allowed[at] = True
        worth[at] = more_than_all ** (2 - GRADES.index(pair.grade))
    chance = np.array([_log_p(half) for half in sensors])[:, None] + np.array([_log_p(half) for half in units])
    papers = np.array([half.document_count for half in sensors])[:, None] + [half.document_count for half in units]
    chosen = best_matching(allowed, [worth, chance, papers])
    return tuple(sorted((judged[at] for at in chosen), key=lambda pair: pair.rank))


def _log_p(half: Half) -> int:
    """The logarithm of the chance that a part is serviceable, in steps of 1e-9."""
    return round(log(max(half.p_serviceable, _LEAST_P)) * _LOG_STEPS)


def _mates_by_tag(judged: Iterable[PairJudgement]) -> dict[str, list[str]]:
    mates: dict[str, list[str]] = {}
    for pair in judged:
        mates.setdefault(pair.sensor, []).append(pair.unit)
        mates.setdefault(pair.unit, []).append(pair.sensor)
    return mates


def _left_over(
    halves: list[Half],
    others: list[Half],
    fits: Fits,
    paired: set[str],
    mates: dict[str, list[str]],
    reserved: Collection[str],
) -> tuple[LeftOver, ...]:
    left = []
    for half in halves:
        if half.tag in reserved:
            left.append(LeftOver(half.tag, (_reason("reserved"),)))
        elif half.tag not in paired:
            left.append(LeftOver(half.tag, (_why_single(half, others, fits, mates.get(half.tag, [])),)))
    return tuple(left)


def _why_single(half: Half, others: list[Half], fits: Fits, mates: list[str]) -> Reason:
    """Why a free part stays single: it failed a test, nothing fits, other codes, or its mates went to better pairs."""
    other_kind = "control unit" if half.kind == SENSOR_KIND else "sensor"
    if half.decisive_failure is not None:
        says = f"{name(half)} {half.decisive_failure.says}"
        return _reason(says, half.decisive_failure.fact)
    if mates:
        says = f"every {other_kind} it could go with went to a pair at least as good: {', '.join(sorted(mates))}"
        return _reason(says)
    fitting = [other for other in others if _fit(half, other, fits)]
    if not fitting:
        return _reason(f"no {other_kind} free on the shelf fits by number {half.part_number}".rstrip(), half.fact)
    different = sum(compare(reading(half), reading(other)) == "different" for other in fitting)
    failed = sum(other.decisive_failure is not None for other in fitting)
    code = f" for code {half.match_code}" if half.match_code else ""
    told = [f"{len(fitting)} fit by number"]
    told += [f"{different} have another code"] if different else []
    told += [f"{failed} failed a decisive test"] if failed else []
    return _reason(f"no mate free on the shelf{code}: {', '.join(told)}", half.code_fact or half.fact)


def _fit(half: Half, other: Half, fits: Fits) -> bool:
    sensor, unit = (half, other) if half.kind == SENSOR_KIND else (other, half)
    return fits.judge(sensor.part_number_squeezed, unit.part_number_squeezed).fits


def _reason(says: str, *facts: str) -> Reason:
    return Reason(
        says,
        "most confirmed pairs, then probable, then possible; then the likeliest to be serviceable, documents, tags",
        standing=WORKSHOP,
        facts=tuple(fact for fact in facts if fact),
    )
