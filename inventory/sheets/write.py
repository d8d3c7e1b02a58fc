"""Writing all that is known of parts into sheets, so that reading them back changes nothing."""

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
from sqlalchemy.orm import Session

from inventory.errors import Misused
from inventory.parts.history import facts_of_many
from inventory.sheets.books import Cell, Page, safe_in_csv, save, write_book
from inventory.sheets.books_ods import write_ods
from inventory.sheets.cells import UNDATED
from inventory.sheets.columns import PARTS, SHEETS
from inventory.sheets.differences import NOTES_BETWEEN, standing_acquisition
from inventory.sheets.facts import FACT_SHEETS, cells_of
from inventory.sheets.lists import LIST_SHEETS, Standing, fits_on_record, positions_on_record
from inventory.sheets.queries import PartState, part_keys, states
from inventory.sheets.written import LIST_TABLES
from inventory.store.facts import fact_id
from inventory.store.files import refuse_taken
from inventory.store.record import Record
from inventory.worth.money import minor_digits, shown

__all__ = ["Written", "pages_of", "write_sheets"]

_CHUNK = 2000
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
#: Days from here on are written as days; a spreadsheet program counts wrongly before (it knows a 29 February 1900).
_FIRST_DAY = "1900-03-01"
_MOST_DIGITS = 15
_AMBIGUOUS = re.compile(r"[1-9]\d{0,2}\.\d{3}")


@dataclass(frozen=True)
class Written:
    """How many rows of each sheet were written, and how many of those that were left out."""

    rows: dict[str, int]
    left_out: dict[str, int]


def write_sheets(record: Record, path: Path, *, sheet: str | None = None, over: bool = False) -> Written:
    """Write the sheets of a record as xlsx, ods or json; one of them (the parts, or `sheet`) where it is a csv.

    A file that is there already is left alone unless `over` says to write over it.
    """
    write = _WRITERS.get(path.suffix.casefold())
    if write is None:
        kinds = ", ".join(suffix.removeprefix(".") for suffix in _WRITERS)
        raise Misused("sheet-kind", f"{path.name}: sheets are written as one of {kinds}", hint="name it all.xlsx")
    names = [each.name for each in SHEETS]
    if sheet is not None and sheet not in names:
        raise Misused("no-such-sheet", f'no sheet "{sheet}"', where="--sheet", hint=f"one of: {', '.join(names)}")
    refuse_taken(path, over=over)
    with record.read() as session:
        pages = list(pages_of(session))
    wanted = sheet or (PARTS.name if write is _write_csv else None)
    written = [page for page in pages if wanted in (None, page.name)]
    write(path, written, over=over)
    left_out = {page.name: len(page.rows) for page in pages if page not in written and page.rows}
    return Written({page.name: len(page.rows) for page in written}, left_out)


def pages_of(session: Session) -> Iterator[Page]:
    """The sheets of a record: parts first."""
    keys = part_keys(session)
    found = [
        state
        for start in range(0, len(keys), _CHUNK)
        for state in states(session, keys[start : start + _CHUNK]).values()
    ]
    yield _parts_page(found)
    tags = {state.id: state.tag for state in found}
    on_record = {"positions": positions_on_record, "fits": fits_on_record}
    for sheet in SHEETS:
        if sheet.name in FACT_SHEETS:
            yield _facts_page(session, sheet.name, tags)
        elif sheet.name in LIST_SHEETS:
            yield _list_page(sheet.name, sheet.columns, on_record[sheet.name](session))


def _parts_page(found: Sequence[PartState]) -> Page:
    own = list(dict.fromkeys(name for state in found for name in state.extra))
    rows = [
        [cells.get(column) for column in PARTS.columns] + [state.extra.get(name) for name in own]
        for state, cells in ((state, _part_cells(state)) for state in found)
    ]
    # A column of theirs that is called as one of ours is told apart as a reader would, so that neither is lost.
    return Page("parts", [*PARTS.columns, *(f"{name} (2)" if name in PARTS.columns else name for name in own)], rows)


