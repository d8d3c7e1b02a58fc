"""What the rows of the sheet of parts say: each column is read as a whole, each text in it once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from itertools import repeat, starmap, zip_longest
from operator import itemgetter
from typing import Any, NamedTuple

from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.markings import CODE_STATES, READ_FROM
from inventory.provenance.actions import WHOSE
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import word_meant
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import amount_of, cleaned, day_of, kind_named, one_word
from inventory.sheets.columns.layout import SheetLayout, unnamed
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.sheets.readers.cell_text import Figure
from inventory.sheets.readers.tables import Row
from inventory.store.dates import When
from inventory.store.text import alike, fold, short_enough
from inventory.worth.money import BASES

__all__ = ["ANOTHER", "FROM_ITSELF", "PartCells", "PartReader"]

#: In the column `tag`: the row is a part of its own, even if a part without a serial could be it.
ANOTHER = "new"
#: In the column `match code read from`: the code was read from the part itself.
FROM_ITSELF = "part"
#: How many texts of a column are remembered: serials and notes do not repeat.
_MOST_KEPT = 20_000
#: A text of fewer characters is short enough in any script.
_SURELY_SHORT = 100
_NOTHING: dict[str, str] = {}


@dataclass(slots=True)
class PartCells:
    """What a row says about a part; None: nothing. `another`: the user says that it is a part of its own.

    `match_code` is the code and its state; `price` and `value` are digits and currency. `serial_key`, `serial_alike`
    and `number_key` are serial and part number as they are compared.
    """

    tag: str | None = None
    another: bool = False
    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    serial: str | None = None
    date_code: str | None = None
    match_code: tuple[str | None, str] | None = None
    read_from: str | None = None
    marks: str | None = None
    seal: str | None = None
    seal_state: str | None = None
    condition: str | None = None
    car: str | None = None
    position: str | None = None
    place: str | None = None
    whose: str | None = None
    acquired_on: When | None = None
    acquired_from: str | None = None
    price: tuple[str, str] | None = None
    value: tuple[str, str] | None = None
    value_basis: str | None = None
    value_on: When | None = None
    notes: str | None = None
    extra: dict[str, str] = field(default_factory=dict)
    serial_key: str = ""
    serial_alike: str = ""
    number_key: str = ""

    def __post_init__(self) -> None:
        if self.serial and not self.serial_key:
            self.serial_key, self.serial_alike = fold(self.serial), alike(self.serial)
        if self.part_number and not self.number_key:
            self.number_key = fold(self.part_number)

    @property
    def acquired(self) -> bool:
        """Whether the row says anything about how the part came."""
        return bool(self.acquired_on or self.acquired_from or self.price)


class _Serial(NamedTuple):
    """A serial as written, and as it is compared."""

    text: str | None
    key: str
    alike: str


def _short(what: str, text: str) -> str:
    """A clean text, unless it is too long to be looked up by; only texts that might be are measured."""
    return text if len(text) < _SURELY_SHORT else short_enough(what, text)


def _serial(text: str) -> _Serial | None:
    written = _short("serial", text)
    return _Serial(written, key, alike(written)) if (key := fold(written)) else None


def _number(text: str) -> tuple[str, str] | None:
    written = _short("part number", text)
    return (written, key) if (key := fold(written)) else None


def _name(what: str) -> Callable[[str], str | None]:
    """A reader of names; a name without letters or digits is nothing."""

    def read(text: str) -> str | None:
        name = _short(what, text)
        return name if fold(name) else None

    return read


def _car(text: str) -> str | None:
    return text if fold(text) else None


def _tag(text: str) -> str:
    return ANOTHER if text.casefold() == ANOTHER else tags.parse(text)


def _code(text: str) -> tuple[str | None, str]:
    """A match code, or the word for why there is none."""
    word = word_meant("code state", text.casefold())
    return (None, word) if word in CODE_STATES and word != "read" else (text, "read")


def _condition(text: str) -> str:
    if text not in ("0", "1", "2", "3"):
        raise Refused("condition-category", f'Condition is 0, 1, 2 or 3, not "{text}"')
    return text


#: How the cells of a column are read, in the order in which problems are reported. Days and amounts: `PartReader`.
_READERS: dict[str, Callable[[str], Any]] = {
    "tag": _tag,
    "kind": kind_named,
    "maker": str,
    "part number": _number,
    "serial": _serial,
    "date code": str,
    "match code": _code,
    "match code read from": one_word("origin of a match code", (FROM_ITSELF, *READ_FROM), "read from"),
    "marks": str,
    "seal": str.casefold,
    "seal state": one_word("seal state", STATES, "seal state"),
    "condition": _condition,
    "car": _car,
    "position": _name("name of the position"),
    "place": _name("name of the place"),
    "whose": one_word("owner", WHOSE, "whose"),
    "acquired from": _name("name"),
    "value basis": one_word("basis", BASES, "basis"),
    "notes": str,
}
_DAYS = ("acquired on", "value on")
_AMOUNTS = ("price", "value")
_CURRENCIES = ("currency", *(f"{column} currency" for column in _AMOUNTS))
_ORDER = {column: place for place, column in enumerate((*_READERS, *_DAYS, *_AMOUNTS))}


class _Column(dict[str, Any]):
    """The values of the texts of one column. Each text is read once, however often it occurs."""

    def __init__(self, name: str, read: Callable[[str], Any] = str) -> None:
        """`read` gets a text without control characters and outer blanks; what it refuses is a problem of the cell."""
        super().__init__()
        self.name, self.read = name, read
        self.problems: dict[str, CellProblem] = {}
        self.with_controls: set[str] = set()

    def __missing__(self, text: str) -> Any:
        kept, controls = cleaned(text)
        if controls:
            self.with_controls.add(text)
        value = None
        if kept:
            try:
                value = self.read(str(kept))
            except Refused as refusal:
                self.problems[text] = problem_of(refusal, self.name, kept)
        if len(self) >= _MOST_KEPT:
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

    def __init__(self, sheet: SheetLayout, today: date) -> None:
        """`today`: no day in a cell may be later."""
        self.sheet = sheet
        readers = dict(_READERS)
        for column in _DAYS:
            readers[column] = partial(day_of, today=today, written=sheet.cell_format(column))
        self._columns = {name: _Column(name, read) for name, read in readers.items()}
        self._columns |= {name: _Column(name) for name in (*_CURRENCIES, *_AMOUNTS)}
        self._amounts = {name: _Amounts(name, sheet.cell_format(name)) for name in _AMOUNTS}
        self._own: dict[str, _Column] = {}

    def read(self, rows: Sequence[Row]) -> tuple[list[PartCells], dict[int, list[CellProblem]], list[str]]:
        """What the rows say; by the index of a row what cannot be read in it; remarks on removed characters."""
        texts, own = self._texts(rows)
        found = _Found(self.sheet.name, rows)
        values = {name: found.take(self._columns[name], column) for name, column in texts.items()}
        for name in _AMOUNTS:
            if name in texts:
                values[name] = self._read_amounts(name, texts[name], values, found)
        extra = {name: found.take(self._own_column(name), column) for name, column in own.items()}
        _settle_seals(values, texts, found)
        return _cells(len(rows), values, extra), found.problems(), found.remarks()

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
            self._own[name] = _Column(name)
        return self._own[name]

    def _read_amounts(
        self, name: str, texts: Sequence[str], values: dict[str, list[Any]], found: _Found
    ) -> list[tuple[str, str] | None]:
        """Amounts, with the currency beside them, else in the header, else for the whole row, else for the file."""
        amounts, header = self._amounts[name], self.sheet.header_currency(name)
        beside = values.get(f"{name} currency") or repeat(None)
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

    def take(self, column: _Column, texts: Sequence[str]) -> list[Any]:
        """The values of the texts of a column. Rows are only searched if something was noticed in the column."""
        values = list(map(column.__getitem__, texts))
        if column.problems:
            for index, text in enumerate(texts):
                if text in column.problems:
                    self.wrong(index, column.problems[text])
        if column.with_controls:
            self._removed += [(index, column.name) for index, text in enumerate(texts) if text in column.with_controls]
        return values

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
        """A remark for each cell from which control characters were removed."""
        return [
            f"{self._sheet_name}, row {self._rows[index].number}: control characters were removed from {name}"
            for index, name in sorted(self._removed, key=itemgetter(0))
        ]


def _settle_seals(values: dict[str, list[Any]], texts: dict[str, Sequence[str]], found: _Found) -> None:
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


_NO_SERIAL = _Serial(None, "", "")


def _cells(count: int, values: dict[str, list[Any]], extra: dict[str, list[Any]]) -> list[PartCells]:
    """The rows, put together from their columns."""
    tags_read: Iterable[Any] = values.get("tag") or repeat(None)
    another: Iterable[bool] = repeat(False)
    if "tag" in values and ANOTHER in values["tag"]:
        another = [tag == ANOTHER for tag in values["tag"]]
        tags_read = [None if tag == ANOTHER else tag for tag in values["tag"]]
    serials = [each or _NO_SERIAL for each in values.get("serial", ())] or [_NO_SERIAL] * count
    numbers = [each or (None, "") for each in values.get("part number", ())] or [(None, "")] * count
    serial, serial_key, serial_alike = zip(*serials, strict=True)
    number, number_key = zip(*numbers, strict=True)
    before = [values.get(name) or repeat(None) for name in ("kind", "maker")]
    between = [values.get(name) or repeat(None) for name in _IN_ORDER]
    columns = [tags_read, another, *before, number, serial, *between, _extras(count, extra)]
    columns += [serial_key, serial_alike, number_key]
    return list(starmap(PartCells, zip(*columns)))  # noqa: B905 - some of them repeat without end


#: The columns of the fields of `PartCells` from `date_code` to `notes`.
_IN_ORDER = (
    *("date code", "match code", "match code read from", "marks", "seal", "seal state", "condition", "car"),
    *(
        "position",
        "place",
        "whose",
        "acquired on",
        "acquired from",
        "price",
        "value",
        "value basis",
        "value on",
        "notes",
    ),
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
