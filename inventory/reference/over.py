"""What a workshop's own reference data put over the program's, and forgetting what was read before.

The loaders of kinds, procedures and failure modes ask here; `workshop.use` says what is in force. No file is read here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeVar, cast

from inventory.store.text import squeeze

__all__ = [
    "InForce",
    "in_force",
    "over_kinds",
    "over_modes",
    "over_procedures",
    "pin_lists",
    "put",
    "remembered",
    "seals_of",
]

AnyFunction = TypeVar("AnyFunction", bound=Callable[..., Any])

_REMEMBERED: list[Any] = []
_MERGED = ("procedures", "seals", "nicknames")
_LIMITS = ("low", "high", "at", "good", "standing", "source")


@dataclass(frozen=True)
class InForce:
    """A workshop's data: the file they came from (empty: none), its text, what it says."""

    file: str = ""
    text: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)


_LATEST = [InForce()]


def remembered(function: AnyFunction) -> AnyFunction:
    """Remember what a loader gives until other data come into force."""
    kept = lru_cache(maxsize=256)(function)
    _REMEMBERED.append(kept)
    return cast("AnyFunction", kept)


def put(own: InForce) -> None:
    """Put a workshop's checked data in force, for the whole process."""
    _LATEST[0] = own
    for kept in _REMEMBERED:
        kept.cache_clear()


def in_force() -> InForce:
    """The workshop's data in force; empty where there are none."""
    return _LATEST[0]


def over_kinds(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The program's kinds with the workshop's: what it adds to one of them, then kinds of its own before the last."""
    merged = {row["name"]: dict(row) for row in rows}
    new = []
    for own in in_force().data.get("kind", ()):
        if (base := merged.get(own["name"])) is None:
            new.append(dict(own))
            continue
        for name in _MERGED:
            base[name] = list(dict.fromkeys([*base.get(name, ()), *own.get(name, ())]))
    every = list(merged.values())
    return [*every[:-1], *new, every[-1]]


def over_procedures(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The program's procedures with the workshop's limits in the place of theirs, then procedures of its own."""
    own = [{"method": "limits", "cautions": [], **row} for row in in_force().data.get("procedure", ())]
    every = [{**row, "reading": [dict(reading) for reading in row.get("reading", ())]} for row in (*rows, *own)]
    by_name = {row["name"]: row["reading"] for row in every}
    for limit in in_force().data.get("limit", ()):
        _put_over(by_name[limit["procedure"]], limit)
    return every


def over_modes(data: Mapping[str, Any]) -> dict[str, Any]:
    """The program's failure modes with the shares that the workshop has counted."""
    kinds = [dict(row) for row in data["kind"]]
    for own in in_force().data.get("modes", ()):
        row = next(row for row in kinds if row["name"] == own["kind"])
        shares = own.get("share", {})
        row["mode"] = [{**mode, "share": shares.get(mode["name"], mode["share"])} for mode in row["mode"]]
        row["good"] = own.get("good", row["good"])
        row |= {"standing": "workshop judgement", "source": own["source"]}
    return {**data, "kind": kinds}


def pin_lists() -> list[dict[str, Any]]:
    """The pin lists of looms, by number."""
    return list(in_force().data.get("pins", ()))


def seals_of(part_number: str) -> tuple[str, ...] | None:
    """The seals that a part number (squeezed) left the factory with; None where nothing is on file for it."""
    for row in in_force().data.get("seals", ()):
        if squeeze(row["number"]) == part_number:
            return tuple(row["seals"])
    return None


def _put_over(readings: list[dict[str, Any]], limit: Mapping[str, Any]) -> None:
    """A workshop's limit in the place of the one on file, or behind them where it is for one number or new."""
    given = {name: value for name, value in limit.items() if name not in ("procedure", "reading")}
    given |= {"name": limit["reading"], "own": True}
    same = [row for row in readings if row["kind"] == limit["kind"] and row["name"] == limit["reading"]]
    base = next((row for row in same if not row.get("number")), {})
    row = {**{name: value for name, value in base.items() if name not in _LIMITS}, **given}
    if row.get("good"):
        row["words"] = list(dict.fromkeys([*row.get("words", ()), *row["good"]]))
    if not limit.get("number") and base:
        readings[readings.index(base)] = row
    else:
        readings.append(row)
