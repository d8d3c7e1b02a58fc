"""Makes a safe copy of an xlsx: only the parts that contain cells, unpacked and counted while they are copied.

The library that reads workbooks (calamine) is fast, but allocates as much memory as a file tells it to. So it never
sees the file itself: it is given a copy whose size was checked here.
"""

from __future__ import annotations

import re
import zipfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from inventory.errors import Refused
from inventory.sheets.readers.limits import (
    MOST_CELLS,
    MOST_CHARACTERS,
    MOST_MERGED,
    MOST_TEXT,
    too_large,
    unpacked_parts,
)
from inventory.sheets.readers.tables import FILTERED, HIDDEN_ROWS, SORTED, not_a_spreadsheet

__all__ = ["SafeCopy", "safe_copy"]

#: Folders of a workbook without cells.
_SKIPPED = re.compile(
    r"xl/(media|drawings|charts|theme|externalLinks|embeddings|printerSettings|pivot\w*|slicer\w*|timeline\w*|"
    r"diagrams|ctrlProps|activeX|customXml|queryTables|threadedComments|persons|richData|model|webextensions)/",
    re.IGNORECASE,
)
_KEPT = re.compile(r"xl/.*\.(xml|rels)|_rels/\.rels|\[Content_Types\]\.xml", re.IGNORECASE)
#: References past column Z or row 119999 (all before span few enough cells). The search is fast because it looks for
#: the literal `r="`; references spelled in any other way are found by `_MAYBE_ODD` and `_ODD`.
_FAR = re.compile(rb'r="[A-Za-z]?+(?:[A-Za-z]+\d|(?:1[2-9]|[2-9]\d)\d{4}|\d{7})')
_MAYBE_ODD = re.compile(rb"=(?:['\s]|(?<=\s=))")
_ODD = re.compile(rb"r(?:\s*=\s*'|\s+=|=\s)")
_COLUMN = re.compile(rb"r\s*=\s*[\"']\s*([A-Za-z]+)\d")
_ROW = re.compile(rb"r\s*=\s*[\"']\s*[A-Za-z]*(\d+)")
_SHARED = re.compile(rb"<(?:\w+:)?v>\s*(\d+)\s*</")
_STRING = re.compile(rb"</(?:\w+:)?si>|<(?:\w+:)?si\s*/>")
_FROM_1904 = re.compile(rb"date1904\s*=\s*[\"'](?:1|true|on)", re.IGNORECASE)
_UNCALCULATED = re.compile(rb"(?:</f>|<f\b[^<>]*/>)(?:<v\s*/>|<v></v>)?</c>")
_CELL_NAME = re.compile(rb"\sr=[\"']([A-Za-z]{1,3}\d{1,7})[\"']")
#: A formula whose value is a text may have an empty one.
_OF_TEXT = re.compile(rb"\st=[\"']str[\"']")
#: A row that is hidden and has cells.
_HIDDEN_ROW = re.compile(rb"<(?:\w+:)?row(?=\s)[^<>]*?\shidden\s*=\s*[\"'](?:1|true)[\"'][^<>]*(?<!/)>")
_SORTED = re.compile(rb"<(?:\w+:)?sortState\b")
_FILTERED = re.compile(rb"<(?:\w+:)?autoFilter\b")
#: A table of the program inside a sheet always has the marks of a filter; it counts if it filters or was sorted.
_FILTERS = re.compile(rb"<(?:\w+:)?filterColumn\b")
_HAS_TABLE = re.compile(rb"<(?:\w+:)?tablePart\s")
#: How many cells are named of those whose formula has no value.
_NAMED = 5
_TYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
#: The most bytes of markup of a cell, a row and a shared string; more than that counts as text.
_OF_CELL, _OF_ROW, _OF_STRING = 64, 200, 64
#: Shared strings up to this many bytes are not counted each time they are used: even all cells together hold little.
_SHORT = 64
_LONGEST_PIECE = 8 * 2**20
#: The size of the largest possible sheet (Microsoft, "Excel specifications and limits").
_LAST_ROW, _LAST_COLUMN = 1_048_576, 16_384


