"""What is on record about a car that is, or was, taken apart, as the plan takes it. Pure: rows come in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

__all__ = ["Apart", "PartNow", "Picture"]

_OUT = frozenset({"sent out", "lent out"})


@dataclass(frozen=True)
class PartNow:
    """A part as it is now: on this car (`here`) or not, fitted or not, and where it lies. `car` and `place` are names.

    `as_one`: the tags of those that came off as one with it and were not parted.
    """

    id: int
    tag: str
    kind: str | None
    maker: str | None
    part_number: str | None
    here: bool
    fitted: bool
    position_id: int | None
    car: str | None
    place: str | None
    whose: str
    gone: str | None
    serial: str | None = None
    match_code: str | None = None
    marks: str | None = None
    as_one: tuple[str, ...] = ()

    @property
    def told_by(self) -> tuple[str, ...]:
        """What it is told by: serial, letter, other marks."""
        serial, code = self.serial and f"serial {self.serial}", self.match_code and f"code {self.match_code}"
        return tuple(filter(None, (serial, code, self.marks)))

    @property
    def words(self) -> str:
        """Kind, maker and number."""
        return " ".join(word for word in (self.kind, self.maker, self.part_number) if word)

    @property
    def away(self) -> str:
        """Why it is not here to be fitted; "" if it is."""
        said = self.gone or (self.whose if self.whose in _OUT else "")
        return f"{self.tag} is recorded as {said}" if said else ""


class Picture(NamedTuple):
    """A picture on record: the day it shows, its file name, its digest."""

    day: str
    name: str
    digest: str


@dataclass(frozen=True)
class Apart:
    """What is on record about a car that is, or was, taken apart.

    `positions`: names by key, in the order of the list; `listed`: the latest listing of each. `removals` in the order
    of coming off, `fittings` oldest first. `parts`: all that they name or that are on the car, by key. `stays`: why
    something stays on. `strip_down`: the key of the last one. `pictures`: by part or position. `assigned`: which part
    is to go on, by position; `elsewhere`: where on another car, by part. `works`, `car_sides` (labels on what stayed
    on the car), `notes`: facts by part. `settings`: adjusters of the car as found, by name. `altered`: by position.
    """

    positions: Mapping[int, str]
    listed: Mapping[int, Any]
    removals: Sequence[Any]
    fittings: Sequence[Any]
    parts: Mapping[int, PartNow]
    strip_down: int | None = None
    stays: Mapping[int, str] = field(default_factory=dict)
    pictures: Mapping[int, Sequence[Picture]] = field(default_factory=dict)
    assigned: Mapping[int, Any] = field(default_factory=dict)
    elsewhere: Mapping[int, str] = field(default_factory=dict)
    works: Mapping[int, Sequence[Any]] = field(default_factory=dict)
    settings: Sequence[tuple[str, str]] = ()
    altered: Mapping[int | None, Sequence[str]] = field(default_factory=dict)
    car_sides: Mapping[int, Sequence[Any]] = field(default_factory=dict)
    notes: Mapping[int, Sequence[Any]] = field(default_factory=dict)

    def name(self, position_id: int | None) -> str:
        """The name of a position."""
        return self.positions.get(position_id or 0, "no position noted")

    def goes_elsewhere(self, part_id: int, position_id: int | None) -> str:
        """The other position at which a part is to go on; "" if there is none."""
        key = self._assigned_to.get(part_id, position_id)
        return self.name(key) if key != position_id else self.elsewhere.get(part_id, "")

    @cached_property
    def last_fitting_of(self) -> dict[int, Any]:
        """The last fitting of each part."""
        return {each.thing_id: each for each in self.fittings}

    @cached_property
    def fittings_at(self) -> dict[int | None, list[Any]]:
        """The fittings at each position, oldest first."""
        found = defaultdict(list)
        for each in self.fittings:
            found[each.position_id].append(each)
        return dict(found)

    @cached_property
    def _assigned_to(self) -> dict[int, int]:
        """The position of each part that is assigned to one: a part has one place."""
        return {each.thing_id: key for key, each in self.assigned.items()}
