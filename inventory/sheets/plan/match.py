"""Which part on record each row of the sheet of parts is. Pure.

By its tag; else by maker, part number and serial, as far as row and part both have them; else by the rule for parts
without a serial: the part without one that has the same kind, maker and part number, and the same match code, car,
position and place as far as the row gives them. If there are several, rows and parts that differ in nothing are
matched first, in order; the rest are matched in order if as many rows as parts are left, and refused if not. A row
that matches no part is a new part. A date code identifies nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from inventory.sheets.plan.differences import differences
from inventory.sheets.plan.on_record import Identity, PartState
from inventory.sheets.plan.part_cells import ANOTHER, PartCells
from inventory.sheets.plan.problems import CellProblem
from inventory.store.words.text import fold, squeeze

__all__ = ["Index", "Matched", "by_tag_or_serial", "index_of", "may_be", "resolve", "unnumbered"]

#: How many parts that a row could be are looked for: five are named, one more makes "and more".
_SEVERAL = 6


@dataclass(frozen=True, slots=True)
class Matched:
    """The part that a row is: its key (None: a new part), or why that cannot be said.

    `other`: the tag of another part that had the label of the row before; a sheet kept since then means that one.
    """

    part_id: int | None = None
    problem: CellProblem | None = None
    other: str = ""


_NEW = Matched()


def by_tag_or_serial(rows: Sequence[PartCells], known: Iterable[Identity]) -> list[Matched | None]:
    """The part of each row that has a tag or a serial; None for the others."""
    index = index_of(known)
    return _each_once(rows, [resolve(cells, index) for cells in rows])


@dataclass(frozen=True)
class Index:
    """Parts by tag, and by serial as it is compared, then by part number ("" for parts without one).

    `had`: parts by the label they had before.
    """

    tags: Mapping[str, Identity]
    serials: Mapping[str, Mapping[str, list[Identity]]]
    had: Mapping[str, Identity]

    def with_serial(self, cells: PartCells) -> Iterator[Identity]:
        """The parts with a row's serial that may be it. Thousands may share one, such as "unknown"."""
        by_number = self.serials.get(cells.serial_key)
        if by_number is None:
            return iter(())
        number = cells.number_key
        some = chain(by_number.get(number, ()), by_number.get("", ())) if number else chain(*by_number.values())
        return (each for each in some if may_be(cells, each))


def index_of(known: Iterable[Identity]) -> Index:
    """An index of parts."""
    known = list(known)
    tags: dict[str, Identity] = {}
    serials: dict[str, dict[str, list[Identity]]] = defaultdict(lambda: defaultdict(list))
    for each in known:
        if each.tag:
            tags[each.tag] = each
        if each.serial:
            serials[squeeze(each.serial)][squeeze(each.part_number or "")].append(each)
    return Index(tags, serials, {was: each for each in known for was in each.was})


def resolve(cells: PartCells, index: Index) -> Matched | None:
    """The part that the tag or serial of a row names; None if the row has neither."""
    if cells.tag is None:
        if not cells.serial:
            return None
        if cells.serial_key not in index.serials:
            return _NEW
    elif cells.tag in index.tags:
        part, before = index.tags[cells.tag], index.had.get(cells.tag)
        return Matched(part.id, other=before.tag if before is not None and before.id != part.id else "")
    elif cells.tag in index.had:
        problem = f"label {cells.tag} is on no part now; what was recorded under it is {index.had[cells.tag].tag} today"
        mend = "write that tag; if another part has this label, enter it first: matchmark part add --tag"
        return Matched(problem=CellProblem("tag", cells.tag, problem, mend))
    same = list(islice(index.with_serial(cells), _SEVERAL))
    if cells.tag is not None and same:
        problem = f"label {cells.tag} is on no part, but this serial is on record as {_tags(same)}"
        return Matched(problem=CellProblem("tag", cells.tag, problem, "write that tag, or leave the tag empty"))
    if len(same) > 1:
        problem = f"several parts on record could be this one: {_tags(same)}"
        return Matched(
            problem=CellProblem("serial", cells.serial or "", problem, "write the tag of the one that is meant")
        )
    return Matched(same[0].id) if same else _NEW


def _tags(some: Sequence[Identity]) -> str:
    return ", ".join(each.tag for each in some[:5]) + (" and more" if len(some) > 5 else "")


def may_be(cells: PartCells, part: Identity) -> bool:
    """Whether a row can be a part: maker and part number equal if both have them; without part numbers, the kind."""
    if cells.maker and part.maker and fold(cells.maker) != fold(part.maker):
        return False
    if cells.part_number and part.part_number:
        return cells.number_key == squeeze(part.part_number)
    if cells.kind_word and ("kind" in cells.unread or part.kind == "other"):
        return True  # the kind was not known then, or is not now
    return cells.kind == part.kind or (cells.kind is None and bool(cells.maker and part.maker))