@dataclass
class SafeCopy:
    """The path of the copy, and what was noticed while it was made.

    `uncalculated`: formulas without a value; `without_value`: the names of the first of them, by part. `errors`: cells
    that show an error; `has_sixty`: some cell holds the number 60, a day that no calendar has. `lengths`: the length of
    each shared string in bytes. `rearranged`: by part, why the rows of that sheet may stand otherwise than they were
    written; `with_tables`: the sheets with tables of the program, `table_rearranged`: why one of those does.
    """

    path: Path
    counts_from: int = 1900
    uncalculated: int = 0
    without_value: dict[str, list[str]] = field(default_factory=dict)
    errors: int = 0
    has_sixty: bool = False
    cells: int = 0
    merged: int = 0
    lengths: list[int] = field(default_factory=list)
    rearranged: dict[str, str] = field(default_factory=dict)
    with_tables: set[str] = field(default_factory=set)
    table_rearranged: str = ""

    def why_rearranged(self, part: str) -> str:
        """Why the rows of a sheet may stand otherwise than they were written; "" if nothing says so."""
        return self.rearranged.get(part) or (self.table_rearranged if part in self.with_tables else "")


@contextmanager
def safe_copy(path: Path, archive: zipfile.ZipFile) -> Iterator[SafeCopy]:
    """A temporary copy of a workbook that can be read in bounded memory. Raises `Refused` if that is impossible."""
    names = [name for name in archive.namelist() if _KEPT.fullmatch(_plain(name)) and not _SKIPPED.match(_plain(name))]
    names.sort(key=lambda name: "sharedstrings" not in name.casefold())
    with TemporaryDirectory(prefix="matchmark-", ignore_cleanup_errors=True) as folder:
        copy = SafeCopy(Path(folder) / "copy.xlsx")
        far: list[str] = []
        with zipfile.ZipFile(copy.path, "w", zipfile.ZIP_STORED) as out:
            for name, pieces in unpacked_parts(path, archive, names):
                part = _Part(path, copy, _plain(name))
                with out.open(part.name, "w") as copied:
                    for piece in part.checked(pieces):
                        copied.write(piece)
                if part.far:
                    far.append(part.name)
        with zipfile.ZipFile(copy.path) as written:
            for name in far:
                _check_span(path, written, name)
        yield copy


def _plain(name: str) -> str:
    return name.replace("\\", "/").lstrip("/")


