"""Looking at an xlsx before it is read: a copy of the parts that hold cells, made while they are counted.

The reader of workbooks (calamine) is quick, and asks for as much memory as a file tells it to. So it is
given what was counted here and nothing else, and never sees the file itself.
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
from inventory.sheets.grid import no_sheet
from inventory.sheets.guards import (
    MOST_CELLS,
    MOST_CHARACTERS,
    MOST_MERGED,
    MOST_TEXT,
    inflated,
    too_large,
)

__all__ = ["Vetted", "vetted"]

#: Folders of a workbook that hold no cells.
_PASSED = re.compile(
    r"xl/(media|drawings|charts|theme|externalLinks|embeddings|printerSettings|pivot\w*|slicer\w*|timeline\w*|"
    r"diagrams|ctrlProps|activeX|customXml|queryTables|threadedComments|persons|richData|model|webextensions)/",
    re.IGNORECASE,
)
_KEPT = re.compile(r"xl/.*\.(xml|rels)|_rels/\.rels|\[Content_Types\]\.xml", re.IGNORECASE)
#: References past column Z or row 119999 (all before span few enough cells), and any that is spelled in an odd way.
_FAR = re.compile(rb'r="(?:[A-Za-z]{2,}\d|[A-Za-z]?(?:1[2-9]|[2-9]\d)\d{4}|[A-Za-z]?\d{7})|r(?:\s*=\s*\'|\s+=|=\s)')
_COLUMN = re.compile(rb"r\s*=\s*[\"']\s*([A-Za-z]+)\d")
_ROW = re.compile(rb"r\s*=\s*[\"']\s*[A-Za-z]*(\d+)")
_SHARED = re.compile(rb"<(?:\w+:)?v>\s*(\d+)\s*</")
_STRING = re.compile(rb"</(?:\w+:)?si>|<(?:\w+:)?si\s*/>")
_FROM_1904 = re.compile(rb"date1904\s*=\s*[\"'](?:1|true|on)", re.IGNORECASE)
_UNWORKED = re.compile(rb"(?:</f>|<f\s*/>)(?:<v\s*/>|<v></v>)?</c>")
_TYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
#: What markup takes of a cell, a row and a shared string at most; what is above that counts as text (bytes).
_OF_CELL, _OF_ROW, _OF_STRING = 64, 200, 64
#: Shared strings up to this many bytes are not counted each time they are used: all cells full of them are little.
_SHORT = 64
_LONGEST_PIECE = 8 * 2**20
#: The size of the largest sheet there is (Microsoft, "Excel specifications and limits").
_LAST_ROW, _LAST_COLUMN = 1_048_576, 16_384


@dataclass
class Vetted:
    """The copy, and what was noticed: formulas without a value, cells that hold an error, the number of the false day.

    `lengths` are those of the shared strings, in bytes.
    """

    copy: Path
    counts_from: int = 1900
    unworked: int = 0
    wrong: int = 0
    sixty: bool = False
    cells: int = 0
    merged: int = 0
    lengths: list[int] = field(default_factory=list)


@contextmanager
def vetted(path: Path, archive: zipfile.ZipFile) -> Iterator[Vetted]:
    """The copy of a workbook that can be read in bounded memory; refused where there is none."""
    names = [name for name in archive.namelist() if _KEPT.fullmatch(_plain(name)) and not _PASSED.match(_plain(name))]
    names.sort(key=lambda name: "sharedstrings" not in name.casefold())
    with TemporaryDirectory(prefix="matchmark-", ignore_cleanup_errors=True) as folder:
        found = Vetted(Path(folder) / "copy.xlsx")
        far: list[str] = []
        with zipfile.ZipFile(found.copy, "w", zipfile.ZIP_STORED) as out:
            for name, pieces in inflated(path, archive, names):
                part = _Part(path, found, _plain(name))
                with out.open(part.name, "w") as copied:
                    for piece in part.looked_at(pieces):
                        copied.write(piece)
                if part.far:
                    far.append(part.name)
        with zipfile.ZipFile(found.copy) as copied_zip:
            for name in far:
                _check_span(path, copied_zip, name)
        yield found


def _plain(name: str) -> str:
    return name.replace("\\", "/").lstrip("/")


class _Part:
    """One part while it is copied: what of it has been seen."""

    def __init__(self, path: Path, found: Vetted, name: str) -> None:
        """`found` collects what is noticed in all parts."""
        self.path, self.found, self.name = path, found, name
        self.cells = self.rows = self.bytes = self.text = 0
        self.far = False
        self.long = {place: length for place, length in enumerate(found.lengths) if length > _SHORT}

    def looked_at(self, pieces: Iterator[bytes]) -> Iterator[bytes]:
        """The same bytes, cut between two cells so that nothing that is looked for lies across a cut."""
        held = b""
        for piece in pieces:
            held += piece
            cut = max(held.rfind(b"<c"), held.rfind(b"<si"), held.rfind(b":c "), held.rfind(b":si"), 0)
            if cut:
                self._look(held[:cut])
                yield held[:cut]
                held = held[cut:]
            elif len(held) > _LONGEST_PIECE:
                raise too_large(self.path, f"it has a cell of more than {MOST_CHARACTERS} characters")
        self._look(held)
        yield held
        spare = _OF_CELL * self.cells + _OF_ROW * self.rows + _OF_STRING * len(self.found.lengths)
        if self.bytes - spare > MOST_TEXT:
            raise _too_much_text(self.path)
        self.found.cells += self.cells

    def _look(self, piece: bytes) -> None:
        found = self.found
        self.bytes += len(piece)
        if _TYPE.search(piece) or b"\0" in piece[:100]:
            raise no_sheet(self.path, "it defines words of its own (a DTD), as no spreadsheet program does")
        if self.name.casefold().endswith("workbook.xml") and _FROM_1904.search(piece):
            found.counts_from = 1904
        if b"si>" in piece or b"<si" in piece or b":si" in piece:
            found.lengths += [len(each) for each in _STRING.split(piece)][:-1]
        self.cells += piece.count(b"<c") + piece.count(b":c")
        self.rows += piece.count(b"<row") + piece.count(b":row")
        found.merged += piece.count(b"mergeCell ")
        if found.cells + self.cells > MOST_CELLS or len(found.lengths) > MOST_CELLS:
            raise too_large(self.path, f"its sheets span more than {MOST_CELLS} cells")
        if found.merged > MOST_MERGED:
            raise too_large(self.path, f"it has more than {MOST_MERGED} joined cells")
        if self.cells:
            self._look_at_cells(piece)

    def _look_at_cells(self, piece: bytes) -> None:
        found = self.found
        self.far = self.far or _FAR.search(piece) is not None
        found.wrong += piece.count(b't="e"')
        found.sixty = found.sixty or b">60<" in piece
        if b"<f" in piece:
            found.unworked += len(_UNWORKED.findall(piece))
        if self.long:
            uses = Counter(_SHARED.findall(piece))
            self.text += sum(times * self.long.get(int(key), 0) for key, times in uses.items())
            if self.text > MOST_TEXT:
                raise _too_much_text(self.path)


def _too_much_text(path: Path) -> Refused:
    return too_large(path, f"it holds more than {MOST_TEXT // 10**6} million characters")


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
    width = max((_column(each) for each in columns), default=0)
    if height * width > MOST_CELLS or max(map(len, rows), default=0) > 11:
        raise too_large(path, f"one of its sheets spans {height} rows of {width} columns")


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters.upper()[:5]:
        number = number * 26 + letter - 64
    return number
