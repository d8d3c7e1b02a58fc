"""A shelf of sensors and control units as classes of parts that are alike, and the grades between classes. Pure.

Parts of one class have the same grades, and all or none of them failed a test. Numbers of which nothing is on record
count as one, unless a paper names them.

Parts that a fact binds to one other part (they ran together, a mixture run, a paper that names the unit) have their own
grade with it. If there are few such pairs, each of their parts is a class of its own. If there are many, the pairs
between the same two classes share one more edge, whose capacity is their number. A part bound to several others is
always a class of its own, so that the pairs along such an edge share no part.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING

from inventory.pairing.candidate import Candidate
from inventory.pairing.findings.by_paper import set_by_specialist
from inventory.pairing.findings.by_part import GRADES, Grade
from inventory.pairing.findings.codes import Reading, reading
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.likeness import Grades, Likeness, bound_to, likeness
from inventory.pairing.findings.together import ceiling
from inventory.pairing.plan.flows import STEPS, Network

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]

__all__ = ["FEW", "Edge", "Shelf", "Side", "build_shelf"]

FEW = 300
"""With up to this many bound pairs, each of their parts is a class of its own."""

_UNKNOWN = "?"
"""Stands for all numbers of which nothing is on record; no squeezed number contains a question mark alone."""

_LEAST_P = 1e-12
"""A lower probability counts as this, so that its logarithm is finite."""


@dataclass(frozen=True)
class Side:
    """One side of a shelf: the parts by tag, and the classes of parts that are alike.

    `of` is the class of each part; `members` the indices of each class's parts, best first: likeliest to be
    serviceable, then most documents, then tag. `p` is each part's probability of being serviceable, `log_p` its
    logarithm in steps of 1 / `STEPS`, `documents` its number of documents.
    """

    parts: Sequence[Candidate]
    of: Whole
    members: Sequence[Whole]
    p: NDArray[np.float64]
    log_p: Whole
    documents: Whole

    def one(self, number: int) -> Candidate:
        """A part that represents a class."""
        return self.parts[int(self.members[number][0])]


@dataclass(frozen=True)
class Edge:
    """The grade of pairs between two classes, and how many; `bound`: only these pairs (indices), else any.

    `failed` is how many of the two parts of each pair failed a test: 0, 1 or 2.
    """

    row: int
    column: int
    grade: Grade
    most: int
    failed: int = 0
    bound: tuple[tuple[int, int], ...] = ()

    @property
    def rank(self) -> int:
        """The order in which the plan makes pairs: those of sound parts before others, and each by grade."""
        return 3 * self.failed + GRADES.index(self.grade)


@dataclass(frozen=True)
class Shelf:
    """Two sides and the edges between their classes."""

    sensors: Side
    units: Side
    edges: Sequence[Edge]

    def network(self) -> Network:
        """The shelf as a network of classes."""
        import numpy as np

        return Network(
            rows=np.array([len(members) for members in self.sensors.members], dtype=np.int64),
            columns=np.array([len(members) for members in self.units.members], dtype=np.int64),
            row=np.array([edge.row for edge in self.edges], dtype=np.int64),
            column=np.array([edge.column for edge in self.edges], dtype=np.int64),
            most=np.array([edge.most for edge in self.edges], dtype=np.int64),
        )

    def aims(self) -> list[Whole]:
        """The aims: most pairs of each rank in turn."""
        import numpy as np

        of = np.array([edge.rank for edge in self.edges], dtype=np.int64)
        return [(of == place).astype(np.int64) for place in range(9)]


def build_shelf(sensors: Sequence[Candidate], units: Sequence[Candidate], fits: Fits) -> Shelf:
    """The shelf of these sensors and control units, each in the order of tags."""
    grades = Grades(fits)
    ours, theirs = [likeness(part) for part in sensors], [likeness(part) for part in units]
    bound = _bound(sensors, units, fits, grades, ours, theirs)
    alone = _alone(bound)
    named = {fits.family_of(part.setting.unit_number_squeezed) for part in sensors if part.setting is not None}
    left = _side(sensors, [_key(*each, "s", alone, named, fits) for each in zip(sensors, ours, count())])
    right = _side(units, [_key(*each, "u", alone, named, fits) for each in zip(units, theirs, count())])
    edges = [
        Edge(
            row,
            column,
            word,
            min(len(left.members[row]), len(right.members[column])),
            _failed(left, row, right, column),
        )
        for row, column, word in _free_edges(left, right, fits, grades)
    ]
    couples: dict[tuple[int, int, Grade], list[tuple[int, int]]] = defaultdict(list)
    for (sensor, unit), word in bound.items():
        couples[int(left.of[sensor]), int(right.of[unit]), word].append((sensor, unit))
    edges += [
        Edge(row, column, word, len(pairs), _failed(left, row, right, column), tuple(pairs))
        for (row, column, word), pairs in sorted(couples.items())
    ]
    return Shelf(left, right, edges)


def _key(
    part: Candidate,
    alike: Likeness,
    place: int,
    side: str,
    alone: Collection[tuple[str, int]],
    named: Collection[str],
    fits: Fits,
) -> Hashable:
    """What parts of one class have in common; a part that is alone has its own place in it."""
    number = part.part_number_squeezed
    nothing_known = bool(number) and not fits.knows(number) and fits.family_of(number) not in named
    return None if nothing_known else number, alike[1:], bool(part.failed), place if (side, place) in alone else -1


def _failed(left: Side, row: int, right: Side, column: int) -> int:
    return bool(left.one(row).failed) + bool(right.one(column).failed)


def _bound(
    sensors: Sequence[Candidate],
    units: Sequence[Candidate],
    fits: Fits,
    grades: Grades,
    ours: Sequence[Likeness],
    theirs: Sequence[Likeness],
) -> dict[tuple[int, int], Grade]:
    """The pairs (by index) with a higher grade than other parts like them would have."""
    at = {unit.tag: place for place, unit in enumerate(units)}
    known: dict[Hashable, Grade] = {}
    found: dict[tuple[int, int], Grade] = {}
    for place, sensor in enumerate(sensors):
        if sensor.strip_down is None and not sensor.calibration_shown and sensor.setting is None:
            continue
        for tag in sorted(bound_to(sensor) & at.keys()):
            unit = units[at[tag]]
            free = grades.of(ours[place], sensor, theirs[at[tag]], unit)
            if free == "ruled out" and sensor.setting is None:
                continue  # having run together never raises a ruled-out pair
            if sensor.setting is None and not grades.fit(sensor.part_number_squeezed, unit.part_number_squeezed).fits:
                continue  # nor a pair of numbers of which nothing is on record; from here on the numbers fit
            only_ran = sensor.setting is None and not sensor.calibration_shown and unit.strip_down is not None
            mutual = only_ran and unit.strip_down.mate == sensor.tag  # type: ignore[union-attr]
            key = (ours[place][1:], theirs[at[tag]][1:], mutual) if only_ran else (place, tag)
            if key not in known:
                known[key] = ceiling(sensor, unit, fits)
            if GRADES.index(known[key]) < GRADES.index(free):
                found[place, at[tag]] = known[key]
    return found


def _alone(bound: dict[tuple[int, int], Grade]) -> set[tuple[str, int]]:
    """The parts that are classes of their own: with few bound pairs all of them, with many those in several pairs."""
    often = Counter(part for sensor, unit in bound for part in (("s", sensor), ("u", unit)))
    return {part for part, many in often.items() if len(bound) <= FEW or many > 1}


def _side(parts: Sequence[Candidate], keys: Sequence[Hashable]) -> Side:
    import numpy as np

    numbers: dict[Hashable, int] = {}
    of = np.array([numbers.setdefault(key, len(numbers)) for key in keys], dtype=np.int64)
    p = np.array([part.p_serviceable for part in parts], dtype=np.float64)
    log_p = np.rint(np.log(np.maximum(p, _LEAST_P)) * STEPS).astype(np.int64)
    documents = np.array([part.document_count for part in parts], dtype=np.int64)
    order = np.lexsort((np.arange(len(of)), -documents, -log_p, of))
    ends = np.cumsum(np.bincount(of, minlength=len(numbers)))
    return Side(parts, of, np.split(order, ends[:-1]) if numbers else [], p, log_p, documents)


def _free_edges(left: Side, right: Side, fits: Fits, grades: Grades) -> Iterator[tuple[int, int, Grade]]:
    """The grades between classes, without those ruled out; classes with different letters are skipped."""
    units = [right.one(column) for column in range(len(right.members))]
    theirs = [likeness(unit) for unit in units]
    by_family: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for column, unit in enumerate(units):
        by_family[_family(unit, fits)][_letter(reading(unit))].append(column)
    for row in range(len(left.members)):
        sensor = left.one(row)
        ours, letter = likeness(sensor), "" if set_by_specialist(sensor) else _letter(reading(sensor))
        for family in _families_that_may_fit(sensor, by_family, fits):
            letters = by_family.get(family, {})
            wanted = (letter, "") if letter else tuple(letters)
            for column in (column for each in wanted for column in letters.get(each, ())):
                word = grades.of(ours, sensor, theirs[column], units[column])
                if word != "ruled out":
                    yield row, column, word


def _families_that_may_fit(sensor: Candidate, every: Collection[str], fits: Fits) -> tuple[str, ...]:
    """The families of control units that a sensor's number may fit; those without a number always may."""
    number = sensor.part_number_squeezed
    if not number:
        return tuple(every)
    return (*sorted(fits.sensor_class(number)), "") if fits.knows(number) else (_UNKNOWN, "")


def _family(part: Candidate, fits: Fits) -> str:
    """The family of a number, the same for all numbers of which nothing is on record."""
    known = fits.knows(part.part_number_squeezed) or not part.part_number_squeezed
    return fits.family_of(part.part_number_squeezed) if known else _UNKNOWN


def _letter(read: Reading) -> str:
    """A clearly read code; empty for one that does not count."""
    return read.may_be[0] if read.clear else ""
