"""Writes all that is known of parts into sheets, so that reading them back changes nothing."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import BinaryIO

import orjson
from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Misused
from inventory.facts.declare import FactKind
from inventory.facts.views import facts_of_many
from inventory.money import minor_digits, shown
from inventory.sheets.columns.catalogue import PARTS, SHEETS, SheetKind
from inventory.sheets.columns.cells import UNDATED
from inventory.sheets.columns.own_sheets import EVERY_SHEET
from inventory.sheets.plan.differences import NOTES_BETWEEN, standing_acquisition
from inventory.sheets.plan.fact_cells import cells_of
from inventory.sheets.plan.lists import LIST_SHEETS, ListSheet
from inventory.sheets.plan.on_record import PartState, add_looks, part_keys, states
from inventory.sheets.writers.ods import write_ods
from inventory.sheets.writers.own_pages import ThingNames, own_rows
from inventory.sheets.writers.page import Cell, Page, safe_in_csv, save
from inventory.sheets.writers.workbook import write_workbook
from inventory.store.facts import fact_id
from inventory.store.files import refuse_taken
from inventory.store.record import Record
from inventory.store.tables import Thing

__all__ = ["Written", "pages_of", "write_csv", "write_sheets"]

_CHUNK = 2000
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
#: Earlier days are written as text: spreadsheet programs count wrongly before (they know a 29 February 1900).
_FIRST_DAY = "1900-03-01"
_MOST_DIGITS = 15
_AMBIGUOUS = re.compile(r"[1-9]\d{0,2}\.\d{3}")


@dataclass(frozen=True)
class Written:
    """How many rows of each sheet were written, and how many rows the sheets have that were left out."""

    rows: dict[str, int]
    left_out: dict[str, int]


def write_sheets(record: Record, path: Path, *, sheet: str | None = None, overwrite: bool = False) -> Written:
    """Write all of a record as xlsx, ods or json; as csv one sheet, the parts unless `sheet` names another.

    An existing file is replaced only with `overwrite`. Raises `Misused` for another format or an unknown sheet.
    """
    write = _WRITERS.get(path.suffix.casefold())
    if write is None:
        kinds = ", ".join(suffix.removeprefix(".") for suffix in _WRITERS)
        raise Misused("sheet-kind", f"{path.name} must end in one of {kinds}", hint="for example: all.xlsx")
    names = [each.name for each in EVERY_SHEET]
    if sheet is not None and sheet not in names:
        raise Misused("no-such-sheet", f'unknown sheet "{sheet}"', where="--sheet", hint=f"one of: {', '.join(names)}")
    refuse_taken(path, overwrite=overwrite)
    with record.read() as session:
        pages = list(pages_of(session))
    wanted = sheet or (PARTS.name if write is write_csv else None)
    written = [page for page in pages if wanted in (None, page.name)]
    if not written:
        (empty,) = (each for each in EVERY_SHEET if each.name == wanted)
        written = [Page(empty.name, empty.columns, [])]
    write(path, written, overwrite=overwrite)
    left_out = {page.name: len(page.rows) for page in pages if page not in written and page.rows}
    return Written({page.name: len(page.rows) for page in written}, left_out)


def pages_of(session: Session) -> Iterator[Page]:
    """All of a record in sheets: those that people fill in, parts first; then each of the others that has rows."""
    tags: dict[int, str] = {}
    yield _parts_page(session, tags)
    names = ThingNames(session)
    listed: set[str] = set()
    for sheet in SHEETS:
        if sheet.fact is not None:
            yield _facts_page(session, sheet, sheet.fact, tags, names)
        elif sheet.name in LIST_SHEETS:
            page = _list_page(session, sheet, LIST_SHEETS[sheet.name])
            listed |= {str(row[0]) for row in page.rows if row[0]}
            yield page
    for own, rows in own_rows(session, listed):
        yield Page(own.name, own.columns, [_typed(own, own.columns, row) for row in rows])


def _parts_page(session: Session, tags: dict[int, str]) -> Page:
    """All parts; `tags` gets the tag of each by its key."""
    keys = part_keys(session)
    rows: list[list[Cell]] = []
    extras: list[dict[str, str]] = []
    for start in range(0, len(keys), _CHUNK):
        known = states(session, keys[start : start + _CHUNK])
        add_looks(session, known)
        for key, state in known.items():
            cells = _part_cells(state)
            rows.append([cells.get(column) for column in PARTS.columns])
            extras.append(state.extra)
            tags[key] = state.tag or ""
    own = list(dict.fromkeys(name for extra in extras for name in extra))
    for row, extra in zip(rows, extras, strict=True):
        row += [extra.get(name) for name in own]
    # A kept column with the name of a known one is numbered as a reader would number it, so that neither is lost.
    return Page("parts", [*PARTS.columns, *(f"{name} (2)" if name in PARTS.columns else name for name in own)], rows)


#: Why a part has no serial, in words that are no serial when the sheet is read again.
_NO_SERIAL = {"not legible": "not legible", "none on it": "none"}


def _part_cells(state: PartState) -> Mapping[str, Cell]:
    """A part in the columns of its sheet; of several seals, values and acquisitions the last."""
    seal = next(reversed(state.seals), None)
    came, stated = standing_acquisition(state), state.values[-1] if state.values else None
    cells: dict[str, Cell] = {
        column: getattr(state, column.replace(" ", "_"))
        for column in ("tag", "kind", "maker", "part number", "serial", "date code", "marks", "condition", "car")
    }
    cells["serial"] = state.serial or _NO_SERIAL.get(state.serial_state or "")
    cells |= {"position": state.position, "place": state.place, "whose": state.whose, "seal": seal}
    cells["match code"] = state.letters or state.match_code or state.match_code_state
    cells["match code read from"] = state.match_code_read_from
    cells["seal state"] = state.counted.get(seal, state.seals[seal]) if seal else None
    cells["notes"] = NOTES_BETWEEN.join(state.notes) or None
    if state.only_looks and len(state.looks) == 1:
        ((cells["seen by"], on),) = state.looks
        cells["seen on"] = _day(on)
    if came is not None:
        cells["acquired on"] = _day(came.on) if came.told != UNDATED else None
        cells["acquired from"], cells["price currency"] = came.party, came.currency
        cells["price"] = _amount(came.price, came.currency)
    if stated is not None:
        cells |= {
            "value currency": stated.currency,
            "value basis": stated.basis,
            "value on": None if stated.on.startswith("../") else _day(stated.on),
        }
        cells["value"] = _amount(stated.amount, stated.currency)
    return cells


def _facts_page(session: Session, sheet: SheetKind, kind: FactKind, tags: Mapping[int, str], names: ThingNames) -> Page:
    headers = [column for column in sheet.columns if column not in ("maker", "part number", "serial")]
    rows: list[list[Cell]] = []
    about = {key: {"tag": tag} for key, tag in tags.items()}
    if others := {table for table in sheet.things.values() if table != "part"}:
        named = session.scalars(select(Thing.id).where(Thing.kind.in_(others)).order_by(Thing.id))
        about |= names.of(named, sheet)
    keys = list(about)
    for start in range(0, len(keys), _CHUNK):
        facts = facts_of_many(session, keys[start : start + _CHUNK], (kind.table,))
        rows += [
            _typed(sheet, headers, {"fact": fact.id, **about[key], **cells_of(kind, fact)})
            for key in keys[start : start + _CHUNK]
            for fact in facts.get(key, ())
        ]
    return Page(sheet.name, headers, rows)


def _list_page(session: Session, sheet: SheetKind, listed: ListSheet) -> Page:
    rows: list[list[Cell]] = []
    for each in listed.on_record(session).values():
        cells = dict(each.cells)
        if each.fact is not None:
            cells["fact"] = fact_id(listed.kind.name, each.fact)
        rows.append(_typed(sheet, sheet.columns, cells))
    return Page(sheet.name, sheet.columns, rows)


def _typed(sheet: SheetKind, columns: Sequence[str], cells: Mapping[str, str]) -> list[Cell]:
    """The cells of a row: texts but for the columns of amounts and of days."""
    row: list[Cell] = [cells.get(column) for column in columns]
    for place, column in enumerate(columns):
        if column in sheet.amounts:
            row[place] = _amount(cells.get(column), cells.get(sheet.amounts[column]))
        elif column in sheet.days:
            row[place] = _day(cells.get(column))
    return row


def _day(edtf: str | None) -> Cell:
    """A plain day as a day, any other time as its text."""
    plain = edtf is not None and _DAY.fullmatch(edtf) and edtf >= _FIRST_DAY
    return date.fromisoformat(edtf) if plain and edtf else edtf


def _amount(digits: str | None, currency: str | None) -> Cell:
    """An amount with its currency's decimals; text where a number would lose digits or could be read in two ways."""
    if digits is None or currency is None:
        return None
    text = shown(Decimal(digits), currency)
    if _AMBIGUOUS.fullmatch(text):
        return f"{text}0"
    plain = len(text) <= _MOST_DIGITS and minor_digits(currency) <= 2
    return Decimal(text) if plain else text


