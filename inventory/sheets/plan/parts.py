"""Plans the sheets of parts: each row is read, matched with a part, and compared with the record."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from sqlalchemy.orm import Session

from inventory.reference.data import reference_of
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.leaving import Leaving, Leavings, leavings_in
from inventory.sheets.plan.cars_named import Cars, said_of_each
from inventory.sheets.plan.differences import (
    against,
    changed_columns,
    changed_own,
    changed_unread,
    differences,
    without_car,
)
from inventory.sheets.plan.identify import identify, zeros_gone
from inventory.sheets.plan.match import Matched
from inventory.sheets.plan.on_record import PartState, add_looks, add_told_places, states
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.part_reader import PartReader
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.plan.rows import PartPlan, Plan, PlanRow, TableRead, describe, place_in_file, refuse_row
from inventory.sheets.plan.told import says_bought
from inventory.sheets.plan.word_questions import NO_KIND, WordQuestions
from inventory.sheets.progress import CELLS, PLANNING, OnProgress
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When
from inventory.store.journal import entries as journal

__all__ = ["plan_parts"]

#: How many rows are read or planned between two reports of progress.
_ROWS_AT_A_TIME = 2000
#: How many parts are locked, and how many are read to be compared, by one set of statements.
_LOCKED_AT_A_TIME = _STATES_AT_A_TIME = 10_000
#: What a row says of a part that tells it from another one.
_WHICH_PART = frozenset({"kind", "maker", "part number", "serial", "match code", "car", "position"})
_WHERE = ("car", "position", "place")
_WHERE_HINT = "name the car it came off and the place where it lies now, or leave both empty"


@dataclass
class _Rows:
    """The rows of all sheets of parts, what they say, and by the place of a row what is wrong or kept as text.

    `bought`: the sheets whose headers say that their parts were bought, by identity.
    """

    sheets: list[SheetLayout] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    cells: list[PartCells] = field(default_factory=list)
    problems: dict[int, list[CellProblem]] = field(default_factory=dict)
    kept: dict[int, list[CellProblem]] = field(default_factory=dict)
    bought: set[int] = field(default_factory=set)


def plan_parts(
    session: Session,
    plan: Plan,
    sheets: Sequence[SheetLayout],
    today: date,
    day: When,
    listed: Collection[int] = frozenset(),
    *,
    hold: bool,
    on_progress: OnProgress,
) -> None:
    """Add the rows of the sheets of parts to the plan; with `hold` their parts stay locked until the write ends.

    `day`: up to which day the file was kept; `listed`: the parts of the last versions of these sheets.
    """
    rows = _Rows(bought={id(sheet) for sheet in sheets if says_bought(sheet)})
    answers = replace(plan.answers, said=said_of_each(plan.answers.said))
    named, nothing = Cars(session, answers.said), PartState()
    words = WordQuestions(reference_of(session), named.near, answers.said)
    for sheet in sheets:
        left = leavings_in(sheet, today, plan.answers.said)
        plan.questions += left.questions
        reader = PartReader(sheet, today, reference_of(session), answers, named.read)
        _read(plan, sheet, reader, rows, words, left, on_progress)
    places = [(sheet.name, row.number) for sheet, row in zip(rows.sheets, rows.rows, strict=True)]
    matches = identify(session, plan, rows.cells, places, listed)
    if hold:
        _lock(session, matches)
    plan.tables = [TableRead(sheet) for sheet in sheets]
    tables = {id(table.sheet): table for table in plan.tables}
    looked = any(cells.look for cells in rows.cells)
    placed = any(cells.car or cells.place for cells in rows.cells)
    for start in range(0, len(matches), _STATES_AT_A_TIME):
        some = matches[start : start + _STATES_AT_A_TIME]
        keys = [match.part_id for match in some if match.part_id is not None]
        known = states(session, keys)
        if looked:
            add_looks(session, known)
        if placed:
            add_told_places(session, known, day)
        for place, match in enumerate(some, start):
            if place % _ROWS_AT_A_TIME == 0:
                on_progress(PLANNING, place, len(matches))
            state = known[match.part_id] if match.part_id is not None else nothing
            planned = _planned(rows, place, match, state, named, strict=plan.answers.strict)
            plan.rows.append(planned)
            words.take(planned)
            _note(tables[id(planned.sheet)], planned, match, -1 - place, rows.cells[place])
            plan.remarks += _remarks(planned, rows.cells[place], state)
    plan.questions += words.questions()
    plan.remarks += named.added()


def _note(table: TableRead, planned: PlanRow, match: Matched, new: int, cells: PartCells) -> None:
    """Note which part a row of a table is; `new`: its key if it is a new one."""
    if planned.verdict != "refused":
        table.parts.append(match.part_id if match.part_id is not None else new)
    elif match.part_id is not None:
        table.refused.append(match.part_id)
    elif match.problem is not None or cells.kind is None:
        table.unmatched.add(cells.kind)


def _remarks(planned: PlanRow, cells: PartCells, state: PartState) -> Iterator[str]:
    """What the user is told about a row that is read although the record says otherwise."""
    if planned.work is not None and (why := against(cells, state)):
        yield f"{planned.work.at}: {why}; what the row says is kept beside it"
    if planned.verdict != "refused" and (zeros := zeros_gone(cells, state)):
        yield f"{place_in_file(planned.sheet, planned.row)}: {zeros}"
    if planned.verdict != "refused" and cells.serial_state and state.serial:
        at = place_in_file(planned.sheet, planned.row)
        yield f'{at}: {state.tag} has the serial {state.serial} on record, so "{cells.serial_state}" does not count'


def _lock(session: Session, matches: Sequence[Matched]) -> None:
    """Hold the parts that rows are about until the write ends."""
    keys = sorted({match.part_id for match in matches if match.part_id is not None})
    for start in range(0, len(keys), _LOCKED_AT_A_TIME):
        journal.lock_things(session, keys[start : start + _LOCKED_AT_A_TIME])


def _read(
    plan: Plan,
    sheet: SheetLayout,
    reader: PartReader,
    rows: _Rows,
    words: WordQuestions,
    left: Leavings,
    on_progress: OnProgress,
) -> None:
    """Read the rows of one sheet, and append them to those of the others; `left`: what they say of leaving."""
    first = len(rows.cells)
    for start in range(0, len(sheet.rows), _ROWS_AT_A_TIME):
        on_progress(CELLS, start, len(sheet.rows))
        some = sheet.rows[start : start + _ROWS_AT_A_TIME]
        read = reader.read(left.rows[start : start + _ROWS_AT_A_TIME])
        before = len(rows.cells)
        rows.problems.update({before + place: wrong for place, wrong in read.problems.items()})
        rows.kept.update({before + place: kept for place, kept in read.kept.items()})
        rows.sheets += [sheet] * len(some)
        rows.rows += some
        rows.cells += read.cells
        plan.remarks += read.remarks
        for place, problem in read.doubtful:
            words.add(sheet, some[place].number, problem)
    for index, leaving in left.found.items():
        _gone(rows.cells[first + index], leaving)


def _gone(cells: PartCells, leaving: Leaving) -> None:
    """Note how the part of a row left. Where the row puts it, it lay before: that is kept beside, by its headers.

    Not under a header of ours: a sheet that we write would have two columns of that name.
    """
    where = {name: text for name in _WHERE if (text := getattr(cells, name))}
    cells.left, cells.car, cells.position, cells.place = leaving, None, None, None
    cells.extra = {**cells.extra, **{f"{cells.headers.get(name, name)} before": text for name, text in where.items()}}


def _problems(
    cells: PartCells, match: Matched, state: PartState, of_cells: Sequence[CellProblem]
) -> Iterator[CellProblem]:
    """Why it cannot be said which part a row is, or that it is no part. `of_cells`: what is wrong in its cells."""
    if match.problem is not None:
        yield match.problem
    elif state.id is None and _says_no_part(cells):
        unread = [each for each in of_cells if each.column == "kind"]
        yield from unread or [CellProblem("kind", "", "a new part needs a kind", "for example: relay")]


def _says_no_part(cells: PartCells) -> bool:
    """Whether a row has no kind and no mark that tells which part it is, or only a word that is no kind.

    A maker made thousands: such a row, mended next month, would be a second part.
    """
    if cells.kind is not None and "kind" not in cells.unread:
        return False
    if cells.tag or cells.another or cells.part_number or cells.serial or cells.match_code:
        return False
    others = (cells.maker, cells.condition, cells.seal_state, cells.car, cells.place, cells.notes, cells.extra)
    return cells.kind is None or (len(cells.unread) == 1 and not (any(others) or cells.value or cells.acquired))


def _misplaced(cells: PartCells, state: PartState, named: Cars) -> CellProblem | None:
    """Why the position in a row cannot be read; None if it can."""
    if renamed := named.renamed(cells.car or state.car, cells.position):
        return renamed
    if why := without_car(cells, state):
        return CellProblem("position", cells.position or "", why, _WHERE_HINT)
    return None


def _planned(rows: _Rows, place: int, match: Matched, state: PartState, named: Cars, *, strict: bool) -> PlanRow:
    """What becomes of one row. A new part gets a negative key, by the place of its row."""
    sheet, row, cells = rows.sheets[place], rows.rows[place], rows.cells[place]
    wrong, kept = list(rows.problems.get(place, ())), list(rows.kept.get(place, ()))
    wrong += (each for each in _problems(cells, match, state, [*wrong, *kept]) if each not in wrong)
    if cells.position and match.problem is None and (misplaced := _misplaced(cells, state, named)):
        (wrong if strict else kept).append(misplaced)
        cells.unread, cells.position = {**cells.unread, "position": cells.position}, None
    if wrong:
        return refuse_row(sheet, row, describe(cells, state), [*wrong, *(each for each in kept if each not in wrong)])
    if state.id is None and cells.kind is None:
        cells.kind = "other"
        kept.append(CellProblem("kind", "", "no kind, so it goes in as other", code=NO_KIND))
    at, bought = place_in_file(sheet, row), id(sheet) in rows.bought
    unread = tuple(problem.at(sheet.name, row.number) for problem in kept)
    if state.id is None:
        return PlanRow(sheet, row, "added", PartPlan(-1 - place, cells, state, at=at, bought=bought), unread=unread)
    changed = changed_columns(cells, state)
    if match.other and (why := _of_the_other(cells, match, state)):
        return refuse_row(sheet, row, describe(cells, state), [why])
    if not changed and not changed_own(cells, state) and not any(changed_unread(cells, state)):
        return PlanRow(sheet, row, "unchanged", about=describe(cells, state), unread=unread)
    return PlanRow(sheet, row, "changed", PartPlan(state.id, cells, state, changed, at, bought=bought), unread=unread)


def _of_the_other(cells: PartCells, match: Matched, state: PartState) -> CellProblem | None:
    """That a row would make the part another one, or move it, although its label was on another part before."""
    for change in differences(cells, state):
        if change.column in _WHICH_PART and change.old:
            problem = (
                f"label {state.tag} was on the part {match.other} before, and this row says "
                f"{change.column} {change.new}, not {change.old}: it may be of that part"
            )
            mend = f"write {match.other} if that one is meant; if not, correct the part itself: matchmark fact correct"
            return CellProblem("tag", state.tag or "", problem, mend)
    return None
