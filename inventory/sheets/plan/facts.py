"""Plans the sheets of facts about parts: each row is read, its part found, and compared with the record."""

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
from inventory.facts.views import FactView, facts_of_many
from inventory.parts import tags
from inventory.reference.data import Reference, reference_of
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.differences import Change
from inventory.sheets.plan.fact_sheets import (
    FACT_SHEETS,
    FactSheet,
    cells_of,
    differing_columns,
    money_column,
    read_cell,
    run_values,
    table_of,
)
from inventory.sheets.plan.match import Index, index_of, resolve
from inventory.sheets.plan.on_record import Identity, identities
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem, problem_of, take
from inventory.sheets.plan.rows import FactPlan, PartPlan, Plan, PlanRow, refuse_row
from inventory.sheets.readers.tables import Row
from inventory.store.facts import split_fact_id
from inventory.store.text import squeeze

__all__ = ["plan_facts"]


@dataclass(frozen=True)
class _FactRow:
    """A row of facts as read: the id of its fact, which part it names, its own cells, and what is wrong in it."""

    sheet: SheetLayout
    row: Row
    fact: str | None
    named: PartCells
    given: dict[str, str]
    told: str | None
    problems: list[CellProblem]

    def refuse(self, about: str, *problems: CellProblem) -> PlanRow:
        """The row, refused."""
        return refuse_row(self.sheet, self.row, about, [*self.problems, *problems])


def plan_facts(session: Session, plan: Plan, sheets: Sequence[SheetLayout], today: date) -> None:
    """Add the rows of seals, values, provenance and runs to the plan; those of parts must be in it already."""
    reference = reference_of(session)
    read = [each for sheet in sheets for each in _read(plan, sheet, today, reference)]
    if not read:
        return
    parts = _parts(session, plan, [each.named for each in read])
    index = index_of(parts.values())
    found = [_part_of(each.named, index) for each in read]
    facts = _Facts(session, [key for key, _ in found if key is not None and key > 0], sheets)
    for each, (key, problem) in zip(read, found, strict=True):
        part = parts.get(key) if key is not None else None
        plan.rows.append(_planned(plan, each, part, problem, facts))


def _read(plan: Plan, sheet: SheetLayout, today: date, reference: Reference) -> list[_FactRow]:
    kind = FACT_SHEETS[sheet.kind.name]
    currency = sheet.header_currency(money_column(kind)) or sheet.default_currency
    found = []
    for row in sheet.rows:
        values = plan.values_of(sheet, row)
        given: dict[str, str] = {}
        problems: list[CellProblem] = []
        for column in kind.columns:
            if column in values:
                read = partial(read_cell, kind, column, values, today, currency, sheet.cell_format(column), reference)
                take(given, problems, column, values[column], read)
        named: dict[str, Any] = {
            "maker": values.get("maker"),
            "part_number": values.get("part number"),
            "serial": values.get("serial"),
        }
        if "tag" in values:
            take(named, problems, "tag", values["tag"], partial(_tag, values["tag"]))
        told = given.pop("told", None)
        found.append(_FactRow(sheet, row, values.get("fact"), PartCells(**named), given, told, problems))
    return found


def _tag(text: str) -> dict[str, str]:
    return {"tag": tags.parse(text)}


def _parts(session: Session, plan: Plan, named: Sequence[PartCells]) -> dict[int, Identity]:
    """The parts that rows may be about: those on record and those that this file adds, as this file leaves them."""
    tags_named = [cells.tag for cells in named if cells.tag]
    known = identities(session, tags_named, [cells.serial_alike for cells in named if cells.serial])
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


def _part_of(named: PartCells, index: Index) -> tuple[int | None, CellProblem | None]:
    """The key of the part that a row is about, or why it cannot be said."""
    match = resolve(named, index)
    if match is None:
        hint = "give its tag, or maker, part number and serial"
        return None, CellProblem("tag", "", "does not say which part it is about", hint)
    if match.problem is not None:
        return None, match.problem
    if match.part_id is None:
        words = named.tag or " ".join(filter(None, (named.maker, named.part_number, named.serial)))
        return None, CellProblem("tag" if named.tag else "serial", words, "no part on record is this one")
    part = index.tags.get(named.tag) if named.tag else None
    if part and named.serial and named.serial_key != squeeze(part.serial or ""):
        problem = f"{part.tag} has the serial {part.serial}" if part.serial else f"{part.tag} has no serial on record"
        return None, CellProblem("serial", named.serial, problem, "one of the two belongs to another row")
    return match.part_id, None


