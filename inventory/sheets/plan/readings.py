"""What was read of a sheet before, and which of its rows are gone since; notes what is read now."""

from __future__ import annotations

import json
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import PurePath
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.write import write
from inventory.parts.tables import Part
from inventory.record.tables import SheetReading
from inventory.sheets.columns.catalogue import header_key
from inventory.sheets.columns.leaving import leaving_of
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.sheets.plan.on_record import rows_among
from inventory.sheets.plan.rows import Plan, TableRead
from inventory.sheets.plan.told import kept_up_to
from inventory.store.begin import RECORD_THING
from inventory.store.facts import Act, as_of, make_fact
from inventory.store.journal.keys import supersede

__all__ = ["Reading", "listed_parts", "plan_gone", "standing_readings", "write_readings"]

#: A sheet is the next version of one with at least so many of its headers, and of whose headers it has as many.
_SHARED = 0.8
#: So many parts that are gone are named one by one.
_NAMED = 20


@dataclass(frozen=True)
class Reading:
    """A table as it was last read: its fact, where it stood, its headers and parts."""

    row: SheetReading
    headers: frozenset[str]
    parts: frozenset[int] = field(repr=False)

    @property
    def on(self) -> str:
        """The day up to which it was kept; if nobody said, the day it was read."""
        return self.row.recorded_on if self.row.told else self.row.so_from


def standing_readings(session: Session) -> list[Reading]:
    """The last reading of each table, oldest first."""
    query = as_of(select(SheetReading).where(SheetReading.thing_id == RECORD_THING), SheetReading)
    rows = session.scalars(query)
    return [Reading(row, frozenset(json.loads(row.headers)), frozenset(json.loads(row.parts))) for row in rows]


def _headers(sheet: SheetLayout) -> frozenset[str]:
    return frozenset(header_key(each.header) for each in sheet.headings) - {""}


def _versions(sheet: SheetLayout, readings: Iterable[Reading]) -> list[Reading]:
    """The readings with headers like those of a sheet."""
    own = _headers(sheet)
    return [each for each in readings if len(own & each.headers) >= _SHARED * max(len(own), len(each.headers), 1)]


def listed_parts(sheets: Iterable[SheetLayout], readings: Sequence[Reading]) -> set[int]:
    """The parts of the last versions of sheets with such headers."""
    return {key for sheet in sheets for each in _versions(sheet, readings) for key in each.parts}


def _last_version(table: TableRead, file: str, readings: Sequence[Reading]) -> Reading | None:
    """The last version of a table: of the same tab in a file with a like name, or with half of its parts."""
    best, most = None, (False, 0)
    for each in _versions(table.sheet, readings):
        shared = len(each.parts.intersection(table.parts))
        named = shared > 0 and each.row.tab == table.sheet.name and _stem(each.row.file_name) == _stem(file)
        if (named or shared * 2 >= max(len(each.parts), 1)) and (best is None or (named, shared) > most):
            best, most = each, (named, shared)
    return best


def _mended_by(table: TableRead, file: str, readings: Sequence[Reading]) -> Reading | None:
    """The version of which a file has the rows that were refused."""
    return next((each for each in _versions(table.sheet, readings) if each.row.rejects == file), None)


def _stem(file: str) -> str:
    """A file's name without what changes from version to version: figures and signs."""
    return re.sub(r"[\W\d_]+", "", PurePath(file).stem.casefold())


def plan_gone(session: Session, plan: Plan, today: date, readings: Sequence[Reading]) -> None:
    """Note for each table its last version, and list the parts of it that no row of the file is any more.

    They stay as they are unless somebody says how they left. None is listed if most are gone: those rows may have been
    filtered out or pasted elsewhere. Rows that a filter hides in a workbook are read like all others.
    """
    left = list(readings)
    here = {key for table in plan.tables for key in (*table.parts, *table.refused)}
    for table in plan.tables:
        table.last = _mended_by(table, plan.file, left) or _last_version(table, plan.file, left)
        if table.last is None:
            continue
        left.remove(table.last)
        if table.last.row.rejects == plan.file:
            continue
        missing = table.last.parts - here
        if not missing or None in table.unmatched:
            continue
        query = select(Part.id, Part.tag, Part.kind, Part.maker, Part.part_number, Part.serial)
        query = query.where(Part.kind.is_not(None), Part.gone.is_(None)).order_by(Part.id)
        gone = [row for row in rows_among(session, query, Part.id, missing) if row.kind not in table.unmatched]
        if len(missing) * 2 > len(table.last.parts):  # a piece of that list, or another one
            plan.remarks.append(
                f"{table.sheet.name}: {len(gone)} of the {len(table.last.parts)} parts of its last version "
                f"({table.last.row.file_name}, {table.last.on}) are not in it; they stay as they are"
            )
            table.last = None
        elif gone:
            _list_gone(plan, table, gone, today)


