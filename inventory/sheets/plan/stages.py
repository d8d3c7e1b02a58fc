"""Reads a workbook that holds all of a record: things first, then parts, then what is known of them.

A fact can only be checked once what it names is on record. So each stage is written before the next one is planned, all
in one transaction; what is written for a trial is undone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts import tags
from inventory.parts.actions import new_parts, number_rows
from inventory.parts.tables import Part, PartNumber
from inventory.people.actions import contact_rows
from inventory.people.queries import names_of_contacts
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.own_sheets import RECORD
from inventory.sheets.plan.carry_out import carry_out
from inventory.sheets.plan.facts import plan_facts
from inventory.sheets.plan.lists import plan_lists
from inventory.sheets.plan.parts import plan_parts
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.plan.rows import Plan, PlanRow, refuse_row
from inventory.sheets.plan.things import ThingsNamed
from inventory.sheets.plan.told import undated
from inventory.sheets.progress import OnProgress, ignore_progress
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When
from inventory.store.facts import Act
from inventory.store.journal.keys import new_things
from inventory.store.many import among
from inventory.store.tables import Base, RecordInfo
from inventory.store.words.text import fold, squeeze

__all__ = ["holds_all", "plan_in_stages"]

#: The sheets of things whose first row about a name that is not on record makes the thing, in the order of reading.
_THINGS = ("cars", "places", "instruments")
_Told = Callable[[Plan], None]


def holds_all(sheets: Sequence[SheetLayout]) -> bool:
    """Whether a file has rows in sheets that only the program writes: it is read in stages."""
    return any(sheet.kind.own and (sheet.rows or sheet.titles) for sheet in sheets)


def plan_in_stages(session: Session, act: Act, plan: Plan, day: When, on_progress: OnProgress) -> None:
    """Plan the sheets of a plan and carry the plan out, stage by stage. `day`: when all was so that gives no day."""
    plan.elsewhere = _of_another(session, plan.sheets)
    plan.remarks += _not_read(plan)
    stages = _Stages(session, act, plan, undated(act.today) if plan.elsewhere else day, on_progress)
    for sheet in plan.sheets:
        _set_aside_papers(session, plan, sheet)
    for sheet in plan.sheets:
        if sheet.kind.name == "contacts":
            stages.contacts(sheet)
        elif sheet.kind.name == "part numbers":
            stages.numbers(sheet)
    for name in _THINGS:
        stages.things([sheet for sheet in plan.sheets if sheet.kind.name == name])
    stages.rest()


def _of_another(session: Session, sheets: Sequence[SheetLayout]) -> bool:
    """Whether the workbook is of another record: its ids of facts mean nothing here."""
    own = session.scalar(select(RecordInfo.identity))
    return any(sheet.titles[0][0] != own for sheet in sheets if sheet.kind is RECORD and sheet.titles)


def _not_read(plan: Plan) -> Iterator[str]:
    """What another record's workbook tells of what was done there."""
    told = [f"{sheet.name} ({len(sheet.titles)})" for sheet in plan.sheets if sheet.kind.told and sheet.titles]
    if plan.elsewhere and told:
        yield f"Not read, since it tells of that record itself: {', '.join(told)}"


def _set_aside_papers(session: Session, plan: Plan, sheet: SheetLayout) -> None:
    """Take out the names of documents that are not here, and the rows that say nothing without one."""
    named = [value for value in sheet.kind.values.values() if value.refers == "document"]
    if not named or not plan.elsewhere:
        return
    known = {fold(name) for name in session.scalars(select(Document.file_name))}
    kept, rows, cells = [], 0, 0
    place = sheet.columns.index(named[0].name) if named[0].name in sheet.columns else -1
    for row in sheet.rows:
        missing = 0 <= place < len(row.cells) and row.cells[place] and fold(row.cells[place]) not in known
        if missing and named[0].needed:
            rows += 1
            continue
        cells += bool(missing)
        kept.append(Row(row.number, [*row.cells[:place], "", *row.cells[place + 1 :]]) if missing else row)
    sheet.rows[:] = kept
    for count, what in ((rows, "row"), (cells, "cell")):
        if count:
            many = f"1 {what} was" if count == 1 else f"{count} {what}s were"
            plan.remarks.append(f"{sheet.name}: {many} not read, naming documents that are not in this record")