class _Facts:
    """The facts on record of the parts that rows are about, as cells; each one matches one row at most."""

    def __init__(self, session: Session, keys: Iterable[int], sheets: Sequence[SheetLayout]) -> None:
        """Read them once for all rows, superseded ones included: a row may carry the id of one."""
        self.reference = reference_of(session)
        models = [FACT_SHEETS[name].model for name in {sheet.kind.name for sheet in sheets}]
        every = facts_of_many(session, sorted(set(keys)), models, superseded=True) if models else {}
        self.by_id = {fact.id: fact for facts in every.values() for fact in facts}
        self._claimed: set[str] = set()
        self._free: dict[tuple[int, str], list[tuple[FactView, dict[str, str]]]] = defaultdict(list)
        for fact in self.by_id.values():
            if fact.superseded_by is None:
                self._free[fact.thing_id, fact.table].append((fact, cells_of(fact)))

    def claim_equal(self, part: int, table: str, given: dict[str, str]) -> bool:
        """Claim a free fact that says what a row says. Whether there was one."""
        free = self._free.get((part, table), [])
        for place, (_, cells) in enumerate(free):
            if not differing_columns(given, cells):
                del free[place]
                return True
        return False

    def standing(self, fact: FactView) -> FactView | None:
        """The fact that supersedes a fact and stands; None if it was taken back."""
        while fact.superseded_by is not None:
            if fact.superseded_by not in self.by_id:
                return None
            fact = self.by_id[fact.superseded_by]
        return fact

    def claim(self, fact: FactView) -> bool:
        """Claim a fact for the row that carries its id. Whether no other row carries it."""
        free = self._free.get((fact.thing_id, fact.table), [])
        free[:] = [each for each in free if each[0].id != fact.id]
        fresh = fact.id not in self._claimed
        self._claimed.add(fact.id)
        return fresh


def _planned(plan: Plan, each: _FactRow, part: Identity | None, problem: CellProblem | None, facts: _Facts) -> PlanRow:
    kind = FACT_SHEETS[each.sheet.kind.name]
    what = (
        (part.tag if part else "") or " ".join(filter(None, (each.named.part_number, each.named.serial))) or kind.name
    )
    if each.problems or problem or part is None:
        return each.refuse(what, *([problem] if problem else ()))
    if each.fact:
        return _with_id(plan, each, kind, part, facts, what)
    missing = [column for column in kind.needs if column not in each.given]
    if missing:
        return each.refuse(what, CellProblem(missing[0], "", "is needed here"))
    if facts.claim_equal(part.id, table_of(kind), each.given):
        return PlanRow(each.sheet, each.row, "unchanged", about=what)
    if problem := _problem_of_run(kind, part, each.given, facts):
        return each.refuse(what, problem)
    changes = tuple(Change(column, None, text) for column, text in each.given.items())
    work = FactPlan(kind.name, part.id, each.given, told=each.told)
    return PlanRow(each.sheet, each.row, "added", work, what, changes)


def _problem_of_run(kind: FactSheet, part: Identity, cells: dict[str, str], facts: _Facts) -> CellProblem | None:
    """Why the readings of a run cannot be judged, if it is a run and they cannot."""
    if kind.name != "runs":
        return None
    try:
        readings, conditions = run_values(cells)
        check(TypedRun(cells["procedure"], tuple(readings), conditions), RunContext(part.kind or "", facts.reference))
    except Refused as refusal:
        return problem_of(refusal, "readings", cells["readings"])
    return None


def _with_id(plan: Plan, each: _FactRow, kind: FactSheet, part: Identity, facts: _Facts, what: str) -> PlanRow:
    """A row that carries the id of a fact: it says the same, or it supersedes the fact that stands in its place."""
    written = facts.by_id.get((each.fact or "").strip())
    if written is None or written.table != table_of(kind) or written.thing_id != part.id:
        hint = "leave the cell empty for a new one"
        return each.refuse(what, CellProblem("fact", each.fact or "", f"{what} has no such fact", hint))
    standing = facts.standing(written)
    if standing is None:
        problem = "has been taken back since this sheet was written"
        return each.refuse(what, CellProblem("fact", written.id, problem, "take the row out"))
    if not facts.claim(standing):
        return each.refuse(what, CellProblem("fact", written.id, "is in two rows", "keep one"))
    old = cells_of(standing)
    columns = differing_columns(each.given, old)
    if columns and standing is not written and not differing_columns(each.given, cells_of(written)):
        plan.remarks.append(
            f"{each.sheet.name}, row {each.row.number}: {written.id} was corrected after this sheet was written; "
            f"{standing.id} stands"
        )
        columns = []
    if not columns:
        return PlanRow(each.sheet, each.row, "unchanged", about=what)
    merged = {**old, **each.given}
    if run_problem := _problem_of_run(kind, part, merged, facts):
        return each.refuse(what, run_problem)
    changes = tuple(Change(column, old.get(column), each.given[column]) for column in columns)
    told = each.told if "on" in each.given else standing.told
    work = FactPlan(kind.name, part.id, merged, (split_fact_id(standing.id) or ("", 0))[1], told)
    return PlanRow(each.sheet, each.row, "changed", work, what, changes)
