"""Every sensor in the house with every control unit: the best pairs by name, the many others counted. Pure.

Parts that are alike are graded together, so a shelf of a thousand on each side takes as long as its classes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import nsmallest

from inventory.errors import Refused
from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate
from inventory.pairing.findings.by_part import GRADES, Grade
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.likeness import Grades, Likeness, bound_to, likeness
from inventory.pairing.findings.together import ceiling
from inventory.pairing.judgements import PairJudgement, refuse_unpaired

__all__ = ["FEW", "BestPairs", "CountedPairs", "EveryPair", "best_pairs", "every_pair"]

#: More pairs that are possible, or ruled out, are counted and not named.
FEW = 50
#: More classes of one side with classes of the other are not graded: each takes some 5 us.
_MOST_CLASSES = 1_000_000
_COUNTED: tuple[Grade, ...] = ("possible", "ruled out")


@dataclass(frozen=True)
class CountedPairs:
    """The pairs of one grade of the sensors with one number (empty: none on record), which are not named."""

    grade: Grade
    part_number: str
    sensors: int
    units: int
    count: int

    @property
    def says(self) -> str:
        """`HV 204 118: 12 sensors with 340 control units, 4080 possible pairs`."""
        number = self.part_number or "no number on record"
        sensors, units = (
            f"{many} {word}{'' if many == 1 else 's'}"
            for many, word in ((self.sensors, "sensor"), (self.units, "control unit"))
        )
        pairs = "pair" if self.count == 1 else "pairs"
        told = f"{self.count} possible {pairs}" if self.grade == "possible" else f"{self.count} {pairs} ruled out"
        return f"{number}: {sensors} with {units}, {told}"


@dataclass(frozen=True)
class EveryPair:
    """The pairs that are named, best first, and those that are only counted."""

    pairs: tuple[PairJudgement, ...]
    counted: tuple[CountedPairs, ...] = ()


@dataclass(frozen=True)
class BestPairs:
    """The best pairs, best first, and how many there are of each grade, named or not."""

    pairs: tuple[PairJudgement, ...]
    totals: dict[Grade, int]

    @property
    def not_named(self) -> int:
        """How many pairs are only counted."""
        return sum(self.totals.values()) - len(self.pairs)


@dataclass(frozen=True)
class _Block:
    """Sensors that are alike with control units that are alike, less the pairs that a fact names."""

    grade: Grade
    sensors: Sequence[Candidate]
    units: Sequence[Candidate]
    bound: int = 0

    @property
    def count(self) -> int:
        return len(self.sensors) * len(self.units) - self.bound


def every_pair(
    of: Iterable[tuple[Sequence[Candidate], Sequence[Candidate]]],
    fits: Fits,
    *,
    include_ruled_out: bool = False,
    few: int | None = FEW,
) -> EveryPair:
    """Every sensor with every control unit of each couple of lists, without those ruled out unless asked for.

    Confirmed and probable pairs are named. If there are more than `few` possible ones, these are counted by the
    sensors' numbers, and so are those ruled out; None names all.
    """
    grades = Grades(fits)
    blocks = [block for sensors, units in of for block in _blocks(sensors, units, fits, grades)]
    blocks = [block for block in blocks if include_ruled_out or block.grade != "ruled out"]
    totals = {word: sum(block.count for block in blocks if block.grade == word) for word in _COUNTED}
    many = {word for word, total in totals.items() if few is not None and total > few}
    named = [pair for block in blocks if block.grade not in many for pair in _named(block, fits)]
    return EveryPair(tuple(sorted(named, key=lambda pair: pair.rank)), _counted(blocks, many))


def best_pairs(
    of: Sequence[tuple[Sequence[Candidate], Sequence[Candidate]]],
    fits: Fits,
    most: int,
    *,
    include_ruled_out: bool = False,
) -> BestPairs:
    """The `most` best pairs of each couple of lists; all others are counted. Whatever comes in, few are made.

    Raises `Refused` if the parts are of so many classes that grading them would take long.
    """
    if sum(len(_alike(sensors)) * len(_alike(units)) for sensors, units in of) > _MOST_CLASSES:
        raise Refused(
            "offer-too-varied",
            "This offer has too many parts that are all different to be compared with all parts here",
            hint="ask for it in pieces, for example one for each part number",
        )
    grades, totals = Grades(fits), dict.fromkeys(GRADES, 0)
    blocks: dict[Grade, list[_Block]] = defaultdict(list)
    for sensors, units in of:
        for block in _blocks(sensors, units, fits, grades):
            if block.grade != "ruled out" or include_ruled_out:
                blocks[block.grade].append(block)
                totals[block.grade] += block.count
    named: list[PairJudgement] = []
    for word in GRADES:
        best = (pair for block in blocks[word] for pair in _named(_best_of(block, most), fits, most))
        named += nsmallest(most - len(named), best, key=lambda pair: pair.rank)
    return BestPairs(tuple(named), {word: count for word, count in totals.items() if count})


def _best_of(block: _Block, most: int) -> _Block:
    """The block with no more parts than its `most` best pairs can be of."""

    def order(part: Candidate) -> tuple[float, int, str]:
        return -part.p_serviceable, -part.document_count, part.tag

    most += block.bound
    return replace(block, sensors=nsmallest(most, block.sensors, order), units=nsmallest(most, block.units, order))


def _blocks(sensors: Sequence[Candidate], units: Sequence[Candidate], fits: Fits, grades: Grades) -> Iterator[_Block]:
    for part, kind in (*((part, SENSOR_KIND) for part in sensors), *((part, UNIT_KIND) for part in units)):
        refuse_unpaired(part, kind)
    ours, theirs, at = _alike(sensors), _alike(units), {unit.tag: unit for unit in units}
    for sensor in sensors:
        for tag in sorted(bound_to(sensor) & at.keys()):
            yield _Block(ceiling(sensor, at[tag], fits), [sensor], [at[tag]])
    for mine, alike in ours.items():
        bound = [tag for sensor in alike for tag in bound_to(sensor)]
        for its, others in theirs.items():
            here = {unit.tag for unit in others} if bound else set()
            less = sum(tag in here for tag in bound)
            yield _Block(grades.of(mine, alike[0], its, others[0]), alike, others, less)


def _alike(parts: Iterable[Candidate]) -> dict[Likeness, list[Candidate]]:
    found: dict[Likeness, list[Candidate]] = defaultdict(list)
    for part in parts:
        found[likeness(part)].append(part)
    return found


def _named(block: _Block, fits: Fits, most: int = 0) -> Iterator[PairJudgement]:
    """The pairs of a block; with `most`, and sorted parts, without those that as many others equal."""
    one_pair = len(block.sensors) == len(block.units) == 1 and not block.bound
    for place, sensor in enumerate(block.sensors, 1):
        bound = frozenset() if one_pair else bound_to(sensor)
        for unit in block.units[: (most + block.bound) // place if most else None]:
            if unit.tag not in bound:
                yield PairJudgement(sensor, unit, block.grade, fits)


def _counted(blocks: Iterable[_Block], many: set[Grade]) -> tuple[CountedPairs, ...]:
    by_number: dict[tuple[Grade, str], list[_Block]] = defaultdict(list)
    for block in blocks:
        if block.grade in many and block.count:
            by_number[block.grade, block.sensors[0].part_number_squeezed].append(block)
    found = [
        CountedPairs(
            word,
            of_number[0].sensors[0].part_number,
            len({sensor.tag for block in of_number for sensor in block.sensors}),
            len({unit.tag for block in of_number for unit in block.units}),
            sum(block.count for block in of_number),
        )
        for (word, _), of_number in by_number.items()
    ]
    return tuple(sorted(found, key=lambda one: (_COUNTED.index(one.grade), -one.count, one.part_number)))
