"""Reads ods: streams through its one XML part, never holding all of it."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from xml.parsers import expat

from inventory.sheets.readers.cell_text import Figure, Interned, text_of_number, without_empty_end
from inventory.sheets.readers.limits import (
    DAMAGED,
    LOCKED,
    MOST_CHARACTERS,
    MOST_MERGED,
    Size,
    too_large,
    unpacked_parts,
)
from inventory.sheets.readers.looks import NO_LOOK, Look, cell_name
from inventory.sheets.readers.ods_looks import OdsLooks
from inventory.sheets.readers.tables import (
    FILTERED,
    HIDDEN_ROWS,
    SORTED,
    Merged,
    Row,
    Table,
    file_remarks,
    not_a_spreadsheet,
)
from inventory.sheets.readers.xlsx_styles import read_part

__all__ = ["read_ods"]

_CONTENT, _STYLES, _MANIFEST = "content.xml", "styles.xml", "META-INF/manifest.xml"
_LOCKED = re.compile(rb"encryption-data|encrypted-package")
_TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
_OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 "
_STYLE = "urn:oasis:names:tc:opendocument:xmlns:style:1.0 "
_TEXT = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 "
_DRAW = "urn:oasis:names:tc:opendocument:xmlns:drawing:1.0 "
_CELLS = (_TABLE + "table-cell", _TABLE + "covered-table-cell")
#: Elements inside a cell or table whose text is not cell text: comments, pictures, shapes.
_NOT_TEXT = (_OFFICE + "annotation", _TABLE + "shapes", _DRAW + "frame")
_PIECE = 65_536
#: The longest tag or run of text: the parser would hold it whole.
_LONGEST_TAG = 4 * 2**20
#: Columns of the widest possible sheet.
_WIDEST = 16_384
#: The most sheets of a file, and the most styles that hide one.
_MOST_SHEETS = 1000
#: How many cells are named of those whose formula has no value.
_NAMED = 5
_MIDNIGHT = re.compile(r"T00:00(:00(\.0*)?)?$")


def read_ods(path: Path, archive: zipfile.ZipFile) -> list[Table]:
    """The sheets of an OpenDocument spreadsheet."""
    names = [name for name in (_MANIFEST, _STYLES, _CONTENT) if name in archive.namelist()]
    reader = _Reader(path)
    for name, pieces in unpacked_parts(path, archive, names):
        if name == _MANIFEST:
            if any(_LOCKED.search(piece) for piece in pieces):
                raise not_a_spreadsheet(path, LOCKED)
        elif name == _STYLES:
            read_part(path, pieces, reader.looks.begin_part, reader.looks.end_part)
        else:
            reader.read(pieces)
    return reader.tables_read()


@dataclass
class _Cell:
    """The cell being read: its type and value as stated, and its lines of text."""

    kind: str
    value: str
    times: int
    look: Look = NO_LOOK
    lines: list[str] = field(default_factory=list)


class _Reader:
    """The state of reading; one method for each kind of element that begins or ends."""

    def __init__(self, path: Path) -> None:
        """`path` is named in refusals."""
        self.path = path
        self.size = Size(path)
        self.tables: list[Table] = []
        self.hidden_styles: set[str] = set()
        self.style = ""
        self.counts_from = 1900
        self.links = False
        self.uncalculated = 0
        self.without_value: dict[str, list[str]] = {}
        self.looks = OdsLooks()
        self.depth = self.skipped = self.merged_count = 0
        self.row: list[str] = []
        self.row_times = 1
        self.row_hidden = False
        #: By the name of a table why its rows may stand otherwise than they were written; the range that is being read.
        self.rearranged: dict[str, str] = {}
        self.range_of = ""
        self.number = 0
        self.merged: list[Merged] = []
        self.cell: _Cell | None = None
        self.in_line = False
        self.length = 0
        self.texts = Interned()

    def read(self, pieces: Iterator[bytes]) -> None:
        """Read the XML part, given in pieces."""
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        parser.StartElementHandler = self._begin
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._add_text
        parser.StartDoctypeDeclHandler = self._refuse_type
        fed = 0
        try:
            for piece in pieces:
                for start in range(0, len(piece), _PIECE):
                    part = piece[start : start + _PIECE]
                    parser.Parse(part, False)
                    fed += len(part)
                    if fed - parser.CurrentByteIndex > _LONGEST_TAG:
                        raise too_large(self.path, f"it has a cell of more than {MOST_CHARACTERS} characters")
            parser.Parse(b"", True)
        except (expat.ExpatError, ValueError, OverflowError, LookupError):
            raise not_a_spreadsheet(self.path, DAMAGED) from None

    def tables_read(self) -> list[Table]:
        """The sheets that were read, with remarks on the file."""
        if self.tables:
            first = list(self.without_value.items())
            remarks = file_remarks(links=self.links, uncalculated=self.uncalculated, without_value=first)
            self.tables[0] = replace(self.tables[0], remarks=(*remarks, *self.looks.remarks))
        return [replace(each, rearranged=self.rearranged.get(each.name, "")) for each in self.tables]

    def _refuse_type(self, *_: object) -> None:
        raise not_a_spreadsheet(self.path, "it defines XML entities (a DTD), which no spreadsheet program does")

    def _begin(self, name: str, given: dict[str, str]) -> None:
        if self.skipped or name in _NOT_TEXT:
            self.looks.begin_in_comment(name)
            if name == _NOT_TEXT[0] and self.cell is not None:
                self.looks.begin_comment()
            self.skipped += 1
        elif not self.depth:
            self._begin_outside(name, given)
        elif name in _CELLS and self.depth == 1:
            self._begin_cell(given)
        elif name == _TABLE + "table":
            self._begin_table(given)
        elif name == _TABLE + "table-row" and self.depth == 1:
            self.row, self.row_times = [], _count(given.get(_TABLE + "number-rows-repeated"))
            self.row_hidden = given.get(_TABLE + "visibility", "visible") != "visible"
            self.looks.begin_row(given)
        elif name == _TABLE + "table-column" and self.depth == 1:
            self.looks.begin_column(given, _count(given.get(_TABLE + "number-columns-repeated")))
        elif name.startswith(_TEXT):
            self._begin_text(name[len(_TEXT) :], given)

    def _begin_outside(self, name: str, given: dict[str, str]) -> None:
        """An element outside of all tables begins: styles, settings, the next table."""
        if name == _TABLE + "table":
            self._begin_table(given)
        elif name == _TABLE + "null-date" and given.get(_TABLE + "date-value", "").startswith("1904"):
            self.counts_from = 1904
        elif name == _STYLE + "style":
            self.style = given.get(_STYLE + "name", "")
        elif name == _STYLE + "table-properties" and given.get(_TABLE + "display") == "false":
            self.hidden_styles.add(self.style)
            if len(self.hidden_styles) > _MOST_SHEETS:
                raise not_a_spreadsheet(self.path, DAMAGED)
        elif name.startswith(_TABLE):
            self._begin_range(name, given)
        self.looks.begin_style(name, given)

    def _begin_range(self, name: str, given: dict[str, str]) -> None:
        """An element of a database range begins, which says that rows were sorted or filtered."""
        if name == _TABLE + "database-range":
            self.range_of = _table_named(given.get(_TABLE + "target-range-address", ""))
            if given.get(_TABLE + "display-filter-buttons") == "true":
                self.rearranged.setdefault(self.range_of, FILTERED)
        elif name == _TABLE + "filter":
            self.rearranged.setdefault(self.range_of, FILTERED)
        elif name == _TABLE + "sort":
            self.rearranged[self.range_of] = SORTED

    def _begin_table(self, given: dict[str, str]) -> None:
        self.depth += 1
        if self.depth == 1:
            if len(self.tables) >= _MOST_SHEETS:
                raise not_a_spreadsheet(self.path, DAMAGED)
            hidden = given.get(_TABLE + "style-name") in self.hidden_styles
            self.tables.append(Table(given.get(_TABLE + "name", ""), [], hidden, self.counts_from))
            self.number, self.merged = 0, []
            self.looks.begin_table()

    def _begin_cell(self, given: dict[str, str]) -> None:
        kind = given.get(_OFFICE + "value-type", "")
        named = {"date": "date-value", "boolean": "boolean-value", "time": "time-value", "string": "string-value"}
        value = given.get(_OFFICE + named.get(kind, "value"), "")
        self.cell = _Cell(kind, value, _count(given.get(_TABLE + "number-columns-repeated")))
        self.length = len(value)
        self.cell.look = self.looks.look(given, len(self.row))
        formula = given.get(_TABLE + "formula")
        if formula is not None:
            self.links = self.links or "file:" in formula or "://" in formula
            if not kind:
                self._note_uncalculated()
        down, across = (_count(given.get(_TABLE + f"number-{way}-spanned")) for way in ("rows", "columns"))
        if down > 1 or across > 1:
            top, left = self.number + 1, len(self.row)
            self.merged.append(Merged(top, left, top + down - 1, left + across - 1))
            self.merged_count += 1
            if self.merged_count > MOST_MERGED:
                raise too_large(self.path, f"it has more than {MOST_MERGED} merged ranges")

    def _note_uncalculated(self) -> None:
        """Count a formula without a value, and note the names of the first ones."""
        self.uncalculated += 1
        if self.uncalculated <= _NAMED:
            names = self.without_value.setdefault(self.tables[-1].name, [])
            names.append(cell_name(self.number + 1, len(self.row)))

    def _begin_text(self, name: str, given: dict[str, str]) -> None:
        if self.cell is None:
            return
        if name in ("p", "h"):
            self.cell.lines.append("")
            self.in_line = True
        elif name == "s":
            self._add_text(" " * min(_count(given.get(_TEXT + "c")), 1000))
        elif name in ("tab", "line-break"):
            self._add_text("\t" if name == "tab" else "\n")

    def _add_text(self, text: str) -> None:
        if self.skipped:
            self.looks.add_text(text)
        elif not self.depth:
            self.looks.styles.add_text(text)
        if self.cell is not None and self.in_line and not self.skipped and self.cell.lines:
            self.length += len(text)
            if self.length > MOST_CHARACTERS:
                raise too_large(self.path, f"it has a cell of more than {MOST_CHARACTERS} characters")
            self.cell.lines[-1] += text

    def _end(self, name: str) -> None:
        if self.skipped:
            self.skipped -= 1
            if not self.skipped:
                self.looks.end_comment(self.number + 1, len(self.row))
        elif not self.depth:
            self.looks.styles.end(name.rpartition(" ")[2])
        elif name in (_TEXT + "p", _TEXT + "h"):
            self.in_line = False
        elif name in _CELLS and self.depth == 1 and self.cell is not None:
            self._end_cell(self.cell)
        elif name == _TABLE + "table-row" and self.depth == 1:
            self._end_row()
        elif name == _TABLE + "table":
            self.depth -= 1
            if self.depth == 0:
                self.tables[-1] = self.looks.end_table(replace(self.tables[-1], merged=tuple(self.merged)))

    def _end_cell(self, cell: _Cell) -> None:
        self.cell = None
        text = _text(cell)
        left = _WIDEST - len(self.row)
        if text and cell.times > left:
            raise too_large(self.path, f'the sheet "{self.tables[-1].name}" has more than {_WIDEST} columns')
        text = self.looks.looked(
            text if isinstance(text, Figure) else self.texts[text], cell.look, cell.kind, len(self.row)
        )
        self.row += [text] * min(cell.times, left)

    def _end_row(self) -> None:
        cells = without_empty_end(self.row)
        if cells:
            self.size.add(cells, self.row_times)
            if self.row_hidden:
                self.rearranged.setdefault(self.tables[-1].name, HIDDEN_ROWS)
            rows = self.tables[-1].rows
            rows += [Row(self.number + place, cells) for place in range(1, self.row_times + 1)]
        self.number += self.row_times


def _table_named(address: str) -> str:
    """The name of the table in the address of a range: "Shelf.A1:Shelf.F20", "'my shelf'.A1:'my shelf'.F20"."""
    address = address.removeprefix("$")
    if address.startswith("'"):
        found = re.match(r"'((?:[^']|'')*)'", address)
        return found[1].replace("''", "'") if found else ""
    return address.partition(":")[0].rpartition(".")[0]


def _text(cell: _Cell) -> str:
    """The text of a cell as a person reads it."""
    if cell.kind in ("float", "currency", "percentage") and cell.value:
        return text_of_number(float(cell.value))
    if cell.kind == "date":
        return _MIDNIGHT.sub("", cell.value).replace("T", " ")
    if cell.kind == "boolean":
        return cell.value.upper()
    return "\n".join(cell.lines) if cell.lines else cell.value


def _count(text: str | None) -> int:
    return max(1, int(text)) if text else 1
