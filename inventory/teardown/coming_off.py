"""A part as it comes off a car, as somebody says it. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["LOGGED_BESIDE", "ComingOff"]

#: What may be logged beside a removal, in words.
LOGGED_BESIDE = ("bag", "car_side", "route", "bore", "low_spots", "at_port", "moved", "broken")


@dataclass(frozen=True)
class ComingOff:
    """A part as it comes off: its position, axis, fasteners and connections, and its condition.

    `route`: how its hose or loom ran; `bore` and `low_spots` of a hose; `at_port`: fuel or oil seen at the port;
    `moved`: what was moved to get at it; `broken`: stud, hose or clip.
    `as_one_with`: the tag of a part of this strip-down that it came off as one with.
    """

    position: str | None = None
    axis: str | None = None
    fasteners: Sequence[str] = ()
    connections: Sequence[str] = ()
    mounts: Sequence[str] = ()
    bag: str | None = None
    car_side: str | None = None
    route: str | None = None
    bore: str | None = None
    low_spots: str | None = None
    at_port: str | None = None
    moved: str | None = None
    broken: str | None = None
    condition: int | None = None
    damage: str | None = None
    note: str | None = None
    seals: Sequence[tuple[str, str]] = ()
    pictures: Sequence[Path] = ()
    as_one_with: str | None = None
    how_known: str = "seen"
