"""Which part numbers fit each other, superseded ones included.

The maker's list or the workshop says in `fits` whether a sensor number fits a control unit number. A number and all
that replaced it or that it replaced, over any number of steps, count as one family. Of several rows about the same two
families the last counts; contradictions are kept and shown. A sensor's class is the set of families that fit it. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from inventory.errors import Refused

__all__ = ["Fit", "FitRow", "Fits", "Supersession"]


class FitRow(NamedTuple):
    """One row of `fits`: two squeezed part numbers, the fact that says so, and whether it says yes or no."""

    sensor_number: str
    unit_number: str
    fact: str = ""
    fits: bool = True


class Supersession(NamedTuple):
    """A squeezed part number, the one that replaced it, and the fact that says so."""

    old: str
    new: str
    fact: str = ""


@dataclass(frozen=True)
class Fit:
    """The answer for two numbers: whether they fit, whether through superseded numbers, and the facts behind it.

    `against` are the contradicting facts; `said` is whether there is any row about the two; `unknown` whether no row
    says of either what it fits, or one of them is empty.
    """

    fits: bool
    by_supersession: bool = False
    facts: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    said: bool = False
    unknown: bool = False

    @property
    def may_fit(self) -> bool:
        """Whether a pair is not ruled out by its numbers."""
        return self.fits or self.unknown


_NOTHING_SAID = Fit(False)
_UNKNOWN = Fit(False, unknown=True)


@dataclass(frozen=True)
class Fits:
    """Which part numbers fit. Make one with `Fits.of`.

    `family` maps a number to the name of its family, `members` maps back; `rows` maps two families to the rows about
    them, the last one last; `replaced` maps a family to the facts of its supersessions; `units` and `sensors` map a
    family to those it fits; `known` holds every family that fits one, by the rows that count; `written`
    maps a squeezed number to its spelling.
    """

    family: Mapping[str, str]
    members: Mapping[str, frozenset[str]]
    rows: Mapping[tuple[str, str], tuple[FitRow, ...]]
    replaced: Mapping[str, tuple[str, ...]]
    units: Mapping[str, frozenset[str]]
    sensors: Mapping[str, frozenset[str]]
    known: frozenset[str]
    written: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        rows: Iterable[tuple[str, str] | FitRow],
        supersessions: Iterable[tuple[str, str] | Supersession],
        written: Mapping[str, str] | None = None,
    ) -> Fits:
        """From `fits` rows, oldest first, and superseded-by pairs, both of squeezed numbers.

        Raises Refused where numbers supersede each other in a circle.
        """
        steps = [Supersession(*step) for step in supersessions]
        _refuse_circle(steps)
        members = _families(steps)
        family = {number: name for name, numbers in members.items() for number in numbers}
        joined: dict[tuple[str, str], tuple[FitRow, ...]] = {}
        for row in (FitRow(*row) for row in rows):
            key = (family.get(row.sensor_number, row.sensor_number), family.get(row.unit_number, row.unit_number))
            joined[key] = (*joined.get(key, ()), row)
        replaced: dict[str, tuple[str, ...]] = {}
        for step in steps:
            name = family[step.old]
            replaced[name] = (*replaced.get(name, ()), *_given(step.fact))
        fitting = [key for key, said in joined.items() if said[-1].fits]
        units, sensors = _joined_to(fitting), _joined_to((unit, sensor) for sensor, unit in fitting)
        known = frozenset((*units, *sensors))
        return cls(family, members, joined, replaced, units, sensors, known, written or {})

    def judge(self, sensor_number: str, unit_number: str) -> Fit:
        """Whether two squeezed numbers fit; of an empty number it is not known."""
        ours, theirs = self.family_of(sensor_number), self.family_of(unit_number)
        rows = self.rows.get((ours, theirs), ())
        if not (sensor_number and unit_number):
            return _UNKNOWN
        if not rows:
            return _NOTHING_SAID if ours in self.known or theirs in self.known else _UNKNOWN
        counts = rows[-1].fits
        agree = [row for row in rows if row.fits == counts]
        against = tuple(fact for row in rows if row.fits != counts for fact in _given(row.fact))
        direct = [row for row in agree if (row.sensor_number, row.unit_number) == (sensor_number, unit_number)]
        if direct:
            return Fit(counts, False, tuple(fact for row in direct for fact in _given(row.fact)), against, said=True)
        chain = (*self.replaced.get(ours, ()), *self.replaced.get(theirs, ()))
        return Fit(counts, True, (*(fact for row in agree for fact in _given(row.fact)), *chain), against, said=True)

    def conflicts(self) -> list[tuple[FitRow, ...]]:
        """The contradicting rows about the same two families."""
        return [rows for rows in self.rows.values() if len({row.fits for row in rows}) > 1]

    def knows(self, number: str) -> bool:
        """Whether a row that counts says what this squeezed number, or one of its family, fits.

        A row that says only what a number does not fit leaves all others open.
        """
        return bool(number) and self.family_of(number) in self.known

    def family_of(self, number: str) -> str:
        """The name of the family of a number: all numbers that replaced each other."""
        return self.family.get(number, number)

    def sensor_class(self, number: str) -> frozenset[str]:
        """The families of control units that fit a sensor of this squeezed number: its class."""
        return self.units.get(self.family_of(number), frozenset()) if number else frozenset()

    def mates_of(self, number: str) -> frozenset[str]:
        """Every squeezed number that fits this one, a sensor's or a control unit's, superseded ones included."""
        family = self.family_of(number)
        joined = self.units.get(family, frozenset()) | self.sensors.get(family, frozenset()) if number else ()
        return frozenset(member for name in joined for member in self.members.get(name, {name}))

    def numbers_wanted(self, number: str) -> tuple[str, ...]:
        """The numbers that fit this squeezed one, as written, in order."""
        return tuple(sorted(self.written.get(mate, mate) for mate in self.mates_of(number)))


def _given(fact: str) -> tuple[str, ...]:
    return (fact,) if fact else ()


def _joined_to(pairs: Iterable[tuple[str, str]]) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    for one, other in pairs:
        found[one] = found.get(one, frozenset()) | {other}
    return found


def _refuse_circle(steps: list[Supersession]) -> None:
    """Refuse numbers that supersede each other in a circle, naming the circle."""
    from graphlib import CycleError, TopologicalSorter

    order: TopologicalSorter[str] = TopologicalSorter()
    for step in steps:
        order.add(step.new, step.old)
    try:
        order.prepare()
    except CycleError as circle:
        raise Refused(
            "superseded-in-a-circle",
            f"these part numbers replace each other in a circle: {', '.join(circle.args[1])}",
            where="superseded-by",
            hint="find out which is the newest, and take back the row that says another one replaced it",
        ) from None


def _families(steps: list[Supersession]) -> dict[str, frozenset[str]]:
    """The families of numbers that replaced each other, each named by its first number in sort order."""
    members: dict[str, set[str]] = {}
    for step in steps:
        joined = members.get(step.old, {step.old}) | members.get(step.new, {step.new})
        members.update(dict.fromkeys(joined, joined))
    return {min(joined): frozenset(joined) for joined in members.values()}