def _list_gone(plan: Plan, table: TableRead, gone: Sequence[Any], today: date) -> None:
    since = table.last.on if table.last is not None else ""
    are = "1 row is" if len(gone) == 1 else f"{len(gone)} rows are"
    named = ", ".join(_described(row) for row in gone[:5]) + (f" and {len(gone) - 5} more" if gone[5:] else "")
    plan.remarks.append(
        f"{table.sheet.name}: {are} gone since {since}: {named}; nothing is done with them unless you say so"
    )
    choices = (Choice("left", "leave it as it is"), Choice("gone: sold", "sold"), Choice("gone: scrapped", "scrapped"))
    for row in gone[:_NAMED]:
        key = key_of("gone", table.sheet.name, row.tag)
        says = f"{_described(row)} is gone from {table.sheet.name} since {since}"
        plan.questions.append(SheetQuestion(key, says, choices, taken="left", typed="text"))
        answer = plan.answers.said.get(key, "left")
        if answer == "left":
            continue
        leaving = leaving_of(answer.removeprefix("gone").lstrip(": "), today)
        if leaving is None:
            plan.remarks.append(f'{row.tag}: "{answer}" does not say how it left; for example "gone: sold 2023"')
        else:
            plan.leavings.append((row.id, leaving, f"{table.sheet.name}, no longer in it"))


def _described(row: Any) -> str:
    return " ".join(filter(None, (row.tag, row.kind, row.maker, row.part_number, row.serial)))


def write_readings(session: Session, act: Act, plan: Plan, made: Mapping[int, int], rejects: str | None) -> None:
    """Note what was read of each table of parts; one that says nothing new is not noted again.

    `made`: the keys of new parts by their keys in the plan.
    """
    rows: list[Any] = []
    verdicts: dict[int, Counter[str]] = defaultdict(Counter)
    for row in plan.rows:
        verdicts[id(row.sheet)][row.verdict] += 1
    for table in plan.tables:
        counts = verdicts[id(table.sheet)]
        nothing_new = counts["unchanged"] == counts.total()
        if nothing_new and (table.last is None or table.last.parts == set(table.parts)):
            continue
        to_mend = counts["refused"]
        values = {
            "tab": table.sheet.name,
            "headers": json.dumps(sorted(_headers(table.sheet)), ensure_ascii=False),
            "rows": len(table.sheet.rows),
            "parts": json.dumps(sorted({made.get(key, key) for key in table.parts})),
            "to_mend": to_mend,
            "rejects": rejects if to_mend else None,
        }
        old, file = (table.last.row if table.last is not None else None), plan.file
        if table.last is not None and table.last.row.rejects == file:  # the rest of a version that was read before
            whole = table.last.parts | set(json.loads(str(values["parts"])))
            kept = {name: getattr(table.last.row, name) for name in ("tab", "headers", "rows")}
            values |= {**kept, "parts": json.dumps(sorted(whole)), "rejects": rejects if to_mend else None}
            file = table.last.row.file_name
        old = session.get(SheetReading, old.id) if old is not None else None  # the one read before is no longer held
        if old is not None and all(getattr(old, name) == value for name, value in values.items()):
            continue
        day = plan.day or kept_up_to(table.sheet.kept_up_to, act.today)
        fact = make_fact(SheetReading, act, RECORD_THING, day, how_known="read", file_name=file, **values)
        if old is not None:
            supersede(session, act, old, fact)
            rows.append(old)
        rows.append(fact)
    if rows:
        write(session, act, rows)
