"""Which part numbers fit each other, superseded ones included.

Fit is what the maker's list or the workshop says in `fits`, a sensor number against a control unit number. It holds
for current numbers: a number and whatever replaced it, or was replaced by it, count as one. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from inventory.errors import Refused

__all__ = ["Fit", "FitRow", "Fits", "Supersession"]


class FitRow(NamedTuple):
    """One row of `fits`: two squeezed part numbers and the fact that says so."""

    sensor_number: str
    unit_number: str
    fact: str = ""


class Supersession(NamedTuple):
    """A squeezed part number and the one that took its place, and the fact that says so."""

    old: str
    new: str
    fact: str = ""


@dataclass(frozen=True)
class Fit:
    """The answer for two numbers: whether they fit, whether by way of superseded numbers, and the facts it rests on."""

    fits: bool
    by_supersession: bool = False
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Fits:
    """The fit relation. Make one with `Fits.of`; the fields are its workings.

    `family` maps a number to the name of all numbers that replaced each other; `rows` maps two families to the rows
    that join them; `replaced` maps a family to the facts of its supersessions; `known` holds every family in a row.
    """

    family: Mapping[str, str]
    rows: Mapping[tuple[str, str], tuple[FitRow, ...]]
    replaced: Mapping[str, tuple[str, ...]]
    known: frozenset[str]

    @classmethod
    def of(
        cls, rows: Iterable[tuple[str, str] | FitRow], supersessions: Iterable[tuple[str, str] | Supersession]
    ) -> Fits:
        """The relation from `fits` rows and superseded-by pairs, both of squeezed numbers.

        Raises Refused where numbers supersede each other in a circle.
        """
        steps = [Supersession(*step) for step in supersessions]
        _refuse_circle(steps)
        family = _families(steps)
        joined: dict[tuple[str, str], tuple[FitRow, ...]] = {}
        for row in (FitRow(*row) for row in rows):
            key = (family.get(row.sensor_number, row.sensor_number), family.get(row.unit_number, row.unit_number))
            joined[key] = (*joined.get(key, ()), row)
        replaced: dict[str, tuple[str, ...]] = {}
        for step in steps:
            name = family[step.old]
            replaced[name] = (*replaced.get(name, ()), *_given(step.fact))
        return cls(family, joined, replaced, frozenset(number for key in joined for number in key))

    def judge(self, sensor_number: str, unit_number: str) -> Fit:
        """Whether two squeezed numbers fit; an empty number fits nothing."""
        ours, theirs = self._family(sensor_number), self._family(unit_number)
        rows = self.rows.get((ours, theirs), ())
        if not (sensor_number and unit_number and rows):
            return Fit(False)
        direct = [row for row in rows if (row.sensor_number, row.unit_number) == (sensor_number, unit_number)]
        if direct:
            return Fit(True, facts=tuple(fact for row in direct for fact in _given(row.fact)))
        chain = (*self.replaced.get(ours, ()), *self.replaced.get(theirs, ()))
        return Fit(True, True, (*(fact for row in rows for fact in _given(row.fact)), *chain))

    def knows(self, number: str) -> bool:
        """Whether any row of `fits` speaks of this squeezed number or of one it stands or stood for."""
        return bool(number) and self._family(number) in self.known

    def _family(self, number: str) -> str:
        return self.family.get(number, number)


def _given(fact: str) -> tuple[str, ...]:
    return (fact,) if fact else ()


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
            f"these part numbers supersede each other in a circle: {', '.join(circle.args[1])}",
            where="superseded-by",
            hint="one of them is the newest: take back the row that says something replaced it",
        ) from None


def _families(steps: list[Supersession]) -> dict[str, str]:
    """Each number that was replaced or replaced another, with the first in sort order of all it is joined to."""
    members: dict[str, set[str]] = {}
    for step in steps:
        joined = members.get(step.old, {step.old}) | members.get(step.new, {step.new})
        members.update(dict.fromkeys(joined, joined))
    return {number: min(joined) for number, joined in members.items()}
