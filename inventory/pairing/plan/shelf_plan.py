"""Pairs a whole shelf: the plan with most confirmed pairs, then most probable, then most possible ones. Pure.

It makes these pairs of sound parts first, then pairs in which one part failed a test, then those in which both did.
Among plans with equal counts it takes the one whose pairs are likeliest to be all serviceable (the largest sum of log
probabilities, in steps of 1e-9). Equal parts of one class are taken by documents, then tag, and within a class the best
of one side are paired with the best of the other.

The counts are always exact (`flows`). The sum of logarithms is exact to 1e-7 for each as long as no more than
`shelf.FEW` pairs are bound (ran together, and so on). With more, `short_by` is an upper bound of what a better choice
of bound pairs could add to the sum; it is 0 if none could. Documents and tags decide only within one class.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_part import GRADES, Grade
from inventory.pairing.findings.fit import Fits
from inventory.pairing.judgements import PairJudgement, refuse_unpaired
from inventory.pairing.plan.chosen import choose
from inventory.pairing.plan.left_over import LeftOver, Wish, left_over, wish_list
from inventory.pairing.plan.shelf import build_shelf

__all__ = ["LeftOver", "Plan", "Wish", "plan"]


@dataclass(frozen=True)
class Plan:
    """The pairs of a shelf, the parts left over by tag, and the number of pairs by grade.

    Pairs of sound parts come first, then those with failed ones, each best first. `wishes` names the parts that would
    complete those left over, and the sound parts whose mate failed a test; `short_by` is the most by which the sum of
    log probabilities can be below the best.
    """

    pairs: tuple[PairJudgement, ...]
    left_over_sensors: tuple[LeftOver, ...]
    left_over_units: tuple[LeftOver, ...]
    counts: dict[Grade, int]
    wishes: tuple[Wish, ...] = ()
    short_by: float = field(default=0.0, compare=False)

    @property
    def failed_words(self) -> str:
        """In how many pairs a part failed a test, in words; empty if in none."""
        failed = sum(pair.failed for pair in self.pairs)
        return f"in {failed} of these pairs a part failed a test" if failed else ""

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

    Parts fitted to a car are skipped. Parts whose tag is in `reserved` are left over. Raises Refused for a part of a
    kind that is not paired.
    """
    ours, theirs = _in_scope(sensors, SENSOR_KIND), _in_scope(units, UNIT_KIND)
    shelf = build_shelf(_free(ours, reserved), _free(theirs, reserved), fits)
    chosen = choose(shelf)
    pairs = tuple(
        PairJudgement(shelf.sensors.parts[sensor], shelf.units.parts[unit], grade, fits)
        for sensor, unit, grade in chosen.pairs
    )
    paired = {tag for pair in pairs for tag in (pair.sensor, pair.unit)}
    left_sensors, left_units = left_over(shelf, fits, ours, theirs, paired, reserved)
    left = (*left_sensors, *left_units)
    return Plan(
        pairs=pairs,
        left_over_sensors=left_sensors,
        left_over_units=left_units,
        counts={word: sum(pair.grade == word for pair in pairs) for word in GRADES if word != "ruled out"},
        wishes=wish_list([*(each.part for each in left if each.wanted), *_widowed(pairs)], fits),
        short_by=chosen.short_by,
    )


def _widowed(pairs: Iterable[PairJudgement]) -> Iterator[Candidate]:
    """The sound parts whose mate in the plan failed a test: a sound mate is wanted for them too."""
    for pair in pairs:
        sensor, unit = pair.sensor_candidate, pair.unit_candidate
        if bool(sensor.failed) != bool(unit.failed) and not (sensor.setting is not None and sensor.setting.unit):
            yield unit if sensor.failed else sensor


def _in_scope(parts: Iterable[Candidate], kind: str) -> list[Candidate]:
    every = list(parts)
    for part in every:
        if part.kind != kind:
            refuse_unpaired(part, kind)
    return sorted((part for part in every if not part.fitted_to), key=lambda part: part.tag)


def _free(parts: Sequence[Candidate], reserved: Collection[str]) -> list[Candidate]:
    return [part for part in parts if part.tag not in reserved]
