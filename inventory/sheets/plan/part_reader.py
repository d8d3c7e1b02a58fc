"""Reads the rows of a sheet of parts by column: each text of a column is read once, however often it occurs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from itertools import repeat, starmap, zip_longest
from typing import Any, NamedTuple

from inventory.facts.declare import Cell, Value
from inventory.reference.data import Reference
from inventory.seals.states import STATES
from inventory.sheets.columns.catalogue import PARTS, language_of, word_meant
from inventory.sheets.columns.cells import cleaned, day_of, in_a_sheet
from inventory.sheets.columns.layout import Answers, SheetLayout, unnamed
from inventory.sheets.columns.own_numbers import given_in
from inventory.sheets.columns.questions import ABOVE, key_of
from inventory.sheets.plan.noticed import Noticed, half_a_look
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
from inventory.sheets.plan.part_columns import MOVED, TextColumn, TextsOfAmounts, word_key
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.readers.cell_text import Figure
from inventory.sheets.readers.tables import Row
from inventory.store.words.nothing import nothing_in, set_aside

__all__ = ["FILLED", "PartReader", "PartRows"]

_CURRENCIES = ("currency", *PARTS.amounts.values())
#: How many texts of a column of the file's own are remembered: there may be hundreds of such columns.
_MOST_OWN = 200
_NOTHING: dict[str, str] = {}
#: The columns that tell which part a row is: if one of them cannot be read, the row cannot.
_WHICH = frozenset({"tag", "part number", "serial"})
#: The columns that say nothing without another one: if that cannot be read, they are kept as text beside it.
_BESIDE = {"value": ("value basis", "value on"), "seal state": ("seal",), "match code": ("match code read from",)}
#: The columns that a word for "as above" fills from the row above: never one that tells parts apart or was looked at.
FILLED = frozenset(
    {
        *("kind", "maker", "part number", "date code", "condition", "car", "position", "place", "whose"),
        *("acquired on", "acquired from", "price currency", "value currency", "currency", "value basis", "value on"),
        *("seen by", "seen on"),
    }
)
#: The columns by which a row without any number is told from another one, beside its kind.
_TOLD_APART = frozenset({"maker", "car", "position", "place"})
_FIELDS = {"match code read from": "read_from"}


class PartRows(NamedTuple):
    """What some rows say; by the index of a row why it cannot be read; remarks.

    `kept`: by the index of a row its cells that are kept as text; `doubtful`: words that may mean something, each with
    the index of its row.
    """

    cells: list[PartCells]
    problems: dict[int, list[CellProblem]]
    remarks: list[str]
    kept: dict[int, list[CellProblem]]
    doubtful: list[tuple[int, CellProblem]]


class PartReader:
    """Reads the rows of a sheet of parts, some at a time."""

    def __init__(
        self,
        sheet: SheetLayout,
        today: date,
        reference: Reference,
        answers: Answers | None = None,
        read_car: Callable[[str], str | None] | None = None,
    ) -> None:
        """`today`: no day in a cell may be later. `reference`: its kinds are known. `read_car`: a car on record."""
        self.sheet, self._answers = sheet, answers or Answers()
        cell = in_a_sheet(today, reference)
        readers: dict[str, Callable[[str], Any]] = {
            name: partial(_declared, read, cell) if isinstance(read, Value) else read for name, read in READERS.items()
        }
        for column in PARTS.days:
            readers[column] = partial(day_of, today=today, written=sheet.cell_format(column))
        self._language = language = language_of(sheet.kind, [heading.header for heading in sheet.headings])
        readers["match code"] = partial(read_code, language=language)
        readers["serial"] = partial(read_serial, language=language)
        readers["whose"] = partial(_unknown_as, "not known", readers["whose"])
        readers["seal state"] = partial(_unknown_as, "not seen", readers["seal state"])
        readers["car"] = read_car or readers["car"]
        readers |= dict.fromkeys((*_CURRENCIES, *PARTS.amounts), str)
        said = self._answers.said
        self._columns = {name: TextColumn(name, read, said=said, language=language) for name, read in readers.items()}
        self._columns["notes"].lines = True
        for name in (*EMPTIED, *PARTS.days, *PARTS.amounts, "match code"):
            self._columns[name].emptied = partial(set_aside, name, language=language)
        self._columns["tag"].emptied = partial(_no_tag, language=language)
        self._columns["serial"].emptied = partial(_no_serial, language=language)
        self._amounts = {name: TextsOfAmounts(name, sheet.cell_format(name)) for name in PARTS.amounts}
        self._own: dict[str, TextColumn] = {}
        self._above: dict[str, str] = {}
        headers = [(each.column, each.header) for each in sheet.headings if each.column is not None]
        self._headers = dict(reversed(headers))  # of two headers for one column the first

    def read(self, rows: Sequence[Row]) -> PartRows:
        """What the rows say, what cannot be read in them, and what the user is told."""
        texts, own = self._texts(rows)
        found = Noticed(self.sheet.name, rows)
        filled, moved = self._fill(texts, found)
        for index, problem in moved:
            found.wrong(index, problem, last=True)
        values = {name: found.take(self._columns[name], column) for name, column in texts.items()}
        for name in PARTS.amounts:
            if name in texts:
                values[name] = self._read_amounts(name, texts[name], values, found)
        extra = {name: found.take(self._own_column(name), column) for name, column in own.items()}
        counted = {name: extra.pop(name) for name in self.sheet.counting if name in extra}
        _validate_seals(values, texts, found)
        cells = _cells(len(rows), values, extra, self._headers)
        _number(cells, values, counted, given_in(self.sheet))
        if "seen by" in values or "seen on" in values:
            for index, row in enumerate(cells):
                found.remark(index, half_a_look(row.seen_by, row.seen_on))
        self._note_words(cells, texts, filled)
        if (words := self._columns["whose"].answered) and "whose" in texts:
            for text, row in zip(texts["whose"], cells, strict=True):
                if row.whose in _NAMED_BESIDE and text in words:
                    row.notes = "; ".join(filter(None, (row.notes, f"{self._headers['whose']}: {words[text]}")))
        wrong, kept = found.problems(), dict[int, list[CellProblem]]()
        if not self._answers.strict:
            kept = {index: several for index, each in wrong.items() if (several := _to_keep(each))}
            wrong = {index: each for index, each in wrong.items() if any(one.column in _WHICH for one in each)}
            for index, several in kept.items():
                _keep(cells[index], several, texts, index)
        return PartRows(cells, wrong, found.remarks(), kept, found.doubtful)

    def _note_words(
        self, cells: Sequence[PartCells], texts: Mapping[str, Sequence[str]], filled: Mapping[int, dict[str, str]]
    ) -> None:
        """Note the words in whose place an answer or the row above (`filled`) counts: parts may be known by them."""
        if (words := self._columns["kind"].answered) and "kind" in texts:
            for text, row in zip(texts["kind"], cells, strict=True):
                row.kind_word = words.get(text, "")
        for index, above in filled.items():
            cells[index].as_written = above
            cells[index].kind_word = above.get("kind", cells[index].kind_word)
        for column in _TOLD_APART & texts.keys():
            if words := self._columns[column].answered:
                for text, row in zip(texts[column], cells, strict=True):
                    if text in words:
                        row.as_written = {**row.as_written, column: words[text]}

    def _fill(
        self, texts: dict[str, Sequence[str]], found: Noticed
    ) -> tuple[dict[int, dict[str, str]], list[tuple[int, CellProblem]]]:
        """Put the text of the row above where a word says "as above"; the words, by the index of the row and column.

        Rows that may have been sorted since are left as they are until somebody says so: these cells come second.
        """
        filled: dict[int, dict[str, str]] = {}
        moved: list[tuple[int, CellProblem]] = []
        held = self.sheet.rearranged and self._answers.said.get(key_of("sorted", self.sheet.name)) != ABOVE
        for column in [each for each in texts if each in FILLED]:
            words = {text for text in set(texts[column]) if self._is_above(column, text)}
            if words:
                anew = list(texts[column])
                for index, text in enumerate(anew):
                    above = anew[index - 1] if index else self._above.get(column, "")
                    if text in words and held and word_key(column, cleaned(text)[0]) not in self._answers.said:
                        moved.append((index, _moved(column, cleaned(text)[0], self.sheet.rearranged)))
                        anew[index] = ""
                    elif text in words and above and not above.isspace():
                        anew[index] = above
                        found.remark(
                            index, f'{column}: "{cleaned(text)[0]}" means as above, so it is what the row above says'
                        )
                        filled.setdefault(index, {})[column] = cleaned(text)[0]
                texts[column] = anew
            self._above[column] = texts[column][-1]
        return filled, moved

    def _is_above(self, column: str, text: str) -> bool:
        nothing = nothing_in(text, self._language) if text and len(text) < _LONGEST_WORD else None
        if nothing not in ("as above", "doubtful"):
            return False
        return self._answers.said.get(word_key(column, cleaned(text)[0]), nothing) == ABOVE

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

    def _own_column(self, name: str) -> TextColumn:
        if name not in self._own:
            self._own[name] = TextColumn(name, most_kept=_MOST_OWN, lines=True)
        return self._own[name]

    def _read_amounts(
        self, name: str, texts: Sequence[str], values: dict[str, list[Any]], found: Noticed
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
                beside_it = f"{kept} {currency or whole}" if currency or whole else kept
                found.wrong(index, replace(amounts.problems[key], value=beside_it))
        return read


def _unknown_as(answer: str, read: Callable[[str], Any], text: str) -> Any:
    """The value of a column that has an answer for what is not known ("not seen"): "?" is no other one."""
    return answer if nothing_in(text) == "not known" else read(text)


def _moved(column: str, text: str, why: str) -> CellProblem:
    return CellProblem(column, text, f"means as above, but {why}, so rows may have moved", code=MOVED)


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


def _validate_seals(values: dict[str, list[Any]], texts: dict[str, Sequence[str]], found: Noticed) -> None:
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
            written = cleaned(texts["seal"][index])[0]
            found.wrong(index, CellProblem("seal", written, "does not say how the seal was found", hint), last=True)


_NO_SERIAL = Serial(None, "", "")


def _to_keep(problems: Sequence[CellProblem]) -> list[CellProblem]:
    """The problems of the cells that are kept as text."""
    return [each for each in problems if each.column not in _WHICH]


def _keep(cells: PartCells, problems: Sequence[CellProblem], texts: Mapping[str, Sequence[str]], index: int) -> None:
    """Keep the cells of a row that cannot be read as texts; a kind is *other* then, and whose it is is not known."""
    cells.unread = {each.column: each.value for each in problems}
    for column in [beside for each in problems for beside in _BESIDE.get(each.column, ())]:
        if column in texts and (text := cleaned(texts[column][index])[0]):
            cells.unread.setdefault(column, text)
    cells.kind_word = cells.unread.get("kind", cells.kind_word)
    for column in cells.unread.keys() - PARTS.amounts.values():
        setattr(cells, _FIELDS.get(column, column.replace(" ", "_")), _INSTEAD.get(column))


#: What counts in a column without an answer where its cell cannot be read.
_INSTEAD = {"kind": "other", "whose": "not known"}
#: Answers that do not say whose it is: the name that was answered so ("Huber: customer's") stays, in the notes.
_NAMED_BESIDE = frozenset({"customer's", "lent in", "lent out"})
#: A longer text is no word for nothing.
_LONGEST_WORD = 40


def _cells(
    count: int, values: dict[str, list[Any]], extra: dict[str, list[Any]], headers: Mapping[str, str]
) -> list[PartCells]:
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
    columns += [serial_key, serial_alike, number_key, serial_state, repeat(_NOTHING), repeat(headers)]
    return list(starmap(PartCells, zip(*columns)))  # noqa: B905 - some of them repeat without end


def _number(
    cells: Sequence[PartCells], values: dict[str, list[Any]], counted: dict[str, list[Any]], header: str | None
) -> None:
    """Fill in the keeper's own numbers; a label among them is the tag of its row, unless it has one."""
    for row, own in zip(cells, values.get("own number", ()), strict=False):
        if own is not None:
            number, tag = own
            if number is not None:
                row.own_number, row.given_in = number, header
            elif row.tag is None:
                row.tag = tag
    for row, plain in zip(cells, _extras(len(cells), counted), strict=True):
        row.counted = plain


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
