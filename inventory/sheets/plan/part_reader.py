"""Reads the rows of a sheet of parts by column: each text of a column is read once, however often it occurs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from itertools import repeat, starmap, zip_longest
from operator import itemgetter
from typing import Any

from inventory.errors import Refused
from inventory.facts.declare import Cell, Value
from inventory.reference.data import Reference
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import PARTS, language_of, word_meant
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import CUT_BEFORE, amount_of, cleaned, day_of, in_a_sheet
from inventory.sheets.columns.layout import SheetLayout, unnamed
from inventory.sheets.plan.part_cells import (
    ANOTHER,
    EMPTIED,
    READERS,
    PartCells,
    Serial,
    no_serial,
    read_code,
    read_serial,
)
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.readers.cell_text import Figure
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in, set_aside
from inventory.store.words.text import CUT

__all__ = ["PartReader", "half_a_look", "set_aside_remarks"]

_CURRENCIES = ("currency", *PARTS.amounts.values())
#: The order in which the problems of a row are reported.
_ORDER = {column: place for place, column in enumerate((*READERS, *PARTS.days, *PARTS.amounts))}
#: How many texts of a known column are remembered, and of a column of the file's own: there may be hundreds of those.
_MOST_KEPT, _MOST_OWN = 10_000, 200
_NOTHING: dict[str, str] = {}


class _Column(dict[str, Any]):
    """The values of the texts of one column. Each text is read once, however often it occurs."""

    def __init__(
        self,
        name: str,
        read: Callable[[str], Any] = str,
        most_kept: int = _MOST_KEPT,
        *,
        emptied: Callable[[str], str] | None = None,
    ) -> None:
        """`read` gets a text without control characters and outer blanks; what it refuses is a problem of the cell.

        `emptied` gives the sentence on a word that says nothing in this column, "" for any other text.
        """
        super().__init__()
        self.name, self.read, self.most_kept = name, read, most_kept
        self.problems: dict[str, CellProblem] = {}
        self.with_controls: set[str] = set()
        self.emptied = emptied
        self.set_aside: dict[str, str] = {}

    def __missing__(self, text: str) -> Any:
        kept, controls = cleaned(text)
        if controls:
            self.with_controls.add(text)
        value = None
        if kept.endswith(CUT):
            self.set_aside[text], kept = CUT_BEFORE, ""
        if kept and self.emptied is not None and (says := self.emptied(str(kept))):
            self.set_aside[text] = says
        if kept and (text not in self.set_aside or self.name == "match code"):
            try:
                value = self.read(str(kept))
            except Refused as refusal:
                self.problems[text] = problem_of(refusal, self.name, kept)
        if len(self) >= self.most_kept:
            self.clear()
        self[text] = value
        return value


class _Amounts(dict[tuple[type, str, str | None], Any]):
    """The amounts of one column by type, text and currency: a number of the file is read differently from its text."""

    def __init__(self, name: str, cell_format: CellFormat) -> None:
        super().__init__()
        self.name, self.cell_format = name, cell_format
        self.problems: dict[tuple[type, str, str | None], CellProblem] = {}

    def __missing__(self, key: tuple[type, str, str | None]) -> Any:
        _, text, currency = key
        value = None
        try:
            value = amount_of(text, currency, self.cell_format)
        except Refused as refusal:
            self.problems[key] = problem_of(refusal, self.name, text)
        if len(self) >= _MOST_KEPT:
            self.clear()
        self[key] = value
        return value


class PartReader:
    """Reads the rows of a sheet of parts, some at a time."""

    def __init__(self, sheet: SheetLayout, today: date, reference: Reference) -> None:
        """`today`: no day in a cell may be later. `reference`: its kinds are known."""
        self.sheet = sheet
        cell = in_a_sheet(today, reference)
        readers: dict[str, Callable[[str], Any]] = {
            name: partial(_declared, read, cell) if isinstance(read, Value) else read for name, read in READERS.items()
        }
        for column in PARTS.days:
            readers[column] = partial(day_of, today=today, written=sheet.cell_format(column))
        language = language_of(sheet.kind, [heading.header for heading in sheet.headings])
        readers["match code"] = partial(read_code, language=language)
        readers["serial"] = partial(read_serial, language=language)
        readers["whose"] = partial(_whose, readers["whose"])
        self._columns = {name: _Column(name, read) for name, read in readers.items()}
        self._columns |= {name: _Column(name) for name in (*_CURRENCIES, *PARTS.amounts)}
        for name in (*EMPTIED, *PARTS.days, *PARTS.amounts, "match code"):
            self._columns[name].emptied = partial(set_aside, name, language=language)
        self._columns["tag"].emptied = partial(_no_tag, language=language)
        self._columns["serial"].emptied = partial(_no_serial, language=language)
        self._amounts = {name: _Amounts(name, sheet.cell_format(name)) for name in PARTS.amounts}
        self._own: dict[str, _Column] = {}

    def read(self, rows: Sequence[Row]) -> tuple[list[PartCells], dict[int, list[CellProblem]], list[str]]:
        """What the rows say; by the index of a row what cannot be read in it; remarks on removed characters."""
        texts, own = self._texts(rows)
        found = _Found(self.sheet.name, rows)
        values = {name: found.take(self._columns[name], column) for name, column in texts.items()}
        for name in PARTS.amounts:
            if name in texts:
                values[name] = self._read_amounts(name, texts[name], values, found)
        extra = {name: found.take(self._own_column(name), column) for name, column in own.items()}
        _validate_seals(values, texts, found)
        cells = _cells(len(rows), values, extra)
        if "seen by" in values or "seen on" in values:
            for index, row in enumerate(cells):
                found.remark(index, half_a_look(row.seen_by, row.seen_on))
        return cells, found.problems(), found.remarks()

    def _texts(self, rows: Sequence[Row]) -> tuple[dict[str, Sequence[str]], dict[str, Sequence[str]]]:
        """The texts of the rows by column, and those of the file's own columns by the name they are kept under."""
        known: dict[str, Sequence[str]] = {}
        own: dict[str, Sequence[str]] = {}
        width = len(self.sheet.columns)
        for place, texts in enumerate(zip_longest(*[row.cells for row in rows], fillvalue="")):
            name = self.sheet.columns[place] if place < width else None
            kept_as = self.sheet.own_names[place] if place < width else unnamed(place + 1)
            if name is not None:
                known[name] = _merged(known.get(name), texts)
            elif kept_as is not None:
                own[kept_as] = _merged(own.get(kept_as), texts)
        return known, own

    def _own_column(self, name: str) -> _Column:
        if name not in self._own:
            self._own[name] = _Column(name, most_kept=_MOST_OWN)
        return self._own[name]

    def _read_amounts(
        self, name: str, texts: Sequence[str], values: dict[str, list[Any]], found: _Found
    ) -> list[tuple[str, str] | None]:
        """Amounts, with the currency beside them, else in the header, else for the whole row, else for the file."""
        amounts, header = self._amounts[name], self.sheet.header_currency(name)
        beside = values.get(PARTS.amounts[name]) or repeat(None)
        of_row = values.get("currency") or repeat(None)
        read: list[tuple[str, str] | None] = []
        for index, (text, plain, currency, whole) in enumerate(zip(texts, values[name], beside, of_row, strict=False)):
            if plain is None:
                read.append(None)
                continue
            kept = text if isinstance(text, Figure) else plain
            key = type(kept), kept, currency or header or whole or self.sheet.default_currency
            read.append(amounts[key])
            if key in amounts.problems:
                found.wrong(index, amounts.problems[key])
        return read