class _Part:
    """Counts what one part of the workbook contains while it is copied."""

    def __init__(self, path: Path, copy: SafeCopy, name: str) -> None:
        """`copy` collects what is noticed in all parts."""
        self.path, self.copy, self.name = path, copy, name
        self.shared = "sharedstrings" in name.casefold()
        self.cells = self.rows = self.bytes = self.text = 0
        self.far = False
        self.long = {place: length for place, length in enumerate(copy.lengths) if length > _SHORT}

    def checked(self, pieces: Iterator[bytes]) -> Iterator[bytes]:
        """The same bytes, cut between two cells or strings, so that no searched text is split."""
        plain, prefixed = (b"<si", b":si") if self.shared else (b"<c", b":c ")
        held = b""
        for piece in pieces:
            held += piece
            cut = max(held.rfind(plain), held.rfind(prefixed) if b":" in held else 0, 0)
            if cut:
                self._check(held[:cut])
                yield held[:cut]
                held = held[cut:]
            elif len(held) > _LONGEST_PIECE:
                raise too_large(self.path, f"it has a cell of more than {MOST_CHARACTERS} characters")
        self._check(held)
        yield held
        markup = _OF_CELL * self.cells + _OF_ROW * self.rows + _OF_STRING * len(self.copy.lengths)
        if self.bytes - markup > MOST_TEXT:
            raise _too_much_text(self.path)
        self.copy.cells += self.cells

    def _check(self, piece: bytes) -> None:
        copy = self.copy
        self.bytes += len(piece)
        if _TYPE.search(piece) or b"\0" in piece[:100]:
            raise not_a_spreadsheet(self.path, "it defines XML entities (a DTD), which no spreadsheet program does")
        if self.name.casefold().endswith("workbook.xml") and _FROM_1904.search(piece):
            copy.counts_from = 1904
        if self.shared:
            copy.lengths += [len(each) for each in _STRING.split(piece)][:-1]
        self._note_order(piece)
        prefixed = b":" in piece
        self.cells += piece.count(b"<c") + (piece.count(b":c") if prefixed else 0)
        self.rows += piece.count(b"<row") + (piece.count(b":row") if prefixed else 0)
        copy.merged += piece.count(b"mergeCell ")
        if copy.cells + self.cells > MOST_CELLS or len(copy.lengths) > MOST_CELLS:
            raise too_large(self.path, f"its sheets span more than {MOST_CELLS} cells")
        if copy.merged > MOST_MERGED:
            raise too_large(self.path, f"it has more than {MOST_MERGED} merged ranges")
        if self.cells:
            self._check_cells(piece)

    def _note_order(self, piece: bytes) -> None:
        """Note what says that rows were sorted or filtered."""
        copy = self.copy
        if "/tables/" in self.name.casefold():
            if why := SORTED if _SORTED.search(piece) else FILTERED if _FILTERS.search(piece) else "":
                copy.table_rearranged = why
            return
        if b"tablePart" in piece and _HAS_TABLE.search(piece):
            copy.with_tables.add(self.name)
        if b"sortState" in piece and _SORTED.search(piece):
            copy.rearranged[self.name] = SORTED
        elif b"autoFilter" in piece and _FILTERED.search(piece):
            copy.rearranged.setdefault(self.name, FILTERED)
        elif b"hidden" in piece and _HIDDEN_ROW.search(piece):
            copy.rearranged.setdefault(self.name, HIDDEN_ROWS)

    def _check_cells(self, piece: bytes) -> None:
        copy = self.copy
        self.far = self.far or _spans_far(piece)
        copy.errors += piece.count(b't="e"')
        copy.has_sixty = copy.has_sixty or b">60<" in piece
        if b"<f" in piece:
            self._note_uncalculated(piece)
        if self.long:
            uses = Counter(_SHARED.findall(piece))
            self.text += sum(times * self.long.get(int(key), 0) for key, times in uses.items())
            if self.text > MOST_TEXT:
                raise _too_much_text(self.path)

    def _note_uncalculated(self, piece: bytes) -> None:
        """Count formulas without a value, and note the names of the first ones."""
        for found in _UNCALCULATED.finditer(piece):
            start = max(piece.rfind(b"<c ", 0, found.start()), piece.rfind(b":c ", 0, found.start()), 0)
            head = piece[start : piece.find(b">", start)]
            if found[0].count(b"<v") and _OF_TEXT.search(head):
                continue
            self.copy.uncalculated += 1
            names = self.copy.without_value.setdefault(self.name, [])
            if len(names) < _NAMED and (name := _CELL_NAME.search(head)):
                names.append(name[1].decode("ascii"))


def _spans_far(piece: bytes) -> bool:
    """Whether some reference may lie far from the first cell, so that the span of the sheet has to be measured."""
    return bool(_FAR.search(piece) or (_MAYBE_ODD.search(piece) and _ODD.search(piece)))


def _too_much_text(path: Path) -> Refused:
    return too_large(path, f"it contains more than {MOST_TEXT // 10**6} million characters")


def _check_span(path: Path, archive: zipfile.ZipFile, name: str) -> None:
    """Refuse a sheet whose cells lie too far apart: each place between its corners takes memory, filled or not."""
    rows: set[bytes] = set()
    columns: set[bytes] = set()
    with archive.open(name) as part:
        held = b""
        while piece := part.read(2**20):
            held = held[-64:] + piece
            columns.update(_COLUMN.findall(held))
            rows.update(_ROW.findall(held))
            if len(rows) > _LAST_ROW or len(columns) > _LAST_COLUMN:
                raise too_large(path, f"one of its sheets spans more than {_LAST_ROW} rows of {_LAST_COLUMN} columns")
    height = max((int(each) for each in rows if len(each) < 12), default=0)
    width = max((_column_number(each) for each in columns), default=0)
    if height * width > MOST_CELLS or max(map(len, rows), default=0) > 11:
        raise too_large(path, f"one of its sheets spans {height} rows of {width} columns")


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters.upper()[:5]:
        number = number * 26 + letter - 64
    return number
