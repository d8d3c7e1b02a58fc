"""Planning the sheets of facts: each row read, its part found, and compared with what the record says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.judgements import check
from inventory.bench.words import RunContext, TypedRun
from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.history import FactView, facts_of_many
from inventory.reference.data import PROGRAM
from inventory.sheets.differences import Change
from inventory.sheets.facts import (
    FACT_SHEETS,
    FactSheet,
    cells_of,
    differing,
    money_column,
    read_cell,
    run_of,
    table_of,
)
from inventory.sheets.layout import DataRow, SheetIn
from inventory.sheets.lists import LIST_SHEETS, ListSheet, Standing, checked_name, fits_on_record, positions_on_record
from inventory.sheets.matching import Index, index_of, resolve
from inventory.sheets.part_cells import PartCells
from inventory.sheets.plan import FactPlan, PartPlan, Plan, PlanRow, cleaned
from inventory.sheets.plan_parts import Cars
from inventory.sheets.problems import CellProblem, problem_of
from inventory.sheets.queries import Identity, identities
from inventory.sheets.ways import Way
from inventory.store.facts import split_fact_id
from inventory.store.text import alike, squeeze

__all__ = ["plan_facts", "plan_lists"]

_TAKEN_BACK = "has been taken back since this sheet was written"


@dataclass(frozen=True)
class _Row:
    """A row of facts as read: its own cells, which part it names, and what is wrong in it."""

    sheet: SheetIn
    row: DataRow
    fact: str | None
    named: PartCells
    given: dict[str, str]
    told: str | None
    problems: list[CellProblem]


def plan_facts(session: Session, plan: Plan, sheets: Sequence[SheetIn], today: date) -> None:
    """Put the rows of seals, values, provenance and runs to the plan, after those of parts."""
    read = [each for sheet in sheets for each in _read(plan, sheet, today)]
    if not read:
        return
    parts = _parts(session, plan, [each.named for each in read])
    index = index_of(parts.values())
    found = [_part_of(each, index) for each in read]
    facts = _Facts(session, [key for key, _ in found if key is not None and key > 0], sheets)
    for each, (key, problem) in zip(read, found, strict=True):
        part = parts.get(key) if key is not None else None
        plan.rows.append(_planned(plan, each, part, problem, facts))


def _read(plan: Plan, sheet: SheetIn, today: date) -> list[_Row]:
    kind = FACT_SHEETS[sheet.kind.name]
    currency = sheet.currency(money_column(kind)) or sheet.money
    found = []
    for row in sheet.rows:
        values, _ = cleaned(plan, sheet, row)
        given: dict[str, str] = {}
        problems: list[CellProblem] = []
        for column in kind.columns:
            if column in values:
                read = partial(read_cell, kind, column, values, today, currency, sheet.way(column))
                _take(given, problems, column, values[column], read)
        named: dict[str, Any] = {
            "maker": values.get("maker"),
            "part_number": values.get("part number"),
            "serial": values.get("serial"),
        }
        if "tag" in values:
            _take(named, problems, "tag", values["tag"], lambda text=values["tag"]: {"tag": tags.parse(text)})
        told = given.pop("told", None)
        found.append(_Row(sheet, row, values.get("fact"), PartCells(**named), given, told, problems))
    return found


def _take(into: dict[str, Any], problems: list[CellProblem], column: str, text: str, read: Any) -> None:
    """What a reader gives, or why it refuses."""
    try:
        into.update(read())
    except Refused as refusal:
        problems.append(problem_of(refusal, column, text))


def _parts(session: Session, plan: Plan, named: Sequence[PartCells]) -> dict[int, Identity]:
    """The parts that rows may be about: those on record and those that this file adds, as this file leaves them."""
    wanted_tags = [cells.tag for cells in named if cells.tag]
    known = identities(session, wanted_tags, [alike(cells.serial) for cells in named if cells.serial])
    found = {each.id: each for each in known}
    for row in plan.rows:
        if isinstance(row.work, PartPlan):
            cells, state = row.work.cells, row.work.state
            found[row.work.part] = Identity(
                row.work.part,
                state.tag or cells.tag or "",
                cells.kind or state.kind,
                cells.maker or state.maker,
                cells.part_number or state.part_number,
                cells.serial or state.serial,
            )
    return found


def _part_of(each: _Row, index: Index) -> tuple[int | None, CellProblem | None]:
    """The key of the part a row is about, or why it cannot be said."""
    match = resolve(each.named, index)
    if match is None:
        hint = "give its tag, or maker, part number and serial"
        return None, CellProblem("tag", "", "does not say which part it is about", hint)
    if match.problem is not None:
        return None, match.problem
    if match.part_id is None:
        named = each.named.tag or " ".join(filter(None, (each.named.maker, each.named.part_number, each.named.serial)))
        return None, CellProblem("tag" if each.named.tag else "serial", named, "no part on record is this one")
    part = index.tags.get(each.named.tag) if each.named.tag else None
    if part and each.named.serial and squeeze(each.named.serial) != squeeze(part.serial or ""):
        said = f"{part.tag} has the serial {part.serial}" if part.serial else f"{part.tag} has no serial on record"
        return None, CellProblem("serial", each.named.serial, said, "one of the two belongs to another row")
    return match.part_id, None


class _Facts:
    """The facts on record of the parts that rows are about, as cells; each answers for one row only."""

    def __init__(self, session: Session, keys: Iterable[int], sheets: Sequence[SheetIn]) -> None:
        """Reads them once for all rows, those that no longer stand included: a row may carry the id of one."""
        models = [FACT_SHEETS[name].model for name in {sheet.kind.name for sheet in sheets}]
        every = facts_of_many(session, sorted(set(keys)), models, superseded=True) if models else {}
        self.by_id = {fact.id: fact for facts in every.values() for fact in facts}
        self._claimed: set[str] = set()
        self._free: dict[tuple[int, str], list[tuple[FactView, dict[str, str]]]] = defaultdict(list)
        for fact in self.by_id.values():
            if fact.superseded_by is None:
                self._free[fact.thing_id, fact.table].append((fact, cells_of(fact)))

    def equal_to(self, part: int, table: str, given: dict[str, str]) -> bool:
        """Whether a fact that answers for no row yet says what a row does; if so, it answers for this one."""
        free = self._free.get((part, table), [])
        for place, (_, cells) in enumerate(free):
            if not differing(given, cells):
                del free[place]
                return True
        return False

    def standing(self, fact: FactView) -> FactView | None:
        """The fact that stands in the place of one, or None where it was taken back."""
        while fact.superseded_by is not None:
            if fact.superseded_by not in self.by_id:
                return None
            fact = self.by_id[fact.superseded_by]
        return fact

    def claim(self, fact: FactView) -> bool:
        """A row carries this fact's id, so it answers for no other. Whether it was free until now."""
        free = self._free.get((fact.thing_id, fact.table), [])
        free[:] = [each for each in free if each[0].id != fact.id]
        fresh = fact.id not in self._claimed
        self._claimed.add(fact.id)
        return fresh