def _each_once(rows: Sequence[PartCells], found: list[Matched | None]) -> list[Matched | None]:
    """Refuse rows that are the same part: which of them is right cannot be known."""
    parts, tags, serials = _Claims(), _Claims(), _Claims()
    for place, match in enumerate(found):
        if match is None or match.problem is not None:
            continue
        if match.part_id is not None:
            parts.claim(match.part_id, place)
            continue
        cells = rows[place]
        if cells.tag is not None:
            tags.claim(cells.tag, place)
        if cells.serial:
            serials.claim(cells.serial_key, place)
    same_serial = (_several(rows, places) for places in serials.several.values())
    for places in chain(parts.several.values(), tags.several.values(), same_serial):
        for place in places:
            found[place] = Matched(problem=_twice(rows[place]))
    return found


class _Claims:
    """Which rows claim to be the same: only claims by more than one row are listed."""

    def __init__(self) -> None:
        self._first: dict[Hashable, int] = {}
        self.several: dict[Hashable, list[int]] = {}

    def claim(self, key: Hashable, place: int) -> None:
        """Note that a row claims a key."""
        first = self._first.setdefault(key, place)
        if first != place:
            self.several.setdefault(key, [first]).append(place)


def _twice(cells: PartCells) -> CellProblem:
    column, value = ("tag", cells.tag) if cells.tag else ("serial", cells.serial)
    return CellProblem(column, value or "", "is the same part in several rows of this file", "keep one of them")


def _several(rows: Sequence[PartCells], places: Sequence[int]) -> list[int]:
    """Of rows that share a serial those that may be the same part as another; compared by sort, not in pairs."""
    sorts: dict[tuple[str, str | None, str], list[int]] = defaultdict(list)
    by_number: dict[str, list[Identity]] = defaultdict(list)
    for place in places:
        cells = rows[place]
        number = cells.number_key
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


def _sort_of(kind: str | None, maker: str | None, number_key: str) -> tuple[str, str, str]:
    """What all parts of one sort have in common."""
    return kind or "", fold(maker or ""), number_key


def unnumbered(rows: Sequence[PartCells], parts: Sequence[PartState]) -> list[Matched]:
    """The part of each row that has neither tag nor serial; `parts` are those on record without a serial, by key."""
    by_sort: dict[tuple[str, str, str], list[PartState]] = defaultdict(list)
    for part in parts:
        by_sort[_sort_of(part.kind, part.maker, squeeze(part.part_number or ""))].append(part)
    groups: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for place, cells in enumerate(rows):
        groups[_sort_of(cells.kind, cells.maker, cells.number_key)].append(place)
    found: dict[int, Matched] = {}
    for sort, places in groups.items():
        free = by_sort.get(sort)
        if free is None:
            found.update(dict.fromkeys(places, _NEW))
        else:
            found.update(_within_sort([(place, rows[place]) for place in places], free))
    return [found[place] for place in range(len(rows))]


def _within_sort(rows: list[tuple[int, PartCells]], parts: list[PartState]) -> dict[int, Matched]:
    free = list(parts)
    found: dict[int, Matched] = {}
    left: dict[tuple[str | None, ...], list[int]] = defaultdict(list)
    for place, cells in rows:
        same = next((part for part in free if _agrees(cells, part) and not differences(cells, part)), None)
        if same is not None:
            free.remove(same)
            found[place] = Matched(same.id)
        elif cells.another or not any(_agrees(cells, part) for part in free):
            found[place] = _NEW
        else:
            left[_identity(cells)].append(place)
    by_place = dict(rows)
    for places in left.values():
        found.update(_in_order([(place, by_place[place]) for place in places], free, len(left) == 1))
    return found


def _in_order(rows: list[tuple[int, PartCells]], free: list[PartState], alone: bool) -> dict[int, Matched]:
    """Match rows that say the same about what they are with the parts that could be them."""
    could_be = [part for part in free if _agrees(rows[0][1], part)]
    if not could_be:
        return {place: _NEW for place, _ in rows}
    if alone and len(could_be) == len(rows):
        return {place: Matched(part.id) for (place, _), part in zip(rows, could_be, strict=True)}
    tags = ", ".join(part.tag or "" for part in could_be[:5])
    problem = f"has neither tag nor serial, and could be {tags}" + (" or others" if len(could_be) > 5 else "")
    hint = f'write the tag of the one that is meant, or "{ANOTHER}" for one that is not on record'
    return {place: Matched(problem=CellProblem("tag", "", problem, hint)) for place, _ in rows}


def _identity(cells: PartCells) -> tuple[str | None, ...]:
    return (cells.match_code[0] if cells.match_code else None, cells.car, cells.position, cells.place)


def _agrees(cells: PartCells, part: PartState) -> bool:
    """Whether a row may be this part: match code and whereabouts are the same as far as the row gives them."""
    code = cells.match_code[0] if cells.match_code else None
    if code is not None and code != part.match_code:
        return False
    pairs = ((cells.car, part.car), (cells.position, part.position), (cells.place, part.place))
    return all(said is None or (on_record is not None and fold(said) == fold(on_record)) for said, on_record in pairs)
