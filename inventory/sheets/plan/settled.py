"""New and changed facts of the sheets of facts about parts: put into columns, and checked as on any other way in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactKind, Sheet, Told
from inventory.facts.said import KeyOf, key_on_record, merge, put, settle
from inventory.facts.views import FactView, own_columns
from inventory.reference.data import reference_of
from inventory.sheets.columns.cells import UNDATED, in_a_sheet
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.fact_cells import Said, cells_of, changes
from inventory.sheets.plan.name_keys import ENTERED
from inventory.sheets.plan.on_record import Identity, rows_among
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.plan.rows import FactPlan, PlanRow, Verdict, refuse_row
from inventory.sheets.plan.to_facts import when_of
from inventory.sheets.readers.tables import Row
from inventory.store.dates import When
from inventory.store.facts import split_fact_id

__all__ = ["FactRow", "needed", "settled"]


@dataclass(slots=True)
class FactRow:
    """A row of facts as read: its cells, which part it names, what it says, what is wrong in it, its part if found.

    `old`: the fact on record that it changes; `changed`: the columns in which it does, all that it says for a new fact.
    """

    sheet: SheetLayout
    row: Row
    kind: FactKind
    texts: Mapping[str, str]
    named: PartCells
    said: Said
    problems: list[CellProblem]
    part: Identity | None = None
    old: FactView | None = None
    changed: Sequence[str] = ()

    @property
    def what(self) -> str:
        """What it is about in a few words."""
        words = " ".join(filter(None, (self.named.part_number, self.named.serial)))
        return (self.part.tag if self.part else "") or words or self.sheet.kind.name

    def refused(self, *problems: CellProblem) -> PlanRow:
        """The row, refused."""
        return refuse_row(self.sheet, self.row, self.what, [*self.problems, *problems])

    def unchanged(self) -> PlanRow:
        """The row, which says what is on record."""
        return PlanRow(self.sheet, self.row, "unchanged", about=self.what)


def needed(kind: FactKind) -> list[str]:
    """The columns that a new row cannot leave empty; a currency is asked for where its amount is read."""
    meant = _sheet(kind).if_empty
    return [each.name for each in kind.values if each.needed and not each.beside and each.name not in meant]


def _sheet(kind: FactKind) -> Sheet:
    """The sheet of a kind of fact that has one."""
    if kind.sheet is None:
        raise LookupError(kind.word)
    return kind.sheet


def settled(
    session: Session, kind: FactKind, rows: Sequence[FactRow], of_file: Mapping[int, Identity], day: When, today: date
) -> Iterator[PlanRow]:
    """What becomes of rows of one kind that say something new, all checked at once.

    `of_file`: the parts that the file adds or changes, by key. `day`: when everything was so without a day of its own.
    """
    every = _every(session, kind, rows, of_file, day, today)
    settle(session, kind, [told for told in every if told.refused is None])
    own = {value.name for value in kind.values}
    for row, told in zip(rows, every, strict=True):
        if told.refused is not None:
            where = told.refused.where or ""
            column = where if where in own else needed(kind)[-1]
            text = row.texts.get(column) or (cells_of(kind, row.old).get(column) if row.old is not None else "")
            yield row.refused(problem_of(told.refused, column, text or ""))
            continue
        verdict: Verdict = "added" if row.old is None else "changed"
        key = _key(row.old) if row.old is not None else None
        work = FactPlan(kind, told, told.thing_id, _when(row), _how_known(kind, row, told), key)
        yield PlanRow(row.sheet, row.row, verdict, work, row.what, changes(kind, row.said, row.changed, row.old))


def _every(
    session: Session, kind: FactKind, rows: Sequence[FactRow], of_file: Mapping[int, Identity], day: When, today: date
) -> list[Told]:
    """What each row says, in columns; refused where it names something that is not on record."""
    keys = [_key(row.old) for row in rows if row.old is not None]
    old_rows = {old.id: old for (old,) in rows_among(session, select(kind.table), kind.table.id, keys)}
    things = {key: asdict(part) for key, part in of_file.items()}
    cell, if_empty = in_a_sheet(today, reference_of(session)), dict[str, Any]()
    for name, text in _sheet(kind).if_empty.items():
        merge(if_empty, kind.value(name, {}).read(text, cell))
    own, key_of, every = own_columns(kind.table), _key_of(session), []
    for row in rows:
        so = _when(row) or day
        old = old_rows[_key(row.old)] if row.old is not None else None
        columns = dict.fromkeys(own) if old is None else {name: getattr(old, name) for name in own}
        key = row.part.id if row.part is not None else 0
        latest = min(so.latest, today).isoformat()
        told = Told(key, columns, so.edtf, latest, old=old, thing=things.get(key))
        values = dict(if_empty if row.old is None else row.old.values)
        merge(values, row.said.values)
        try:
            put(kind, told, values, _spoken(kind, row, if_empty), key_of)
        except Refused as refusal:
            told.refused = refusal
        every.append(told)
    return every


def _spoken(kind: FactKind, row: FactRow, if_empty: Mapping[str, Any]) -> set[str]:
    """The values that a row says; a name that means what is on record keeps the key that it has there."""
    if row.old is None:
        return {*if_empty, *row.said.values}
    kept = {each.name.replace(" ", "_") for each in kind.values if each.refers and each.name not in row.changed}
    return {*row.said.values} - kept


def _key_of(session: Session) -> KeyOf:
    """The way to find keys of names: those that may be entered get theirs when the plan is carried out."""
    on_record = key_on_record(session)
    found: dict[tuple[Any, ...], int | None] = {}

    def key_of(told: Told, column: str, table: str, name: str) -> int | None:
        if table in ENTERED:
            told.named[column] = (table, name)
            return None
        beside = tuple(value for key, value in told.columns.items() if key.endswith("_id"))
        if (known := (table, name, beside)) not in found:
            found[known] = on_record(told, column, table, name)
        return found[known]

    return key_of


def _key(fact: FactView) -> int:
    return (split_fact_id(fact.id) or ("", 0))[1]


def _when(row: FactRow) -> When | None:
    """When it was so, as the row says or else the fact that it changes; None where neither does."""
    old = row.old
    return row.said.on or (when_of(old.on, old.told) if old is not None and old.told != UNDATED else None)


def _how_known(kind: FactKind, row: FactRow, told: Told) -> str:
    """As the row says or, where its sheet has the column, the fact that it changes; else by what it says."""
    kept = row.old.how_known if row.old is not None and "how known" in _sheet(kind).columns else ""
    return row.said.how_known or kept or told.how_known or _sheet(kind).how_known
