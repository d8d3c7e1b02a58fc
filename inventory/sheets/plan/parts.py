"""Plans the sheets of parts: each row is read, matched with a part, and compared with the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy.orm import Session

from inventory.cars.queries import cars
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.differences import against, changed_columns, changed_own
from inventory.sheets.plan.duplicates import likely_duplicates
from inventory.sheets.plan.match import Matched, by_tag_or_serial, unnumbered
from inventory.sheets.plan.on_record import Identity, PartState, identities, states, without_serial
from inventory.sheets.plan.part_cells import PartCells, PartReader
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.plan.rows import Duplicate, PartPlan, Plan, PlanRow, describe, refuse_row
from inventory.sheets.progress import CELLS, PLANNING, OnProgress
from inventory.sheets.readers.tables import Row
from inventory.store import journal
from inventory.store.names import nearest
from inventory.store.text import fold, squeeze

__all__ = ["Cars", "plan_parts"]

#: How many rows are read or planned between two reports of progress.
_ROWS_AT_A_TIME = 2000
#: How many parts are locked by one statement.
_LOCKED_AT_A_TIME = 10_000
_WHERE_HINT = "name the car it came off and the place where it lies now, or leave both empty"


class Cars:
    """The cars on record by folded name; read once, since a sheet names few cars many times."""

    def __init__(self, session: Session) -> None:
        self._names = {fold(car.name): car.name for car in cars(session)}

    def name_of(self, text: str) -> str | None:
        """The car's own name; None if there is no such car."""
        return self._names.get(fold(text))

    def unknown(self, text: str) -> CellProblem:
        """The problem that there is no such car."""
        near = nearest(text, list(self._names.values()))
        hint = (f"near: {', '.join(near)}; " if near else "") + f'to enter it: matchmark car add "{text}"'
        return CellProblem("car", text, f'no car "{text}"', hint)


@dataclass
class _Rows:
    """The rows of all sheets of parts, what they say, and by the place of a row what is wrong in it."""

    places: list[tuple[SheetLayout, Row]] = field(default_factory=list)
    cells: list[PartCells] = field(default_factory=list)
    problems: dict[int, list[CellProblem]] = field(default_factory=dict)


def plan_parts(
    session: Session, plan: Plan, sheets: Sequence[SheetLayout], today: date, *, hold: bool, on_progress: OnProgress
) -> None:
    """Add the rows of the sheets of parts to the plan; with `hold` their parts stay locked until the write ends."""
    rows = _Rows()
    for sheet in sheets:
        _read(plan, sheet, today, rows, on_progress)
    matches, on_record = _matched(session, rows.cells)
    _flag_duplicates(plan, rows, matches, on_record)
    keys = sorted({match.part_id for match in matches if match.part_id is not None})
    if hold:
        for start in range(0, len(keys), _LOCKED_AT_A_TIME):
            journal.lock_things(session, keys[start : start + _LOCKED_AT_A_TIME])
    known = states(session, keys)
    named, nothing = Cars(session), PartState()
    for place, ((sheet, row), cells, match) in enumerate(zip(rows.places, rows.cells, matches, strict=True)):
        if place % _ROWS_AT_A_TIME == 0:
            on_progress(PLANNING, place, len(rows.cells))
        state = known[match.part_id] if match.part_id is not None else nothing
        wrong = _problems(cells, match, state, named, rows.problems.get(place))
        if wrong:
            plan.rows.append(refuse_row(sheet, row, describe(cells, state), wrong))
        elif state.id is None:
            plan.rows.append(PlanRow(sheet, row, "added", PartPlan(-1 - place, cells, nothing)))
        else:
            plan.rows.append(_of_known_part(sheet, row, cells, state, state.id))


def _read(plan: Plan, sheet: SheetLayout, today: date, rows: _Rows, on_progress: OnProgress) -> None:
    """Read the rows of one sheet, and append them to those of the others."""
    reader = PartReader(sheet, today)
    for start in range(0, len(sheet.rows), _ROWS_AT_A_TIME):
        on_progress(CELLS, start, len(sheet.rows))
        some = sheet.rows[start : start + _ROWS_AT_A_TIME]
        cells, problems, remarks = reader.read(some)
        before = len(rows.cells)
        rows.problems.update({before + place: wrong for place, wrong in problems.items()})
        rows.places += [(sheet, row) for row in some]
        rows.cells += cells
        plan.remarks += remarks


def _matched(session: Session, rows: Sequence[PartCells]) -> tuple[list[Matched], list[Identity]]:
    """The part of each row, and the parts on record with one of their tags or a serial that is or looks like theirs."""
    tags = [cells.tag for cells in rows if cells.tag]
    serials = [cells.serial_alike for cells in rows if cells.serial]
    on_record = identities(session, tags, serials)
    found = by_tag_or_serial(rows, on_record)
    open_rows = [place for place, match in enumerate(found) if match is None]
    if open_rows:
        taken = {match.part_id for match in found if match is not None}
        kinds = [kind for kind in {rows[place].kind for place in open_rows} if kind is not None]
        free = [each for each in without_serial(session, kinds) if each.id not in taken]
        wanted = _with_number(free, [rows[place] for place in open_rows])
        by_key = states(session, wanted)
        rest = unnumbered([rows[place] for place in open_rows], [by_key[key] for key in wanted])
        for place, match in zip(open_rows, rest, strict=True):
            found[place] = match
    return [match for match in found if match is not None], on_record


def _with_number(parts: Sequence[Identity], rows: Sequence[PartCells]) -> list[int]:
    """The keys of the parts whose part number some row has: the states of others need not be read."""
    numbers = {cells.number_key for cells in rows}
    return [each.id for each in parts if squeeze(each.part_number or "") in numbers]


def _flag_duplicates(plan: Plan, rows: _Rows, matches: Sequence[Matched], on_record: Sequence[Identity]) -> None:
    for same in likely_duplicates(rows.cells, matches, on_record):
        (sheet, row), other = rows.places[same.place], None
        if same.row is not None:
            other_sheet, other_row = rows.places[same.row]
            other = (other_sheet.name, other_row.number)
        plan.duplicates.append(Duplicate(sheet.name, row.number, same.serial, same.other_serial, same.tag, other))


def _problems(
    cells: PartCells, match: Matched, state: PartState, named: Cars, of_cells: list[CellProblem] | None
) -> list[CellProblem]:
    """Why a row cannot be read: what is wrong in its cells, and what speaks against the row as a whole."""
    problems = list(of_cells or ())
    if match.problem is not None:
        problems.append(match.problem)
    elif state.id is None and cells.kind is None and not any(problem.column == "kind" for problem in problems):
        problems.append(CellProblem("kind", "", "a new part needs a kind", "for example: relay"))
    if cells.car is not None and named.name_of(cells.car) is None:
        problems.append(named.unknown(cells.car))
    elif match.problem is None and (why := against(cells, state)):
        column = "position" if cells.car is None and cells.position else "car" if cells.car else "place"
        problems.append(CellProblem(column, getattr(cells, column) or "", why, _WHERE_HINT))
    return problems


def _of_known_part(sheet: SheetLayout, row: Row, cells: PartCells, state: PartState, part: int) -> PlanRow:
    changed = changed_columns(cells, state)
    if not changed and not changed_own(cells, state):
        return PlanRow(sheet, row, "unchanged", about=describe(cells, state))
    return PlanRow(sheet, row, "changed", PartPlan(part, cells, state, changed))