class _Stages:
    """One workbook while it is read: each method plans a stage and carries it out."""

    def __init__(self, session: Session, act: Act, plan: Plan, day: When, on_progress: OnProgress) -> None:
        self._session, self._act, self._plan, self._day, self._on_progress = session, act, plan, day, on_progress

    def contacts(self, sheet: SheetLayout) -> None:
        """Enter people and firms; what is on record of a known one stays as it is."""
        known = {fold(name) for name in names_of_contacts(self._session)}
        rows: list[Base] = []
        for row, texts in self._texts(sheet, "contact"):
            if fold(texts["contact"]) not in known:
                known.add(fold(texts["contact"]))
                (thing,) = new_things(self._session, "contact")
                more = {name: texts.get(name) for name in ("address", "telephone")}
                rows += contact_rows(self._act, thing, texts["contact"], self._day, texts.get("role"), **more)
                self._plan.rows.append(PlanRow(sheet, row, "added", about=texts["contact"]))
            else:
                self._plan.rows.append(PlanRow(sheet, row, "unchanged", about=texts["contact"]))
        self._write(rows)

    def numbers(self, sheet: SheetLayout) -> None:
        """Enter part numbers."""
        known = set(self._session.scalars(select(PartNumber.squeezed)))
        rows: list[Base] = []
        for row, texts in self._texts(sheet, "part number"):
            written = texts["part number"]
            verdict = "unchanged" if squeeze(written) in known else "added"
            if verdict == "added":
                known.add(squeeze(written))
                (thing,) = new_things(self._session, "part_number")
                rows += number_rows(thing, written, texts.get("of kind"))
            self._plan.rows.append(PlanRow(sheet, row, verdict, about=written))  # type: ignore[arg-type]
        self._write(rows)

    def things(self, sheets: Sequence[SheetLayout]) -> None:
        """Enter cars, places or instruments with what is known of them; what they are within comes before them."""
        waiting = [(sheet, row) for sheet in sheets for row in sheet.rows]
        while waiting:
            ready = [each for each in waiting if not self._is_within(*each)] or waiting
            done = {id(row) for _, row in ready}
            waiting = [each for each in waiting if id(each[1]) not in done]
            for sheet in sheets:
                if some := [row for of, row in ready if of is sheet]:
                    self._things(sheet, some)

    def _is_within(self, sheet: SheetLayout, row: Row) -> bool:
        """Whether a place is within one that is not on record yet."""
        within = sheet.values(row.cells).get("within")
        if within is None:
            return False
        try:
            ThingsNamed(self._session).key("place", within)
        except Refused:
            return True
        return False

    def _things(self, sheet: SheetLayout, rows: Sequence[Row]) -> None:
        (column, table), *_ = sheet.kind.things.items()
        model: Any = sheet.kind.fact and _model_of(self._session, table)
        here = {fold(name) for name in self._session.scalars(select(model.name)) if name}
        new: dict[str, int] = {}
        part = self._part_of_plan(sheet, rows)
        for row in rows:
            name = sheet.values(row.cells).get(column, "")
            if name and fold(name) not in here and fold(name) not in new:
                (thing,) = new_things(self._session, table)
                new[fold(name)] = thing.id
                part.new[thing.id] = [thing, model(id=thing.id)]
        plan_facts(self._session, part, part.sheets, self._act.today, self._day, new={table: new})
        self._carry_out(part, sheet)

    def rest(self) -> None:
        """Enter parts, and then all facts, in the order of the sheets; the sheet of parts is read last.

        It sums up what the others say of each part, so it adds only what it says otherwise.
        """
        session, plan, today = self._session, self._plan, self._act.today
        told = self._parts_told()
        parts = [sheet for sheet in plan.sheets if sheet.kind is PARTS]
        first, last = _split(parts, told)
        self._enter_parts(told)
        self._stage(first, lambda some: self._plan_parts(some, today), parts)
        lists = [sheet for sheet in plan.sheets if sheet.kind is not PARTS and sheet.kind.fact is None]
        self._stage(lists, lambda some: plan_lists(session, some, some.sheets, today))
        read = ("contacts", "part numbers", *_THINGS)
        facts = [sheet for sheet in plan.sheets if sheet.kind.fact is not None and sheet.kind.name not in read]
        for sheet in sorted(facts, key=lambda sheet: _rank(sheet)):
            self._stage([sheet], lambda some: plan_facts(session, some, some.sheets, today, self._day))
        before = len(plan.rows)
        self._stage(last, lambda some: self._plan_parts(some, today), parts)
        for row in plan.rows[before:]:
            if row.verdict != "refused":
                row.verdict = "added"

    def _parts_told(self) -> list[str]:
        """The tags of parts that are not on record, and of which the sheet of marks tells."""
        sheets = [sheet for sheet in self._plan.sheets if sheet.kind.name == "markings"]
        found: dict[str, None] = {}
        for sheet in sheets:
            for row in sheet.rows:
                try:
                    found[tags.parse(sheet.values(row.cells).get("tag", ""))] = None
                except Refused:
                    continue
        known = set(self._session.scalars(select(Part.tag).where(among(Part.tag, list(found))))) if found else set()
        listed = (
            sheet.values(row.cells).get("tag", "")
            for sheet in self._plan.sheets
            if sheet.kind is PARTS
            for row in sheet.rows
        )
        place = {tag: number for number, tag in enumerate(listed)}
        return sorted((tag for tag in found if tag not in known), key=lambda tag: place.get(tag, len(place)))

    def _enter_parts(self, told: Sequence[str]) -> None:
        made = new_parts(self._session, len(told), told) if told else []
        self._write([row for pair in made for row in pair])

    def _plan_parts(self, some: Plan, today: date) -> None:
        plan_parts(self._session, some, some.sheets, today, self._day, hold=True, on_progress=self._on_progress)

    def _stage(self, sheets: Sequence[SheetLayout], plan: _Told, originals: Sequence[SheetLayout] = ()) -> None:
        for place, sheet in enumerate(sheets):
            some = self._part_of_plan(sheet, sheet.rows)
            plan(some)
            self._carry_out(some, originals[place] if originals else sheet)

    def _part_of_plan(self, sheet: SheetLayout, rows: Sequence[Row]) -> Plan:
        whole = self._plan
        some = Plan([replace(sheet, rows=list(rows))], file=whole.file, answers=whole.answers)
        some.elsewhere, some.renumbered = whole.elsewhere, whole.renumbered
        return some

    def _carry_out(self, some: Plan, sheet: SheetLayout) -> None:
        """Write a stage, and put its rows into the whole plan as rows of the sheet as it stands in the file."""
        carry_out(self._session, self._act, self._day, some, ignore_progress)
        self._session.expunge_all()
        for row in some.rows:
            row.sheet = sheet
        whole = self._plan
        whole.rows += some.rows
        whole.remarks += some.remarks
        whole.duplicates += some.duplicates
        whole.questions += some.questions

    def _write(self, rows: list[Base]) -> None:
        if rows:
            write(self._session, self._act, rows)
            self._session.expunge_all()

    def _texts(self, sheet: SheetLayout, needed: str) -> Iterator[tuple[Row, dict[str, str]]]:
        """The rows of a sheet with their cells; one that names nothing is refused."""
        for row in sheet.rows:
            texts = self._plan.values_of(sheet, row)
            if needed in texts:
                yield row, texts
            else:
                self._plan.rows.append(refuse_row(sheet, row, "", [CellProblem(needed, "", "is needed here")]))


def _model_of(session: Session, table: str) -> Any:
    from inventory.facts.declare import declared

    return declared(session).thing(table).table


def _rank(sheet: SheetLayout) -> int:
    """Marks say of which kind a part is, and strip-downs are named by removals: they come before all other facts."""
    first = ("markings", "strip-downs", "earlier listings")
    return first.index(sheet.kind.name) if sheet.kind.name in first else len(first)


def _split(parts: Sequence[SheetLayout], told: Iterable[str]) -> tuple[list[SheetLayout], list[SheetLayout]]:
    """The sheets of parts, without the rows about these tags and with nothing else."""
    wanted = {squeeze(tag) for tag in told}
    first, last = [], []
    for sheet in parts:
        of_told = [squeeze(sheet.values(row.cells).get("tag", "")) in wanted for row in sheet.rows]
        first.append(replace(sheet, rows=[row for row, yes in zip(sheet.rows, of_told, strict=True) if not yes]))
        last.append(replace(sheet, rows=[row for row, yes in zip(sheet.rows, of_told, strict=True) if yes]))
    return first, last
