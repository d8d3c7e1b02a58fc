"""Which part on record each row of the sheet of parts is. Pure.

By its tag; else by maker, part number and serial, as far as row and part both give them; else by the rule for
parts without a serial: the part without one that has the same kind, maker and part number, and the same match
code, car, position and place as far as the row gives them. Of several such, those that differ in nothing go
together first, in order; what is left goes together in order where as many rows as parts are left, and is
refused where not. A row that no part answers to is a new part. A date code identifies nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from inventory.sheets.differences import differences
from inventory.sheets.part_cells import ANOTHER, PartCells
from inventory.sheets.problems import CellProblem
from inventory.sheets.queries import Identity, PartState
from inventory.store.text import fold, squeeze

__all__ = ["Index", "Matched", "by_tag_or_serial", "index_of", "may_be", "resolve", "unnumbered"]


#: So many parts that a row could be are looked for: some are named, the others are "and more".
_SEVERAL = 6


@dataclass(frozen=True, slots=True)
class Matched:
    """The part a row is: its key (None: a new part), or why that cannot be said."""

    part_id: int | None = None
    problem: CellProblem | None = None


def by_tag_or_serial(rows: Sequence[PartCells], known: Iterable[Identity]) -> list[Matched | None]:
    """The part of each row that has a tag or a serial; None for the others."""
    index = index_of(known)
    return _each_once(rows, [resolve(cells, index) for cells in rows])


@dataclass(frozen=True)
class Index:
    """Parts by tag; by serial as it is compared, and then by part number ("" for those without)."""

    tags: Mapping[str, Identity]
    serials: Mapping[str, Mapping[str, list[Identity]]]

    def with_serial(self, cells: PartCells) -> Iterator[Identity]:
        """The parts with a row's serial that may be it. Thousands may share one, as "unknown"."""
        by_number = self.serials.get(squeeze(cells.serial or ""), {})
        number = squeeze(cells.part_number or "")
        some = chain(by_number.get(number, ()), by_number.get("", ())) if number else chain(*by_number.values())
        return (each for each in some if may_be(cells, each))


def index_of(known: Iterable[Identity]) -> Index:
    """Parts, so that rows can look them up."""
    tags: dict[str, Identity] = {}
    serials: dict[str, dict[str, list[Identity]]] = defaultdict(lambda: defaultdict(list))
    for each in known:
        if each.tag:
            tags[each.tag] = each
        if each.serial:
            serials[squeeze(each.serial)][squeeze(each.part_number or "")].append(each)
    return Index(tags, serials)


def resolve(cells: PartCells, index: Index) -> Matched | None:
    """The part that a row's tag or serial names; None where it has neither."""
    if cells.tag is None and not cells.serial:
        return None
    if cells.tag is not None and cells.tag in index.tags:
        return Matched(index.tags[cells.tag].id)
    same = list(islice(index.with_serial(cells), _SEVERAL))
    if cells.tag is not None and same:
        said = f"label {cells.tag} is on no part, but this serial is on record as {_tags(same)}"
        return Matched(problem=CellProblem("tag", cells.tag, said, "write that tag, or leave the tag empty"))
    if len(same) > 1:
        said = f"several parts on record could be this one: {_tags(same)}"
        return Matched(
            problem=CellProblem("serial", cells.serial or "", said, "write the tag of the one that is meant")
        )
    return Matched(same[0].id if same else None)


def _tags(some: Sequence[Identity]) -> str:
    return ", ".join(each.tag for each in some[:5]) + (" and more" if len(some) > 5 else "")


def may_be(cells: PartCells, part: Identity) -> bool:
    """Whether a row can be a part: maker and number equal where both give them; without numbers, the kind."""
    if cells.maker and part.maker and fold(cells.maker) != fold(part.maker):
        return False
    if cells.part_number and part.part_number:
        return squeeze(cells.part_number) == squeeze(part.part_number)
    return cells.kind == part.kind or (cells.kind is None and bool(cells.maker and part.maker))


def _each_once(rows: Sequence[PartCells], found: list[Matched | None]) -> list[Matched | None]:
    """Refuse rows that are one and the same part: which of them is right cannot be known."""
    claims: dict[tuple[str, object], list[int]] = defaultdict(list)
    for place, (cells, match) in enumerate(zip(rows, found, strict=True)):
        if match is None or match.problem is not None:
            continue
        if match.part_id is not None:
            claims["part", match.part_id].append(place)
            continue
        if cells.tag is not None:
            claims["tag", cells.tag].append(place)
        if cells.serial:
            claims["serial", squeeze(cells.serial)].append(place)
    for (claim, _), places in claims.items():
        if len(places) > 1:
            for place in _several(rows, places) if claim == "serial" else places:
                found[place] = Matched(problem=_twice(rows[place]))
    return found


