"""Which part on record a row is by the number that its keeper gave it. Pure.

Number 14 of one list is not number 14 of another: the header must be the same, and kind, maker, part number and serial
must not speak against it. If most numbers of a sheet do, it is another keeper's list under the same header.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from inventory.sheets.columns.catalogue import header_key
from inventory.sheets.columns.own_numbers import number_key, same_but_zeros
from inventory.sheets.plan.match import Matched, has_serial, number_of, tags_of
from inventory.sheets.plan.on_record import Identity
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem
from inventory.store.words.text import fold, squeeze

__all__ = ["by_own_number"]

_HINT = 'write the tag of the part that is meant, or "new" under the header tag for one that is not on record'


@dataclass
class _Of:
    """What the number of a row leads to: the parts that it may be, and those that speak against it."""

    may_be: list[Identity] = field(default_factory=list)
    against: list[Identity] = field(default_factory=list)


def by_own_number(
    rows: Sequence[PartCells], found: Sequence[Matched | None], numbered: Iterable[tuple[str, str | None, Identity]]
) -> tuple[dict[int, Matched], str]:
    """The part of rows that have a keeper's number, by place, and a remark; `found`: by tag and serial.

    Rows whose number says nothing clear are left out.
    """
    known: dict[tuple[str, str], list[Identity]] = defaultdict(list)
    for number, header, part in numbered:
        known[number_key(number), header_key(header or "")].append(part)
    leads: dict[int, _Of] = {}
    same: dict[tuple[int, ...], int] = defaultdict(int)
    for place, cells in enumerate(rows):
        if cells.own_number is None or cells.another:
            continue
        of = _Of()
        for part in known.get((number_key(cells.own_number), header_key(cells.given_in or "")), ()):
            (of.against if _against(cells, part) else of.may_be).append(part)
        if of.may_be or of.against:
            leads[place] = of
            same[tuple(part.id for part in of.may_be)] += 1
    wrong = sum(1 for of in leads.values() if not of.may_be)
    if wrong * 2 > len(leads):
        header = next(rows[place].given_in for place in leads)
        says = f'most numbers under "{header}" are other parts on record: taken for the numbers of another list'
        return {}, says
    matched: dict[int, Matched] = {}
    for place, of in leads.items():
        clear = len(of.may_be) == 1 and same[of.may_be[0].id,] == 1
        match = _settled(rows[place], found[place], of, clear=clear)
        if match is not None:
            matched[place] = match
    return matched, ""


def _settled(cells: PartCells, before: Matched | None, of: _Of, *, clear: bool) -> Matched | None:
    """What a number adds to what tag and serial say."""
    if before is not None and before.problem is not None:
        return None
    if before is not None and before.part_id is not None:
        others = [part for part in of.may_be if part.id != before.part_id]
        if others and len(others) == len(of.may_be):
            return Matched(problem=_contradicted(cells, others, "while its tag or serial is another part's"))
        return None
    if clear:
        return Matched(of.may_be[0].id)
    if not of.may_be:
        return Matched(problem=_contradicted(cells, of.against, "which is another kind, number or serial"))
    if len(of.may_be) > 1 and has_serial(cells):
        return Matched(problem=_contradicted(cells, of.may_be, "so it does not say which"))
    return None


def _contradicted(cells: PartCells, parts: Sequence[Identity], why: str) -> CellProblem:
    number = cells.own_number or ""
    problem = f"{cells.given_in or 'own number'} {number} is {tags_of(parts)} on record, {why}"
    return CellProblem("own number", number, problem, _HINT)


def _against(cells: PartCells, part: Identity) -> bool:
    """Whether what a row says of kind, maker, part number or serial is not so of a part."""
    both = has_serial(cells) and part.serial and any(map(str.isdigit, part.serial))
    if both and cells.serial_key != squeeze(part.serial or ""):
        return not same_but_zeros(cells.serial, part.serial)
    unsure = cells.kind_word and ("kind" in cells.unread or part.kind == "other")
    pairs = (
        (None if unsure else cells.kind, part.kind),
        (cells.maker and fold(cells.maker), part.maker and fold(part.maker)),
        (number_of(cells.part_number), number_of(part.part_number)),
    )
    return any(said and known and said != known for said, known in pairs)
