"""Which part on record a row with a tag or a serial is; what all ways of matching share. Pure.

By its tag; else by maker, part number and serial, as far as row and part both have them. Zeros before a number do not
count, since spreadsheet programs drop them. A word in the place of a serial ("worn off") has no digit and identifies
nothing. A row that matches no part goes by its keeper's own number (`own`), else by all it says (`alike_rows`). A date
code identifies nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice

from inventory.sheets.columns.own_numbers import without_zeros
from inventory.sheets.plan.on_record import Identity
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem
from inventory.store.words.text import fold, squeeze

__all__ = [
    "NEW",
    "Index",
    "Matched",
    "by_tag_or_serial",
    "has_serial",
    "index_of",
    "may_be",
    "number_of",
    "resolve",
    "tags_of",
    "twice_in_file",
]

#: How many parts that a row could be are looked for: five are named, one more makes "and more".
_SEVERAL = 6


@dataclass(frozen=True, slots=True)
class Matched:
    """The part that a row is: its key (None: a new part), or why that cannot be said.

    `other`: the tag of another part that had the label of the row before; a sheet kept since then means that one.
    `asked`: the key of the question that decides it.
    """

    part_id: int | None = None
    problem: CellProblem | None = None
    other: str = ""
    asked: str = ""


#: A row that is no part on record.
NEW = Matched()


def has_serial(cells: PartCells) -> bool:
    """Whether a row has a serial that tells parts apart; a word alone does not."""
    return bool(cells.serial) and any(map(str.isdigit, cells.serial_key))


def number_of(text: str | None) -> str:
    """A part number as parts are told apart by it; "" for none."""
    return without_zeros(squeeze(text)) if text else ""


def by_tag_or_serial(rows: Sequence[PartCells], known: Iterable[Identity]) -> list[Matched | None]:
    """The part of each row that has a tag or a serial; None for the others."""
    index = index_of(known)
    return twice_in_file(rows, [resolve(cells, index) for cells in rows])


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
        number = without_zeros(cells.number_key)
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
            serials[squeeze(each.serial)][number_of(each.part_number)].append(each)
    return Index(tags, serials, {was: each for each in known for was in each.was})


def resolve(cells: PartCells, index: Index) -> Matched | None:
    """The part that the tag or serial of a row names; None if the row has neither."""
    if cells.tag is None:
        if not has_serial(cells):
            return None
        if cells.serial_key not in index.serials:
            return NEW
    elif cells.tag in index.tags:
        part, before = index.tags[cells.tag], index.had.get(cells.tag)
        return Matched(part.id, other=before.tag if before is not None and before.id != part.id else "")
    elif cells.tag in index.had:
        problem = f"label {cells.tag} is on no part now; what was recorded under it is {index.had[cells.tag].tag} today"
        mend = "write that tag; if another part has this label, enter it first: matchmark part add --tag"
        return Matched(problem=CellProblem("tag", cells.tag, problem, mend))
    same = list(islice(index.with_serial(cells), _SEVERAL)) if has_serial(cells) else []
    if cells.tag is not None and same:
        problem = f"label {cells.tag} is on no part, but this serial is on record as {tags_of(same)}"
        return Matched(problem=CellProblem("tag", cells.tag, problem, "write that tag, or leave the tag empty"))
    if len(same) > 1:
        problem = f"several parts on record could be this one: {tags_of(same)}"
        return Matched(
            problem=CellProblem("serial", cells.serial or "", problem, "write the tag of the one that is meant")
        )
    return Matched(same[0].id) if same else NEW


def tags_of(some: Sequence[Identity]) -> str:
    """The tags of some parts, as a sentence names them."""
    return ", ".join(each.tag for each in some[:5]) + (" and more" if len(some) > 5 else "")


def may_be(cells: PartCells, part: Identity) -> bool:
    """Whether a row can be a part: maker and part number equal if both have them; without part numbers, the kind."""
    if cells.maker and part.maker and fold(cells.maker) != fold(part.maker):
        return False
    if cells.part_number and part.part_number:
        return without_zeros(cells.number_key) == number_of(part.part_number)
    if cells.kind_word and ("kind" in cells.unread or part.kind == "other"):
        return True  # the kind was not known then, or is not now
    return cells.kind == part.kind or (cells.kind is None and bool(cells.maker and part.maker))


def twice_in_file(rows: Sequence[PartCells], found: list[Matched | None]) -> list[Matched | None]:
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
        if has_serial(cells):
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
        number = without_zeros(cells.number_key)
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
