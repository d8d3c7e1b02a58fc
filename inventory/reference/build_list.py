"""Build lists: what belongs on a sort of car, as sets to use for any car. Shipped ones, and a workshop's own."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from inventory.reasons import Standing
from inventory.store.words.names import one_of

__all__ = ["AXES", "SAID", "BuildList", "ListedPosition", "axis_meant", "build_lists_with"]

#: The ways a part's moving element can travel, seen from the car.
AXES = ("across", "along", "upright")
#: The same as the trade says them.
SAID = {"across": "sideways", "along": "fore-and-aft", "upright": "upright"}


@dataclass(frozen=True)
class ListedPosition:
    """What belongs at one position. `each_cylinder`: one position for every cylinder, numbered behind its name."""

    name: str
    kind: str
    part_number: str | None = None
    numbers: tuple[str, ...] = ()
    axis: str | None = None
    fasteners: tuple[str, ...] = ()
    connections: tuple[str, ...] = ()
    mounts: tuple[str, ...] = ()
    area: str | None = None
    behind: tuple[str, ...] = ()
    each_cylinder: bool = False


def axis_meant(typed: str | None) -> str | None:
    """The axis that is meant by one of `AXES` or by the trade's word for it. Raises `Refused` for any other word."""
    word = (typed or "").strip().casefold()
    axis = next((each for each, said in SAID.items() if word == said), word) or None
    one_of("axis", axis, AXES)
    return axis


@dataclass(frozen=True)
class BuildList:
    """A set of positions, with its standing and source."""

    name: str
    positions: tuple[ListedPosition, ...]
    standing: Standing
    source: str

    @property
    def says(self) -> str:
        """Its name and where it comes from, as it is written with what it lists."""
        return f'list "{self.name}": {self.standing}, {self.source}'

    @property
    def by_cylinder(self) -> bool:
        """Whether one must say how many cylinders the car has."""
        return any(each.each_cylinder for each in self.positions)


def build_lists_with(own: Mapping[str, Any]) -> tuple[BuildList, ...]:
    """The shipped lists and a workshop's own, which replace shipped ones of the same name."""
    found = {each.name: each for each in _shipped()}
    found |= {each.name: each for each in _lists(own)}
    return tuple(found.values())


@lru_cache(maxsize=1)
def _shipped() -> tuple[BuildList, ...]:
    folder = files("inventory.reference") / "build_lists"
    every = sorted((each for each in folder.iterdir() if each.name.endswith(".toml")), key=lambda each: each.name)
    return tuple(found for each in every for found in _lists(tomllib.loads(each.read_text(encoding="utf-8"))))


def _lists(data: Mapping[str, Any]) -> Iterator[BuildList]:
    for row in data.get("build_list", ()):
        positions = tuple(_position(each) for each in row["position"])
        yield BuildList(row["name"], positions, row.get("standing", "workshop judgement"), row["source"])


def _position(row: Mapping[str, Any]) -> ListedPosition:
    values: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in row.items()}
    return ListedPosition(**values)
