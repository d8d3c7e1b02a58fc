"""Planning the sheet of parts: each row read, matched with a part, compared with the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from sqlalchemy.orm import Session

from inventory.cars.queries import cars
from inventory.sheets.differences import against, differences
from inventory.sheets.duplicates import likely_duplicates
from inventory.sheets.layout import DataRow, SheetIn
from inventory.sheets.matching import Matched, by_tag_or_serial, unnumbered
from inventory.sheets.part_cells import PartCells, PartReader
from inventory.sheets.plan import Duplicate, PartPlan, Plan, PlanRow, cleaned
from inventory.sheets.problems import CellProblem
from inventory.sheets.progress import CELLS, PLANNING, Tell
from inventory.sheets.queries import Identity, PartState, identities, states, without_serial
from inventory.store import journal
from inventory.store.names import nearest
from inventory.store.text import alike, fold, squeeze

__all__ = ["Cars", "describe", "plan_parts"]


#: How far a plan is is told after so many rows.
_TOLD_EVERY = 2000


class Cars:
    """The cars on record, by folded name, and what to say of one that is not."""

    def __init__(self, session: Session) -> None:
        """Reads them once: a sheet names few cars many times."""
        self._names = {fold(car.name): car.name for car in cars(session)}

    def name_of(self, text: str) -> str | None:
        """The car's own name, or None."""
        return self._names.get(fold(text))

    def unknown(self, text: str) -> CellProblem:
        """That there is no such car, and what to do."""
        near = nearest(text, list(self._names.values()))
        hint = (f"near: {', '.join(near)}; " if near else "") + f'to enter it: matchmark car add "{text}"'
        return CellProblem("car", text, f'no car "{text}"', hint)


@dataclass(frozen=True, slots=True)
class _Read:
    """A row as read, with what is wrong in its cells."""

    sheet: SheetIn
    row: DataRow
    cells: PartCells
    problems: list[CellProblem]


def plan_parts(session: Session, plan: Plan, sheets: Sequence[SheetIn], today: date, *, hold: bool, tell: Tell) -> None:
    """Put the rows of the sheets of parts to the plan; with `hold` their parts are held until the write ends."""
    read = [each for sheet in sheets for each in _read(plan, sheet, today, tell)]
    cells = [each.cells for each in read]
    matches, on_record = _matched(session, cells)
    for same in likely_duplicates(cells, matches, on_record):
        other = read[same.row] if same.row is not None else None
        plan.duplicates.append(
            Duplicate(
                read[same.place].sheet.name,
                read[same.place].row.row,
                same.serial,
                same.other_serial,
                same.tag,
                (other.sheet.name, other.row.row) if other is not None else None,
            )
        )
    keys = [match.part_id for match in matches if match.part_id is not None]
    if hold:
        journal.lock_things(session, keys)
    known = states(session, keys)
    named, nothing = Cars(session), PartState()
    for place, (each, match) in enumerate(zip(read, matches, strict=True), 1):
        if place % _TOLD_EVERY == 0:
            tell(PLANNING, place, len(read))
        state = known[match.part_id] if match.part_id is not None else nothing
        plan.rows.append(_planned(plan, each, match, state, named, -place))


def _read(plan: Plan, sheet: SheetIn, today: date, tell: Tell) -> list[_Read]:
    named = {column: sheet.currency(column) for column in ("price", "value")}
    reader = PartReader(today, named, sheet.ways, sheet.money)
    found = []
    for place, row in enumerate(sheet.rows):
        if place % _TOLD_EVERY == 0:
            tell(CELLS, place, len(sheet.rows))
        values, extra = cleaned(plan, sheet, row)
        found.append(_Read(sheet, row, *reader.read(values, extra)))
    return found


def _matched(session: Session, rows: list[PartCells]) -> tuple[list[Matched], list[Identity]]:
    """The part of each row, and the parts on record with one of their tags or a serial that is or looks like theirs."""
    tags = [cells.tag for cells in rows if cells.tag]
    serials = [alike(cells.serial) for cells in rows if cells.serial]
    on_record = identities(session, tags, serials)
    found = by_tag_or_serial(rows, on_record)
    open_rows = [place for place, match in enumerate(found) if match is None]
    kinds = {rows[place].kind for place in open_rows} - {None}
    taken = {match.part_id for match in found if match is not None}
    free = [each for each in without_serial(session, kinds) if each.id not in taken]  # type: ignore[arg-type]
    wanted = _of_same_sort(free, [rows[place] for place in open_rows])
    by_key = states(session, wanted)
    rest = unnumbered([rows[place] for place in open_rows], [by_key[key] for key in wanted])
    by_place = dict(zip(open_rows, rest, strict=True))
    return [match if match is not None else by_place[place] for place, match in enumerate(found)], on_record


def _of_same_sort(parts: Sequence[Identity], rows: Sequence[PartCells]) -> list[int]:
    """The keys of parts whose number some row has: of the others no more needs to be read."""
    numbers = {squeeze(cells.part_number or "") for cells in rows}
    return [each.id for each in parts if squeeze(each.part_number or "") in numbers]


def _planned(plan: Plan, each: _Read, match: Matched, state: PartState, named: Cars, new_key: int) -> PlanRow:
    cells, problems = each.cells, list(each.problems)
    if match.problem is not None:
        problems.append(match.problem)
    elif state.id is None and cells.kind is None and not any(problem.column == "kind" for problem in problems):
        problems.append(CellProblem("kind", "", "a new part needs a kind", "for example: relay"))
    if cells.car is not None and named.name_of(cells.car) is None:
        problems.append(named.unknown(cells.car))
    elif match.problem is None and (said := against(cells, state)):
        column = "position" if cells.car is None and cells.position else "car" if cells.car else "place"
        problems.append(CellProblem(column, getattr(cells, column) or "", said, _WHERE_HINT))
    what = describe(cells, state)
    if problems:
        return plan.refuse(each.sheet, each.row, what, problems)
    changed = _kept(frozenset([change.column for change in differences(cells, state)]))
    if not changed and state.id is not None:
        return PlanRow(each.sheet, each.row, "unchanged", what)
    work = PartPlan(state.id or new_key, cells, state, changed)
    return PlanRow(each.sheet, each.row, "changed" if state.id is not None else "added", what, work=work)


@lru_cache(maxsize=1024)
def _kept(columns: frozenset[str]) -> frozenset[str]:
    """A set of columns, kept once: most rows of a sheet say something in the same ones."""
    return columns


_WHERE_HINT = "name the car it came off and the place where it lies now, or leave both empty"


def describe(cells: PartCells, state: PartState) -> str:
    """What a row is about, in a few words: a tag, or what is marked on the part."""
    if state.tag or cells.tag:
        return state.tag or cells.tag or ""
    return " ".join(word for word in (cells.kind, cells.maker, cells.part_number, cells.serial) if word)
