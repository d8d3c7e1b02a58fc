"""How to pair a whole shelf: the plan with most confirmed pairs, then most probable, then most possible ones. Pure.

Among plans equal in those counts the one whose pairs are likeliest to be all serviceable is taken (the largest sum of
the logarithms of the chances, in steps of 1e-9); parts of one class that are equal in that are taken in the order of
documents, then tag, and within a class the best of one side go with the best of the other.

What is exact: the counts, always (`flows`). The sum of logarithms too, to 1e-7 for each, as long as no more than
`shelf.FEW` pairs are bound to each other (ran together, and so on). With more of them it is bounded: `short_by` is by
how much at most a better choice of who is kept with whom could raise the sum; it is nought where none could.
Documents and tags decide only between parts of one class.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_part import GRADES, Grade
from inventory.pairing.findings.fit import Fits
from inventory.pairing.judgements import PairJudgement, refuse_unpaired
from inventory.pairing.plan.chosen import choose
from inventory.pairing.plan.left_over import LeftOver, Wish, left_over, wish_list
from inventory.pairing.plan.shelf import set_out

__all__ = ["LeftOver", "Plan", "Wish", "plan"]


@dataclass(frozen=True)
class Plan:
    """The pairs of a shelf, best first, what is left over on either side in order of tags, and pairs by grade.

    `wishes` says which number and letter would complete what is left over; `short_by` by how much at most the sum of
    the logarithms of the chances lies below the best.
    """

    pairs: tuple[PairJudgement, ...]
    left_over_sensors: tuple[LeftOver, ...]
    left_over_units: tuple[LeftOver, ...]
    counts: dict[Grade, int]
    wishes: tuple[Wish, ...] = ()
    short_by: float = field(default=0.0, compare=False)

    def as_dict(self) -> dict[str, object]:
        """The JSON of `pairs plan`."""
        return {
            "pairs": [pair.as_dict() for pair in self.pairs],
            "left_over": {
                "sensors": [left.as_dict() for left in self.left_over_sensors],
                "units": [left.as_dict() for left in self.left_over_units],
            },
            "counts": dict(self.counts),
            "wish_list": [wish.as_dict() for wish in self.wishes],
        }


def plan(
    sensors: Iterable[Candidate], units: Iterable[Candidate], fits: Fits, reserved: Collection[str] = frozenset()
) -> Plan:
    """The plan for sensors and control units in the house.

    Those fitted to a car are out of scope and passed over. Those whose tag is `reserved` are in no pair and left over.
    Raises Refused for a part of a kind that is not paired.
    """
    ours, theirs = _in_scope(sensors, SENSOR_KIND), _in_scope(units, UNIT_KIND)
    shelf = set_out(_free(ours, reserved), _free(theirs, reserved), fits)
    chosen = choose(shelf)
    pairs = tuple(
        PairJudgement(shelf.sensors.halves[sensor], shelf.units.halves[unit], grade, fits)
        for sensor, unit, grade in chosen.pairs
    )
    paired = {tag for pair in pairs for tag in (pair.sensor, pair.unit)}
    left_sensors, left_units = left_over(shelf, fits, ours, theirs, paired, reserved)
    return Plan(
        pairs=pairs,
        left_over_sensors=left_sensors,
        left_over_units=left_units,
        counts={word: sum(pair.grade == word for pair in pairs) for word in GRADES if word != "ruled out"},
        wishes=wish_list([*left_sensors, *left_units], fits),
        short_by=chosen.short_by,
    )


def _in_scope(halves: Iterable[Candidate], kind: str) -> list[Candidate]:
    every = list(halves)
    for half in every:
        if half.kind != kind:
            refuse_unpaired(half, kind)
    return sorted((half for half in every if not half.fitted_to), key=lambda half: half.tag)


def _free(halves: Sequence[Candidate], reserved: Collection[str]) -> list[Candidate]:
    return [half for half in halves if half.tag not in reserved]
