"""The positions of a car that a build list makes: one for every cylinder where it says so. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inventory.reference.build_list import BuildList, ListedPosition

__all__ = ["positions_of"]

_TEXTS = ("numbers", "fasteners", "connections", "mounts")


def positions_of(every: BuildList, cylinders: int) -> Iterator[tuple[str, dict[str, Any]]]:
    """The name of each position and the columns of its listing, numbered in order."""
    by_name = {each.name: each for each in every.positions}
    ordinal = 0
    for each in every.positions:
        for number in range(1, cylinders + 1) if each.each_cylinder else (None,):
            ordinal += 1
            columns: dict[str, Any] = {name: getattr(each, name) for name in ("kind", "part_number", "axis", "area")}
            columns |= {name: "; ".join(getattr(each, name)) or None for name in _TEXTS}
            behind = [name for other in each.behind for name in _named(by_name[other], number, cylinders)]
            yield _numbered(each, number), {**columns, "ordinal": ordinal, "behind": "; ".join(behind) or None}


def _named(each: ListedPosition, number: int | None, cylinders: int) -> list[str]:
    """The positions that another one means: of two that every cylinder has, those of the same cylinder."""
    if not each.each_cylinder:
        return [each.name]
    numbers = range(1, cylinders + 1) if number is None else (number,)
    return [_numbered(each, one) for one in numbers]


def _numbered(each: ListedPosition, number: int | None) -> str:
    return each.name if number is None else f"{each.name} {number}"