def _twice(cells: PartCells) -> CellProblem:
    column, value = ("tag", cells.tag) if cells.tag else ("serial", cells.serial)
    return CellProblem(column, value or "", "stands in several rows of this file as the same part", "keep one of them")


def _several(rows: Sequence[PartCells], places: Sequence[int]) -> list[int]:
    """Of rows that share a serial those that may be the same part as another: looked at by sort, not row by row."""
    sorts: dict[tuple[str, str | None, str], list[int]] = defaultdict(list)
    by_number: dict[str, list[Identity]] = defaultdict(list)
    for place in places:
        cells = rows[place]
        number = squeeze(cells.part_number or "")
        sort = number, cells.kind, fold(cells.maker or "")
        if sort not in sorts:
            by_number[number].append(Identity(place, "", cells.kind, cells.maker, cells.part_number, cells.serial))
        sorts[sort].append(place)
    twice: list[int] = []
    for (number, _, _), same in sorts.items():
        first = same[0]
        others = chain(by_number[number], by_number.get("", ())) if number else chain(*by_number.values())
        if len(same) > 1 or any(each.id != first and may_be(rows[first], each) for each in others):
            twice += same
    return twice


def base_of(kind: str | None, maker: str | None, part_number: str | None) -> tuple[str, str, str]:
    """What all parts of one sort have in common."""
    return kind or "", fold(maker or ""), squeeze(part_number or "")


def unnumbered(rows: Sequence[PartCells], parts: Sequence[PartState]) -> list[Matched]:
    """The part of each row that has neither tag nor serial; `parts` are those on record without a serial, by key."""
    by_base: dict[tuple[str, str, str], list[PartState]] = defaultdict(list)
    for part in parts:
        by_base[base_of(part.kind, part.maker, part.part_number)].append(part)
    groups: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for place, cells in enumerate(rows):
        groups[base_of(cells.kind, cells.maker, cells.part_number)].append(place)
    found: dict[int, Matched] = {}
    for base, places in groups.items():
        found.update(_within_base([(place, rows[place]) for place in places], by_base.get(base, [])))
    return [found[place] for place in range(len(rows))]


def _within_base(rows: list[tuple[int, PartCells]], parts: list[PartState]) -> dict[int, Matched]:
    free = list(parts)
    found: dict[int, Matched] = {}
    left: dict[tuple[str | None, ...], list[int]] = defaultdict(list)
    for place, cells in rows:
        same = next((part for part in free if _agrees(cells, part) and not differences(cells, part)), None)
        if same is not None:
            free.remove(same)
            found[place] = Matched(same.id)
        elif cells.another or not any(_agrees(cells, part) for part in free):
            found[place] = Matched(None)
        else:
            left[_identity(cells)].append(place)
    by_place = dict(rows)
    for places in left.values():
        found.update(_in_order([(place, by_place[place]) for place in places], free, len(left) == 1))
    return found


def _in_order(rows: list[tuple[int, PartCells]], free: list[PartState], alone: bool) -> dict[int, Matched]:
    """Rows that say the same of what they are, with the parts that could be them."""
    could_be = [part for part in free if _agrees(rows[0][1], part)]
    if not could_be:
        return {place: Matched(None) for place, _ in rows}
    if alone and len(could_be) == len(rows):
        return {place: Matched(part.id) for (place, _), part in zip(rows, could_be, strict=True)}
    tags = ", ".join(part.tag or "" for part in could_be[:5])
    said = f"has neither tag nor serial, and could be {tags}" + (" or others" if len(could_be) > 5 else "")
    hint = f'write the tag of the one that is meant, or "{ANOTHER}" for one that is not on record'
    return {place: Matched(problem=CellProblem("tag", "", said, hint)) for place, _ in rows}


def _identity(cells: PartCells) -> tuple[str | None, ...]:
    return (cells.match_code[0] if cells.match_code else None, cells.car, cells.position, cells.place)


def _agrees(cells: PartCells, part: PartState) -> bool:
    """Whether a row may be this part: code and whereabouts are the same as far as the row gives them."""
    code = cells.match_code[0] if cells.match_code else None
    if code is not None and code != part.match_code:
        return False
    pairs = ((cells.car, part.car), (cells.position, part.position), (cells.place, part.place))
    return all(said is None or (on_record is not None and fold(said) == fold(on_record)) for said, on_record in pairs)