def _planned(plan: Plan, each: _Row, part: Identity | None, problem: CellProblem | None, facts: _Facts) -> PlanRow:
    kind = FACT_SHEETS[each.sheet.kind.name]
    what = (
        (part.tag if part else "") or " ".join(filter(None, (each.named.part_number, each.named.serial))) or kind.name
    )
    problems = [*each.problems, *([problem] if problem else [])]
    if problems or part is None:
        return plan.refuse(each.sheet, each.row, what, problems)
    if each.fact:
        return _with_id(plan, each, kind, part, facts, what)
    missing = [column for column in kind.needs if column not in each.given]
    if missing:
        return plan.refuse(each.sheet, each.row, what, [CellProblem(missing[0], "", "is needed here")])
    if facts.equal_to(part.id, table_of(kind), each.given):
        return PlanRow(each.sheet, each.row, "unchanged", what)
    if refused := _refused_run(kind, part, each.given):
        return plan.refuse(each.sheet, each.row, what, [refused])
    changes = tuple(Change(column, None, text) for column, text in each.given.items())
    return PlanRow(
        each.sheet, each.row, "added", what, changes, FactPlan(kind.name, part.id, each.given, told=each.told)
    )


def _refused_run(kind: FactSheet, part: Identity, cells: dict[str, str]) -> CellProblem | None:
    if kind.name != "runs":
        return None
    try:
        readings, conditions = run_of(cells)
        check(TypedRun(cells["procedure"], tuple(readings), conditions), RunContext(part.kind or "", PROGRAM))
    except Refused as refusal:
        return problem_of(refusal, "readings", cells["readings"])
    return None


