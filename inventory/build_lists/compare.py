"""What a car's list says beside what is there. Pure; nothing here is written as a fact.

The words: `still on`: nothing came off there yet, in a strip-down that is open. `on`: a part is fitted there. `off`: it
came off and is in the house. `missing`: a strip-down was closed without it, or it left the house. `unknown`: nobody
has logged what is there, or what was logged does not say whether it belongs. `foreign`: its kind or number is none of
those listed; numbers that replaced each other count as one. `failed`: the last test of some procedure that still
counts was failed. `not listed`: a part came off there, and the list says nothing of the place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.store.words.text import squeeze

if TYPE_CHECKING:
    from inventory.cars.queries import PositionView

__all__ = ["Compared", "PartThere", "compare"]


@dataclass(frozen=True)
class PartThere:
    """A part that is on or came off a position. `failed`: the procedures whose last test it failed."""

    tag: str
    kind: str | None
    part_number: str | None
    fitted: bool
    gone: str | None = None
    failed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Compared:
    """A position of a car: what is listed, the parts there, and the words that hold of it, each with its sentence."""

    position_id: int
    position: str
    area: str | None
    kind: str | None
    part_numbers: tuple[str, ...]
    tags: tuple[str, ...]
    states: tuple[str, ...]
    says: tuple[str, ...]


def compare(
    view: PositionView,
    parts: Sequence[PartThere],
    *,
    strip_down: str,
    stays: str = "",
    family: Callable[[str], str] = lambda number: number,
) -> Compared:
    """Compare a position with the parts that are or were there.

    `strip_down`: whether the car's last one is "open" or "closed", "" if there is none. `stays`: why the part stays on
    the car. `family`: one name for all numbers that replaced each other, both squeezed.
    """
    fitted = [part for part in parts if part.fitted]
    there = fitted or [part for part in parts if not part.gone] or list(parts)
    listed = view.kind is not None or bool(_numbers(view))
    found = [_where(parts, fitted, strip_down, stays)]
    if parts and not listed:
        found.append(("not listed", "the list says nothing of this place"))
    for part in there if listed else ():
        found += _belongs(view, part, family)
    found += [("failed", f"{part.tag} failed {', '.join(part.failed)}") for part in there if part.failed]
    return Compared(
        view.id,
        view.name,
        view.area,
        view.kind,
        _numbers(view),
        tuple(part.tag for part in there),
        tuple(dict.fromkeys(word for word, _ in found)),
        tuple(says for _, says in found if says),
    )


def _where(parts: Sequence[PartThere], fitted: Sequence[PartThere], strip_down: str, stays: str) -> tuple[str, str]:
    if fitted:
        return ("still on" if strip_down == "open" else "on"), f"stays on: {stays}" if stays else ""
    if stays:
        return "still on", f"stays on: {stays}"
    if any(not part.gone for part in parts):
        return "off", ""
    if parts:
        return "missing", "; ".join(f"{part.tag} left: {part.gone}" for part in parts)
    if strip_down == "open":
        return "still on", ""
    if strip_down:
        return "missing", "the car was taken apart, and nothing was logged here"
    return "unknown", "nobody has logged what is there"


def _belongs(view: PositionView, part: PartThere, family: Callable[[str], str]) -> list[tuple[str, str]]:
    """Whether a part is what the list says: foreign, not known, or nothing to say."""
    numbers = _numbers(view)
    if view.kind and part.kind and view.kind != part.kind:
        return [("foreign", f"{part.tag} is a {part.kind}")]
    if numbers and part.part_number:
        if family(squeeze(part.part_number)) in {family(squeeze(number)) for number in numbers}:
            return []
        return [("foreign", f"the number of {part.tag}, {part.part_number}, is none of: {', '.join(numbers)}")]
    if part.kind is None or numbers:
        return [("unknown", f"the {'number' if part.kind else 'kind'} of {part.tag} was not read")]
    return []


def _numbers(view: PositionView) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*((view.part_number,) if view.part_number else ()), *view.numbers)))
