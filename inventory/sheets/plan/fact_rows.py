"""New and changed facts from the sheets of facts: put into drafts and validated like all other facts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, declared
from inventory.facts.fill import KeyOf, fill_columns, key_on_record, merge_values, validate
from inventory.facts.how_known import FROM_A_SHEET, OWN
from inventory.facts.views import FactView, own_columns
from inventory.reference.data import reference_of
from inventory.sheets.columns.catalogue import SheetKind
from inventory.sheets.columns.cells import UNDATED, in_a_sheet
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.plan.fact_cells import FactReader, RowValues, cells_of, changes
from inventory.sheets.plan.name_keys import ENTERED
from inventory.sheets.plan.on_record import Identity, rows_among
from inventory.sheets.plan.part_cells import PartCells
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.plan.rows import FactPlan, PlanRow, Verdict, place_in_file, refuse_row
from inventory.sheets.plan.to_facts import when_of
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When
from inventory.store.facts import split_fact_id
from inventory.store.words.text import squeeze

__all__ = ["FactRow", "keepable", "needed", "validated_rows"]


#: The conditions without which a run says the same, or less: any other (zero, leads, instrument) changes its figures.
_NOT_JUDGED_BY = frozenset(
    {
        *("ambient", "ambient end", "barometer", "barometer end", "altitude", "rig", "clock", "session", "note"),
        *("strokes", "usual strokes", "checked", "fluid"),
    }
)


@dataclass(slots=True)
class FactRow:
    """A row of facts: its cells, the part it names, its values, what is wrong in it, its part if found.

    `old`: the fact on record that it changes; `changed`: the columns that it changes, for a new fact all its columns.
    `written_as`: the id that it has in the record whose workbook this is. `part`: what it is about, part or not.
    `unread`: cells that are kept as text; `read_now`: by column the keys of such cells on record that it settles.
    """

    sheet: SheetLayout
    row: Row
    kind: FactKind
    texts: Mapping[str, str]
    named: PartCells
    given: RowValues
    problems: list[CellProblem]
    part: Identity | None = None
    unread: list[CellProblem] = field(default_factory=list)
    read_now: dict[str, int] = field(default_factory=dict)
    reader: FactReader | None = None
    old: FactView | None = None
    changed: Sequence[str] = ()
    written_as: str = ""

    @property
    def what(self) -> str:
        """What the row is about, in a few words."""
        words = " ".join(filter(None, (self.named.part_number, self.named.serial)))
        return (self.part.tag if self.part else "") or words or self.sheet.kind.name

    def keeps(self, refused: Refused, reader: FactReader) -> bool:
        """Keep the cell that makes the row refused as text, if it is not needed; whether that was done."""
        column = refused.where or ""
        if column not in keepable(self.sheet) or column not in self.given.columns:
            return False
        self.unread.append(problem_of(refused, column, self.texts[column]))
        self.texts = {name: text for name, text in self.texts.items() if name != column}
        self.given, _, _ = reader.read_all_but(self.texts, self.row.number, keepable(self.sheet))
        self.changed = [each for each in self.changed if each != column]
        self.read_now.pop(column, None)
        return True

    def refused(self, *problems: CellProblem) -> PlanRow:
        """The row, refused."""
        return refuse_row(self.sheet, self.row, self.what, [*self.problems, *problems])

    def unchanged(self) -> PlanRow:
        """The row, as one that agrees with the record."""
        return PlanRow(self.sheet, self.row, "unchanged", about=self.what)


def keepable(sheet: SheetLayout) -> frozenset[str]:
    """The columns whose cells are kept as text if they cannot be read: those that a row of facts can be without.

    Another part is never left out: what is said of a pair would be said of one of them.
    """
    if sheet.kind.own:
        return frozenset()
    kept = {name for name, value in sheet.kind.values.items() if not value.needed and value.refers != "part"}
    if sheet.kind.name == "runs":
        kept &= _NOT_JUDGED_BY
    return frozenset({*kept, "on", "seen by", "seen on"} - {"fact", "how known", "tag", *sheet.kind.if_empty})


def needed(sheet: SheetKind) -> list[str]:
    """The columns that a new row must fill; a missing currency is noticed when its amount is read."""
    every = sheet.values.values()
    return [each.name for each in every if each.needed and not each.beside and each.name not in sheet.if_empty]


def validated_rows(
    session: Session,
    kind: FactKind,
    rows: Sequence[FactRow],
    of_file: Mapping[int, Identity],
    day: When,
    today: date,
    *,
    strict: bool = False,
) -> Iterator[PlanRow]:
    """Validate the new and changed rows of one kind, all at once, and plan them.

    `of_file`: the parts that the file adds or changes, by key. `day`: the day of facts without their own. `strict`: a
    cell that cannot be so refuses its row also if it is not needed.
    """
    drafts = _drafts(session, kind, rows, of_file, day, today)
    _validate(session, kind, rows, drafts)
    while not strict:
        again = {
            place: row
            for place, (row, draft) in enumerate(zip(rows, drafts, strict=True))
            if draft.refused is not None and row.reader is not None and row.keeps(draft.refused, row.reader)
        }
        if not again:
            break
        some = list(again.values())
        anew = _drafts(session, kind, some, of_file, day, today)
        _validate(session, kind, some, anew)
        for place, draft in zip(again, anew, strict=True):
            drafts[place] = draft
    own = {value.name for value in kind.values}
    for row, draft in zip(rows, drafts, strict=True):
        if draft.refused is not None:
            where = draft.refused.where or ""
            column = (
                where
                if where in own
                else [row.sheet.kind.columns[1], *(each.name for each in kind.values if each.needed)][-1]
            )
            text = row.texts.get(column) or (cells_of(kind, row.old).get(column) if row.old is not None else "")
            yield row.refused(problem_of(draft.refused, column, text or ""))
            continue
        verdict: Verdict = "added" if row.old is None else "changed"
        key = _key(row.old) if row.old is not None else None
        work = FactPlan(
            *(kind, draft, draft.thing_id, _when(row), _how_known(row, draft), key),
            row.given.look,
            place_in_file(row.sheet, row.row),
            row.written_as,
            read_now=tuple(row.read_now.values()),
        )
        yield PlanRow(row.sheet, row.row, verdict, work, row.what, changes(kind, row.given, row.changed, row.old))


def _validate(session: Session, kind: FactKind, rows: Sequence[FactRow], drafts: Sequence[FactDraft]) -> None:
    """Check drafts; what only a command of its own writes comes back from a workbook that had it from a record."""
    validate(session, kind, [draft for draft in drafts if draft.refused is None])
    for row, draft in zip(rows, drafts, strict=True):
        if draft.refused is not None and draft.refused.code == "written-elsewhere" and row.written_as:
            draft.refused = None


def _drafts(
    session: Session, kind: FactKind, rows: Sequence[FactRow], of_file: Mapping[int, Identity], day: When, today: date
) -> list[FactDraft]:
    """A draft for each row; it is refused if it names a thing that is not on record."""
    keys = [_key(row.old) for row in rows if row.old is not None]
    old_rows = {old.id: old for (old,) in rows_among(session, select(kind.table), kind.table.id, keys)}
    things = {key: asdict(part) for key, part in of_file.items()}
    cell, if_empty = in_a_sheet(today, reference_of(session)), dict[str, Any]()
    for name, text in rows[0].sheet.kind.if_empty.items():
        merge_values(if_empty, kind.value(name, {}).read(text, cell))
    new = {squeeze(part.tag) for key, part in of_file.items() if key < 0 and part.tag}
    own, key_of, drafts = own_columns(kind.table), _key_of(session, new), []
    for row in rows:
        so = _when(row) or day
        old = old_rows[_key(row.old)] if row.old is not None else None
        columns = dict.fromkeys(own) if old is None else {name: getattr(old, name) for name in own}
        key = row.part.id if row.part is not None else 0
        latest = min(so.latest, today).isoformat()
        draft = FactDraft(key, columns, so.edtf, latest, old=old, thing=things.get(key))
        values = dict(if_empty if row.old is None else row.old.values)
        merge_values(values, row.given.values)
        try:
            fill_columns(kind, draft, values, _given_values(kind, row, if_empty), key_of)
        except Refused as refusal:
            draft.refused = refusal
        drafts.append(draft)
    return drafts


def _given_values(kind: FactKind, row: FactRow, if_empty: Mapping[str, Any]) -> set[str]:
    """The names of the values that a row gives; without unchanged references, which keep their key."""
    if row.old is None:
        return {*if_empty, *row.given.values}
    kept = {each.name.replace(" ", "_") for each in kind.values if each.refers and each.name not in row.changed}
    return {*row.given.values} - kept


def _key_of(session: Session, new_tags: Set[str]) -> KeyOf:
    """Make a `KeyOf`: new places, people and parts of the file get their keys when the plan is carried out."""
    on_record, registry = key_on_record(session), declared(session)
    found: dict[tuple[Any, ...], int | None] = {}

    def key_of(draft: FactDraft, column: str, table: str, name: str) -> int | None:
        if table in ENTERED or (table == "part" and squeeze(name) in new_tags):
            draft.named[column] = (table, name)
            return None
        if registry.is_fact(table):
            return _key_of_fact(table, name)
        if table == "position" and "car_id" not in draft.columns and " / " not in name:
            return registry.thing(table).find(session, name, {"car_id": draft.thing_id})
        beside = tuple(value for key, value in draft.columns.items() if key.endswith("_id"))
        if (known := (table, name, beside)) not in found:
            try:
                found[known] = on_record(draft, column, table, name)
            except Refused as refusal:
                refusal.where = refusal.where or column.removesuffix("_id").replace("_", " ")
                raise
        return found[known]

    return key_of


def _key_of_fact(table: str, name: str) -> int:
    """The key behind the id of a fact that another one names: the strip-down in which a part came off."""
    split = split_fact_id(name)
    if split is None or split[0] != table:
        word = table.replace("_", " ")
        raise Refused("no-such-fact", f'there is no {word} "{name}" in this record', where=word)
    return split[1]


def _key(fact: FactView) -> int:
    return (split_fact_id(fact.id) or ("", 0))[1]


def _when(row: FactRow) -> When | None:
    """When it was so: from the row, else from the fact that it changes, else None."""
    old = row.old
    if row.given.look is not None:
        return row.given.look[1]
    kept = when_of(old.on, old.told) if old is not None and old.told != UNDATED else None
    return row.given.on or row.given.seen_on or kept


def _how_known(row: FactRow, draft: FactDraft) -> str:
    """How the fact is known: from the row, else from the fact that it changes, else from its values.

    Only a row that names who looked, and on which day, is a look.
    """
    sheet = row.sheet.kind
    kept = row.old.how_known if row.old is not None and "how known" in sheet.columns else ""
    if row.given.look and "seen by" in sheet.columns:
        return row.given.how_known if row.given.how_known in OWN else sheet.looked
    given = row.given.how_known if row.given.how_known not in OWN or row.given.how_known == kept else ""
    return given or kept or draft.how_known or FROM_A_SHEET