def _whose(read: Callable[[str], Any], text: str) -> Any:
    """Whose a part is; a word for not known is an answer here."""
    return "not known" if nothing_in(text) == "not known" else read(text)


def _no_tag(text: str, language: str) -> str:
    """The sentence on a word for nothing under `tag`; "" for "ditto", which is refused: it would mean another part."""
    return "" if nothing_in(text, language) == "as above" else set_aside("tag", text, language)


def _no_serial(text: str, language: str) -> str:
    """The sentence on a word for nothing under `serial`; "" if it says why there is none, which is recorded."""
    return "" if no_serial(text, language) else set_aside("serial", text, language)


def _declared(value: Value, cell: Cell, text: str) -> Any:
    """What a text says, as a declared value reads it."""
    (found,) = value.read(text, cell).values()
    return found


def _merged(before: Sequence[str] | None, texts: Sequence[str]) -> Sequence[str]:
    """Two columns of the file that stand for one: of two cells the later one counts, unless it is empty."""
    if before is None:
        return texts
    return [later if later and not later.isspace() else earlier for earlier, later in zip(before, texts, strict=True)]


class _Found:
    """What is noticed in some rows: problems of cells, and removed control characters."""

    def __init__(self, sheet_name: str, rows: Sequence[Row]) -> None:
        self._sheet_name, self._rows = sheet_name, rows
        self._wrong: list[tuple[int, int, CellProblem]] = []
        self._removed: list[tuple[int, str]] = []
        self._set_aside: dict[str, list[int]] = {}

    def take(self, column: _Column, texts: Sequence[str]) -> list[Any]:
        """The values of the texts of a column. Rows are only searched if something was noticed in the column."""
        values = list(map(column.__getitem__, texts))
        if column.problems:
            for index, text in enumerate(texts):
                if text in column.problems:
                    self.wrong(index, column.problems[text])
        if column.set_aside:
            for index, text in enumerate(texts):
                if text in column.set_aside:
                    self._set_aside.setdefault(column.set_aside[text], []).append(self._rows[index].number)
        if column.with_controls:
            self._removed += [(index, column.name) for index, text in enumerate(texts) if text in column.with_controls]
        return values

    def remark(self, index: int, says: str) -> None:
        """Note a sentence about a row; "" is none."""
        if says:
            self._set_aside.setdefault(says, []).append(self._rows[index].number)

    def wrong(self, index: int, problem: CellProblem, *, last: bool = False) -> None:
        """Note a problem of a row; `last`: report it after those of all columns."""
        self._wrong.append((index, len(_ORDER) if last else _ORDER[problem.column], problem))

    def problems(self) -> dict[int, list[CellProblem]]:
        """The problems by index of the row, in the order of the columns."""
        by_row: dict[int, list[CellProblem]] = {}
        for index, _, problem in sorted(self._wrong, key=itemgetter(0, 1)):
            by_row.setdefault(index, []).append(problem)
        return by_row

    def remarks(self) -> list[str]:
        """A remark for each cell from which control characters were removed, and for each word that says nothing."""
        controls = [
            f"{self._sheet_name}, row {self._rows[index].number}: control characters were removed from {name}"
            for index, name in sorted(self._removed, key=itemgetter(0))
        ]
        return [*controls, *set_aside_remarks(self._sheet_name, self._set_aside)]