def write_csv(path: Path, pages: Sequence[Page], *, overwrite: bool = False) -> None:
    """One page as comma-separated UTF-8 with a byte order mark (RFC 4180)."""
    (page,) = pages

    def write(file: BinaryIO) -> None:
        text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
        writer = csv.writer(text)
        for row in (page.headers, *page.rows):
            writer.writerow([safe_in_csv(_plain(cell)) for cell in row])
        text.detach()

    save(path, write, overwrite=overwrite)


def _write_json(path: Path, pages: Sequence[Page], *, overwrite: bool = False) -> None:
    """Every page as a list of objects without empty cells; only the first object has all columns, in their order."""
    data = {
        page.name: [
            {
                column: None if cell is None else _plain(cell)
                for column, cell in zip(page.headers, row, strict=True)
                if cell is not None or not place
            }
            for place, row in enumerate(page.rows)
        ]
        for page in pages
    }
    save(path, lambda file: file.write(orjson.dumps(data, option=orjson.OPT_INDENT_2)), overwrite=overwrite)


def _plain(cell: Cell) -> str:
    return "" if cell is None else cell.isoformat() if isinstance(cell, date) else str(cell)


_WRITERS: dict[str, Callable[..., None]] = {
    ".xlsx": write_workbook,
    ".ods": write_ods,
    ".csv": write_csv,
    ".json": _write_json,
}