def _part_cells(state: PartState) -> Mapping[str, Cell]:
    """A part in the columns of its sheet. Of several seals, values and ways of coming it is the last."""
    seal = next(reversed(state.seals), None)
    came, stated = standing_acquisition(state), state.values[-1] if state.values else None
    cells: dict[str, Cell] = {
        column: getattr(state, column.replace(" ", "_"))
        for column in ("tag", "kind", "maker", "part number", "serial", "date code", "marks", "condition", "car")
    }
    cells |= {"position": state.position, "place": state.place, "whose": state.whose, "seal": seal}
    cells["match code"] = state.match_code or state.match_code_state
    cells["match code read from"] = state.match_code_read_from
    cells["seal state"] = state.seals[seal] if seal else None
    cells["notes"] = NOTES_BETWEEN.join(state.notes) or None
    if came is not None:
        cells["acquired on"] = _day(came.on) if came.told != UNDATED else None
        cells["acquired from"], cells["price currency"] = came.party, came.currency
        cells["price"] = _amount(came.price, came.currency)
    if stated is not None:
        cells |= {"value currency": stated.currency, "value basis": stated.basis, "value on": _day(stated.on)}
        cells["value"] = _amount(stated.amount, stated.currency)
    return cells


def _facts_page(session: Session, name: str, tags: Mapping[int | None, str | None]) -> Page:
    sheet = FACT_SHEETS[name]
    head = ["fact", "tag", *sheet.columns]
    rows: list[list[Cell]] = []
    keys = [key for key in tags if key is not None]
    for start in range(0, len(keys), _CHUNK):
        facts = facts_of_many(session, keys[start : start + _CHUNK], (sheet.model,))
        for key in keys[start : start + _CHUNK]:
            for fact in facts.get(key, ()):
                cells = {"fact": fact.id, "tag": tags[key], **cells_of(fact)}
                rows.append([_typed(column, cells.get(column), cells.get("currency")) for column in head])
    return Page(name, head, rows)


def _list_page(name: str, columns: Sequence[str], standing: Mapping[tuple[str, str], Standing]) -> Page:
    rows: list[list[Cell]] = []
    for each in standing.values():
        cells = dict(each.cells)
        if each.fact is not None:
            cells["fact"] = fact_id(LIST_TABLES[name], each.fact)
        rows.append([_typed(column, cells.get(column), None) for column in columns])
    return Page(name, columns, rows)


def _typed(column: str, text: str | None, currency: str | None) -> Cell:
    if column in ("amount", "price"):
        return _amount(text, currency)
    return _day(text) if column == "on" else text


def _day(edtf: str | None) -> Cell:
    """A plain day as a day, any other time as its text."""
    plain = edtf is not None and _DAY.fullmatch(edtf) and edtf >= _FIRST_DAY
    return date.fromisoformat(edtf) if plain and edtf else edtf


def _amount(digits: str | None, currency: str | None) -> Cell:
    """An amount with its currency's decimals; as text where a number would lose digits or could be read in two ways."""
    if digits is None or currency is None:
        return None
    text = shown(Decimal(digits), currency)
    if _AMBIGUOUS.fullmatch(text):
        return f"{text}0"
    plain = len(text) <= _MOST_DIGITS and minor_digits(currency) <= 2
    return Decimal(text) if plain else text


def _write_csv(path: Path, pages: Sequence[Page], *, over: bool = False) -> None:
    """One page as comma-separated UTF-8 with its mark (RFC 4180)."""
    (page,) = pages

    def write(file: BinaryIO) -> None:
        text = io.TextIOWrapper(file, encoding="utf-8-sig", newline="")
        writer = csv.writer(text)
        for row in (page.head, *page.rows):
            writer.writerow([safe_in_csv(_plain(cell)) for cell in row])
        text.detach()

    save(path, write, over=over)


def _write_json(path: Path, pages: Sequence[Page], *, over: bool = False) -> None:
    """Every page as a list of objects; empty cells are left out, save in the first: it names all columns, in order."""
    data = {
        page.name: [
            {
                column: None if cell is None else _plain(cell)
                for column, cell in zip(page.head, row, strict=True)
                if cell is not None or not place
            }
            for place, row in enumerate(page.rows)
        ]
        for page in pages
    }
    save(path, lambda file: file.write(orjson.dumps(data, option=orjson.OPT_INDENT_2)), over=over)


def _plain(cell: Cell) -> str:
    return "" if cell is None else cell.isoformat() if isinstance(cell, date) else str(cell)


_WRITERS: dict[str, Callable[..., None]] = {
    ".xlsx": write_book,
    ".ods": write_ods,
    ".csv": _write_csv,
    ".json": _write_json,
}