def set_aside_remarks(sheet: str, said: Mapping[str, Sequence[int]]) -> list[str]:
    """A remark for each word that says nothing, with its rows."""
    more = {says: f" and {len(rows) - 1} more" if rows[1:] else "" for says, rows in said.items()}
    return [f"{sheet}, row {rows[0]}{more[says]}: {says}" for says, rows in said.items()]


def half_a_look(by: str | None, on: object) -> str:
    """The sentence on a row that names only who looked, or only the day; "" if it names both or neither."""
    if bool(by) == bool(on):
        return ""
    missing = "seen on" if by else "seen by"
    return f'"{missing}" is empty, so the row is kept as what a sheet says, not as a look'


def _validate_seals(values: dict[str, list[Any]], texts: dict[str, Sequence[str]], found: _Found) -> None:
    """A word for a state in the column `seal` is the state of the seal; a seal without a state is a problem."""
    if "seal" not in values:
        return
    seals = values["seal"]
    states = values.setdefault("seal state", [None] * len(seals))
    state_texts = texts.get("seal state")
    for index, seal in enumerate(seals):
        if seal is None or states[index] is not None:
            continue
        if (meant := word_meant("seal state", seal)) in STATES:
            seals[index], states[index] = None, meant
        elif state_texts is None or not cleaned(state_texts[index])[0]:
            hint = f"one of: {', '.join(STATES)}"
            found.wrong(index, CellProblem("seal", seal, "does not say how the seal was found", hint), last=True)


_NO_SERIAL = Serial(None, "", "")


def _cells(count: int, values: dict[str, list[Any]], extra: dict[str, list[Any]]) -> list[PartCells]:
    """The rows, put together from their columns."""
    tags_read: Iterable[Any] = values.get("tag") or repeat(None)
    another: Iterable[bool] = repeat(False)
    if "tag" in values and ANOTHER in values["tag"]:
        another = [tag == ANOTHER for tag in values["tag"]]
        tags_read = [None if tag == ANOTHER else tag for tag in values["tag"]]
    serials = [each or _NO_SERIAL for each in values.get("serial", ())] or [_NO_SERIAL] * count
    numbers = [each or (None, "") for each in values.get("part number", ())] or [(None, "")] * count
    serial, serial_key, serial_alike, serial_state = zip(*serials, strict=True)
    number, number_key = zip(*numbers, strict=True)
    before = [values.get(name) or repeat(None) for name in ("kind", "maker")]
    between = [values.get(name) or repeat(None) for name in _IN_ORDER]
    columns = [tags_read, another, *before, number, serial, *between, _extras(count, extra)]
    columns += [serial_key, serial_alike, number_key, serial_state]
    return list(starmap(PartCells, zip(*columns)))  # noqa: B905 - some of them repeat without end


#: The columns of the fields of `PartCells` from `date_code` to `seen_on`.
_IN_ORDER = (
    *("date code", "match code", "match code read from", "marks", "seal", "seal state", "condition", "car"),
    *("position", "place", "whose", "acquired on", "acquired from", "price", "value", "value basis", "value on"),
    *("notes", "seen by", "seen on"),
)


def _extras(count: int, columns: dict[str, list[Any]]) -> Iterator[dict[str, str]]:
    """For each row its own columns by name; rows that say the same share one dictionary."""
    if not columns:
        yield from repeat(_NOTHING, count)
        return
    known: dict[tuple[Any, ...], dict[str, str]] = {}
    for row in zip(*columns.values(), strict=True):
        if row not in known:
            known[row] = {name: text for name, text in zip(columns, row, strict=True) if text is not None}
        yield known[row]
