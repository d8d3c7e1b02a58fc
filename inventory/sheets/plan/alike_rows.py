"""Which part on record a row without tag, serial and own number is: by all that it says. Pure.

Parts of the same kind, maker and part number are one sort. Within it a row is, in this order: the part that it differs
from in nothing; a part of the last version of its sheet that it differs from in nothing but the place, if as many rows
as parts say the same (it was moved); the only part at its place; the only part left of that version, if what differs
may change with time. Where several could be it, it is asked, once for all of them. Anything else is a new part.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from inventory.sheets.columns.cells import same_amount
from inventory.sheets.columns.own_numbers import number_key
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.plan.differences import differences
from inventory.sheets.plan.match import NEW, Matched, number_of
from inventory.sheets.plan.on_record import PartState
from inventory.sheets.plan.part_cells import ANOTHER, PartCells
from inventory.sheets.plan.problems import CellProblem
from inventory.store.words.text import fold

__all__ = ["Told", "alike_rows"]

#: What may differ in next month's version of a row about the same part.
_CHANGING = frozenset(
    {"place", "condition", "seal state", "value", "notes", "seen by", "seen on", "own number", "serial state", "left"}
)
_SAME = "same"


@dataclass
class Told:
    """What is known beside the rows: the parts of the last version of their sheet, the answers, and what is asked.

    `asked`: by the key of a question the question and the places of its rows.
    """

    listed: Collection[int] = frozenset()
    said: Mapping[str, str] = field(default_factory=dict)
    asked: dict[str, tuple[SheetQuestion, list[int]]] = field(default_factory=dict)


def _sort_of(kind: str | None, maker: str | None, number: str) -> tuple[str, str, str]:
    """What all parts of one sort have in common."""
    return kind or "", fold(maker or ""), number


def alike_rows(rows: Sequence[PartCells], parts: Sequence[PartState], told: Told) -> list[Matched]:
    """The part of each row that is known by nothing else; `parts` are those on record without a serial, by key."""
    by_sort: dict[tuple[str, str, str], list[PartState]] = defaultdict(list)
    for part in parts:
        by_sort[_sort_of(part.kind, part.maker, number_of(part.part_number))].append(part)
    groups: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    for place, cells in enumerate(rows):
        groups[_sort_of(cells.kind, cells.maker, number_of(cells.part_number))].append(place)
    found: dict[int, Matched] = {}
    for sort, places in groups.items():
        free = by_sort.get(sort)
        if free is None:
            found.update(dict.fromkeys(places, NEW))
        else:
            found.update(_Sort({place: rows[place] for place in places}, free, told).matched())
    return [found[place] for place in range(len(rows))]


class _Sort:
    """The rows and parts of one sort, until each row is matched."""

    def __init__(self, rows: Mapping[int, PartCells], parts: Sequence[PartState], told: Told) -> None:
        self.rows, self.free, self.told = rows, list(parts), told
        self.found: dict[int, Matched] = {}

    def matched(self) -> dict[int, Matched]:
        """The part of each row."""
        self._equal()
        self._moved()
        self._at_their_place()
        self._left_over()
        return self.found

    def _left(self) -> dict[int, PartCells]:
        return {place: cells for place, cells in self.rows.items() if place not in self.found}

    def _take(self, places: Iterable[int], parts: Iterable[PartState]) -> None:
        for place, part in zip(places, list(parts), strict=False):
            self.free = [each for each in self.free if each is not part]  # to compare parts in full takes long
            self.found[place] = Matched(part.id)

    def _equal(self) -> None:
        """Rows and parts that differ in nothing, in order."""
        for place, cells in self.rows.items():
            same = next((part for part in self.free if _agrees(cells, part) and not differences(cells, part)), None)
            if same is not None:
                self._take([place], [same])
            elif cells.another:
                self.found[place] = NEW

    def _moved(self) -> None:
        """Rows that differ from parts in nothing but the place, where as many rows as parts say the same."""
        same: dict[tuple[int, ...], list[int]] = defaultdict(list)
        listed = [part for part in self.free if part.id in self.told.listed]
        by_key = {part.id: part for part in listed}
        for place, cells in self._left().items() if listed else ():
            keys = tuple(part.id or 0 for part in listed if _moved_only(cells, part))
            if keys:
                same[keys].append(place)
        for keys, places in same.items():
            free = {part.id for part in self.free}
            parts = [by_key[key] for key in keys if key in free]
            if len(parts) == len(places):
                self._take(places, parts)

    def _at_their_place(self) -> None:
        """Rows that differ in more from the parts at their place: in order, if as many as parts are left there."""
        groups: dict[tuple[str | None, ...], list[int]] = defaultdict(list)
        for place, cells in self._left().items():
            if any(_agrees(cells, part) for part in self.free):
                groups[_whereabouts(cells)].append(place)
        for places in groups.values():
            could_be = [part for part in self.free if _agrees(self.rows[places[0]], part)]
            if len(groups) == 1 and len(could_be) == len(places):
                self._take(places, could_be)
            elif could_be:
                self._ask(places, could_be, "tag", "has neither tag nor serial, and could be")

    def _left_over(self) -> None:
        """Rows that agree with no part at its place: the only part left that they may be, or asked, or new."""
        doubtful = {place for place, match in self.found.items() if match.problem is not None}
        places = list(self._left())
        could_be = [
            part
            for part in self.free
            if part.id in self.told.listed
            and any(_agrees(self.rows[place], part, but_place=True) for place in places)
            and not any(_agrees(self.rows[place], part) for place in doubtful)
        ]
        open_rows = [
            place for place in places if any(_agrees(self.rows[place], each, but_place=True) for each in could_be)
        ]
        self.found |= dict.fromkeys(set(places) - set(open_rows), NEW)
        if not open_rows:
            return
        if len(open_rows) == len(could_be) == 1 and _changed_with_time(self.rows[open_rows[0]], could_be[0]):
            self._take(open_rows, could_be)
            return
        self._ask(open_rows, could_be, "place", "is of no part at its place, and could be")

    def _ask(self, places: Sequence[int], could_be: Sequence[PartState], column: str, why: str) -> None:
        """Do what somebody answered; without an answer the rows are refused."""
        question = _question(could_be, self.rows[places[0]])
        self.told.asked.setdefault(question.key, (question, []))[1].extend(places)
        match self.told.said.get(question.key):
            case "same":
                self._take(places, could_be)
                self.found |= {place: NEW for place in places if place not in self.found}
            case "another":
                self.found |= dict.fromkeys(places, NEW)
            case _:
                tags = ", ".join(part.tag or "" for part in could_be[:5])
                says = f"{why} {tags}" + (" or others" if len(could_be) > 5 else "")
                hint = f'write its tag, or "{ANOTHER}" as its tag; for all such rows: --answer "{question.key}=another"'
                value = (self.rows[places[0]].place or "") if column == "place" else ""
                problem = CellProblem(column, value, says, hint)
                self.found |= dict.fromkeys(places, Matched(problem=problem, asked=question.key))


def _question(could_be: Sequence[PartState], cells: PartCells) -> SheetQuestion:
    """Whether rows are parts on record. Its key names the parts, so it is never about others."""
    tags = [part.tag or "" for part in could_be]
    named = ", ".join(tags[:3]) + (f" and {len(tags) - 3} more" if tags[3:] else "")
    what = " ".join(filter(None, (cells.kind, cells.maker, cells.part_number)))
    choices = (Choice("same", "the same, in the order of the rows"), Choice("another", "new parts"))
    key = key_of(_SAME, " ".join(tags[:3]), *([str(len(tags))] if tags[3:] else []))
    return SheetQuestion(key, f"{what}: is it {named} on record, or another", choices)


def _moved_only(cells: PartCells, part: PartState) -> bool:
    if cells.value is not None and not any(same_amount(each.amount, cells.value[0]) for each in part.values):
        return False  # what most often differs; all of it takes longer to compare
    return _agrees(cells, part, but_place=True) and {each.column for each in differences(cells, part)} <= {"place"}


def _changed_with_time(cells: PartCells, part: PartState) -> bool:
    return {each.column.removesuffix(" as text") for each in differences(cells, part)} <= _CHANGING


def _whereabouts(cells: PartCells) -> tuple[str | None, ...]:
    return (cells.match_code[0] if cells.match_code else None, cells.car, cells.position, cells.place)


def _agrees(cells: PartCells, part: PartState, *, but_place: bool = False) -> bool:
    """Whether a row may be this part: match code, own number and whereabouts are the same as far as the row gives them.

    `but_place`: wherever it lies.
    """
    code = cells.match_code[0] if cells.match_code else None
    if code is not None and code != part.match_code:
        return False
    if cells.own_number is not None and not _own_number_agrees(cells, part):
        return False
    pairs = [(cells.car, part.car or _kept(part, "car"))]
    pairs.append((cells.position, part.position or _kept(part, "position")))
    if not but_place:
        pairs.append((cells.place, part.place))
    return all(said is None or (on_record is not None and fold(said) == fold(on_record)) for said, on_record in pairs)


def _kept(part: PartState, column: str) -> str | None:
    """The text of a cell of a part that could not be read when it came; a car may have been added since."""
    return next((text for (_, about), (_, text) in part.unread.items() if about == column), None)


def _own_number_agrees(cells: PartCells, part: PartState) -> bool:
    """Whether a part has the number of a row, or none under that header."""
    header = fold(cells.given_in or "")
    numbers = [number_key(number) for number, given_in in part.own_numbers if fold(given_in or "") == header]
    return not numbers or number_key(cells.own_number or "") in numbers
