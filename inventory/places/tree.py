"""Places lie within places: their order as one walks along them, and the premises they are in. Pure."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol, TypeVar

__all__ = ["InTree", "PlacePremises", "Said", "above", "below", "premises_by_place", "walked"]


class InTree(Protocol):
    """A place as the tree needs it."""

    @property
    def id(self) -> int:
        """Its key."""
        ...

    @property
    def name(self) -> str:
        """Its name."""
        ...

    @property
    def within_id(self) -> int | None:
        """The key of the place it lies in."""
        ...


AnyPlace = TypeVar("AnyPlace", bound=InTree)


@dataclass(frozen=True)
class Said:
    """What is said of one place itself."""

    within_id: int | None = None
    premises: str | None = None
    town: str | None = None
    security: str | None = None


@dataclass(frozen=True)
class PlacePremises:
    """The premises that a place is in: their name, town and security, each None if nothing is said of it."""

    name: str | None = None
    town: str | None = None
    security: str | None = None


def above(within: Mapping[int, int | None], key: int) -> Iterator[int]:
    """A place, the one it lies in, and so on outwards. A circle on record ends the walk."""
    seen: set[int] = set()
    at: int | None = key
    while at is not None and at not in seen:
        seen.add(at)
        yield at
        at = within.get(at)


def below(within: Mapping[int, int | None], key: int) -> set[int]:
    """A place and all that lie in it, at any depth."""
    return {each for each in within if key in above(within, each)} | {key}


def premises_by_place(said: Mapping[int, Said]) -> dict[int, PlacePremises]:
    """The premises of each place: its own, or those of the nearest place above it that states any.

    Town and security are those nearest above too, but never from beyond the premises: a lock-up in a yard has not the
    yard's alarm.
    """
    within = {key: each.within_id for key, each in said.items()}
    found = {}
    for key in said:
        name = town = security = None
        for at in above(within, key):
            each = said.get(at, Said())
            town, security = town or each.town, security or each.security
            if each.premises:
                name = each.premises
                break
        found[key] = PlacePremises(name, town, security)
    return found


def walked(places: Iterable[AnyPlace]) -> list[tuple[int, AnyPlace]]:
    """All places in the order of a walk, each once, with its depth: outer before inner, "shelf 2" before "shelf 10"."""
    every = {place.id: place for place in places}
    inner: dict[int | None, list[AnyPlace]] = defaultdict(list)
    for place in sorted(every.values(), key=lambda each: _by_number(each.name)):
        inner[place.within_id if place.within_id in every else None].append(place)
    found: dict[int, tuple[int, AnyPlace]] = {}

    def walk(place: AnyPlace, depth: int) -> None:
        if place.id not in found:
            found[place.id] = depth, place
            for each in inner[place.id]:
                walk(each, depth + 1)

    for place in [*inner[None], *every.values()]:  # the second: what a circle on record holds
        walk(place, 0)
    return list(found.values())


def _by_number(name: str) -> list[tuple[bool, int, str]]:
    """A name so that numbers in it sort as numbers."""
    parts = filter(None, re.split(r"(\d+)", name.casefold()))
    return [(part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts]