def _with_id(plan: Plan, each: _Row, kind: FactSheet, part: Identity, facts: _Facts, what: str) -> PlanRow:
    """A row that carries the id of a fact: it says the same, or the fact that stands in its place is superseded."""
    written = facts.by_id.get((each.fact or "").strip())
    if written is None or written.table != table_of(kind) or written.thing_id != part.id:
        wrong = CellProblem("fact", each.fact or "", f"{what} has no such fact", "leave the cell empty for a new one")
        return plan.refuse(each.sheet, each.row, what, [wrong])
    standing = facts.standing(written)
    if standing is None:
        return plan.refuse(
            each.sheet, each.row, what, [CellProblem("fact", written.id, _TAKEN_BACK, "take the row out")]
        )
    if not facts.claim(standing):
        return plan.refuse(
            each.sheet, each.row, what, [CellProblem("fact", written.id, "stands in two rows", "keep one")]
        )
    old = cells_of(standing)
    columns = differing(each.given, old)
    if columns and standing is not written and not differing(each.given, cells_of(written)):
        plan.remarks.append(
            f"{each.sheet.name}, row {each.row.row}: {written.id} was corrected after this sheet was written; "
            f"{standing.id} stands"
        )
        columns = []
    if not columns:
        return PlanRow(each.sheet, each.row, "unchanged", what)
    merged = {**old, **each.given}
    if refused := _refused_run(kind, part, merged):
        return plan.refuse(each.sheet, each.row, what, [refused])
    changes = tuple(Change(column, old.get(column), each.given[column]) for column in columns)
    told = each.told if "on" in each.given else standing.told
    work = FactPlan(kind.name, part.id, merged, (split_fact_id(standing.id) or ("", 0))[1], told)
    return PlanRow(each.sheet, each.row, "changed", what, changes, work)


def plan_lists(session: Session, plan: Plan, sheets: Sequence[SheetIn], today: date) -> None:
    """Put the rows of positions and of fits to the plan."""
    named = Cars(session)
    on_record = {"positions": positions_on_record, "fits": fits_on_record}
    for name, kind in LIST_SHEETS.items():
        rows = [(sheet, row) for sheet in sheets if sheet.kind.name == name for row in sheet.rows]
        known = on_record[name](session) if rows else {}
        seen: set[tuple[str, str]] = set()
        for sheet, row in rows:
            values, _ = cleaned(plan, sheet, row)
            given, problems = _list_cells(kind, values, named, today, sheet.way("on"))
            told = given.pop("told", None)
            about = kind.key(values)
            if about in seen:
                problems.append(
                    CellProblem(kind.about[1], values[kind.about[1]], "stands in another row as well", "keep one")
                )
            seen.add(about)
            what = ", ".join(values.get(column, "") for column in kind.about)
            if problems:
                plan.rows.append(plan.refuse(sheet, row, what, problems))
            else:
                keys = (values[kind.about[0]], values[kind.about[1]])
                plan.rows.append(_in_list(sheet, row, kind, keys, given, told, known.get(about)))


def _list_cells(
    kind: ListSheet, values: dict[str, str], named: Cars, today: date, way: Way
) -> tuple[dict[str, str], list[CellProblem]]:
    """What a row says, and what is wrong in it."""
    given: dict[str, str] = {}
    problems: list[CellProblem] = []
    for column in kind.columns:
        if column in values:
            _take(given, problems, column, values[column], partial(kind.read, column, values[column], today, way))
    for column in kind.about:
        text = values.get(column, "")
        if not any(kind.folded(text)):
            problems.append(CellProblem(column, text, "is needed here"))
        else:
            _take({}, problems, column, text, partial(checked_name, column, text))
    if kind.name == "positions" and values.get("car") and named.name_of(values["car"]) is None:
        problems.append(named.unknown(values["car"]))
    return given, problems


def _in_list(
    sheet: SheetIn,
    row: DataRow,
    kind: ListSheet,
    keys: tuple[str, str],
    given: dict[str, str],
    told: str | None,
    standing: Standing | None,
) -> PlanRow:
    """A row of a list, compared with the last word on what it is about; listed numbers fit unless it says no."""
    what = ", ".join(keys)
    old = standing.cells if standing else {}
    if kind.name == "fits" and standing is None:
        given.setdefault("fits", "yes")
    changes = tuple(Change(column, old.get(column), text) for column, text in given.items() if old.get(column) != text)
    if standing is not None and not changes:
        return PlanRow(sheet, row, "unchanged", what)
    cells = {**old, **given, kind.about[0]: keys[0], kind.about[1]: keys[1]}
    work = FactPlan(kind.name, keys, cells, standing.fact if standing else None, told)
    return PlanRow(sheet, row, "added" if standing is None else "changed", what, changes, work)
