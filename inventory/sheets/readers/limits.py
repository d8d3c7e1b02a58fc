"""Limits on what is read of a file, and the checks made before anything is unpacked.

They keep a read under 600 MB of memory whatever a file holds, and are well above what a workshop needs.
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Refused
from inventory.sheets.readers.tables import not_a_spreadsheet

__all__ = [
    "BOMB",
    "DAMAGED",
    "LOCKED",
    "MOST_CELLS",
    "MOST_CHARACTERS",
    "MOST_COLUMNS",
    "MOST_MERGED",
    "MOST_ROWS",
    "MOST_TEXT",
    "Size",
    "check_size",
    "open_zip",
    "too_large",
    "unpacked_parts",
]

#: Bytes of a file; rows, cells and characters of all its sheets; columns of one sheet; characters of one cell (the
#: limit of Python's csv module).
MOST_BYTES = 64 * 2**20
MOST_ROWS = 120_000
MOST_COLUMNS = 500
MOST_CELLS = 2_500_000
MOST_TEXT = 64_000_000
MOST_CHARACTERS = 131_072
#: Merged ranges of a file.
MOST_MERGED = 50_000
#: Parts of a zip; bytes that they unpack to together; ratio of unpacked to packed size, for parts that are not small.
_MOST_PARTS = 10_000
_MOST_UNPACKED = 400 * 2**20
_MOST_RATIO = 250
_SMALL = 4 * 2**20
_CHUNK = 2**20
_LOCAL_HEADER = struct.Struct("<4s5H3L2H")

LOCKED = "it is locked with a password"
DAMAGED = "it is damaged or of another kind"
BOMB = "it unpacks to far more than a spreadsheet should"
_SPLIT = "split it, and read the pieces one after another"


def too_large(path: Path, what: str) -> Refused:
    """The refusal for a file that is too large. `what` completes "cannot be read: "."""
    return Refused("sheet-too-large", f"{path} cannot be read: {what}", hint=_SPLIT)


def check_size(path: Path, size: int) -> None:
    """Refuse a file of more than `MOST_BYTES` bytes."""
    if size > MOST_BYTES:
        raise too_large(path, f"it has {size / 2**20:.0f} MB, and {MOST_BYTES / 2**20:.0f} MB are read at a time")


@dataclass
class Size:
    """How much of a file was read so far; it refuses the file if this exceeds a limit."""

    path: Path
    rows: int = 0
    cells: int = 0
    characters: int = 0

    def add(self, cells: list[str], times: int = 1) -> None:
        """Count a row of text that is repeated `times` times."""
        self.rows += times
        self.cells += times * len(cells)
        length = len("".join(cells))
        self.characters += length
        if len(cells) > MOST_COLUMNS:
            raise too_large(self.path, f"it has {len(cells)} columns, and {MOST_COLUMNS} are read")
        if length > MOST_CHARACTERS and max(map(len, cells)) > MOST_CHARACTERS:
            raise too_large(self.path, f"it has a cell of more than {MOST_CHARACTERS} characters")
        if self.rows > MOST_ROWS or self.cells > MOST_CELLS or self.characters > MOST_TEXT:
            self.refuse()

    def refuse(self) -> None:
        """Refuse the file and say which limit it exceeds."""
        if self.rows > MOST_ROWS:
            raise too_large(self.path, f"it has more than {MOST_ROWS} rows")
        if self.cells > MOST_CELLS:
            raise too_large(self.path, f"its sheets span more than {MOST_CELLS} cells")
        raise too_large(self.path, f"it contains more than {MOST_TEXT // 10**6} million characters")


def open_zip(path: Path) -> zipfile.ZipFile:
    """A zip whose directory was checked before anything is unpacked. Raises `Refused` if it announces too much."""
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, struct.error):
        raise not_a_spreadsheet(path, DAMAGED) from None
    parts = archive.infolist()
    try:
        if len(parts) > _MOST_PARTS or len({part.filename for part in parts}) < len(parts):
            raise not_a_spreadsheet(path, DAMAGED)
        if any(part.flag_bits & 1 for part in parts):
            raise not_a_spreadsheet(path, LOCKED)
        if any(part.file_size > _SMALL and part.file_size > _MOST_RATIO * part.compress_size for part in parts):
            raise not_a_spreadsheet(path, BOMB)
    except Refused:
        archive.close()
        raise
    return archive


def unpacked_parts(path: Path, archive: zipfile.ZipFile, names: list[str]) -> Iterator[tuple[str, Iterator[bytes]]]:
    """The named parts of a zip, each in pieces of about 1 MB. They are counted; the directory is not trusted."""
    left = [_MOST_UNPACKED]
    if sum(archive.getinfo(name).file_size for name in names) > _MOST_UNPACKED:
        raise not_a_spreadsheet(path, BOMB)
    for name in names:
        yield name, _pieces(path, archive.getinfo(name), left)


def _pieces(path: Path, part: zipfile.ZipInfo, left: list[int]) -> Iterator[bytes]:
    """One part unpacked; refused if it is longer than the directory says (other readers ignore that)."""
    count, check = 0, 0
    for piece in _unpacked(path, part):
        count += len(piece)
        left[0] -= len(piece)
        check = zlib.crc32(piece, check)
        if count > part.file_size or left[0] < 0:
            raise not_a_spreadsheet(path, BOMB)
        yield piece
    if count != part.file_size or check != part.CRC:
        raise not_a_spreadsheet(path, DAMAGED)


def _unpacked(path: Path, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """What a part unpacks to, even beyond the size that its directory states."""
    if part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise not_a_spreadsheet(path, DAMAGED)
    packed = _packed(path, part)
    if part.compress_type == zipfile.ZIP_STORED:
        yield from packed
        return
    engine = zlib.decompressobj(-zlib.MAX_WBITS)
    try:
        for piece in packed:
            yield engine.decompress(piece, _CHUNK)
            while engine.unconsumed_tail:
                yield engine.decompress(engine.unconsumed_tail, _CHUNK)
        yield engine.flush()
    except zlib.error:
        raise not_a_spreadsheet(path, DAMAGED) from None


def _packed(path: Path, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """The packed bytes of a part, which follow its own header in the file."""
    with path.open("rb") as file:
        file.seek(max(part.header_offset, 0))
        header = file.read(_LOCAL_HEADER.size)
        if len(header) < _LOCAL_HEADER.size or not header.startswith(b"PK\x03\x04"):
            raise not_a_spreadsheet(path, DAMAGED)
        name, extra = _LOCAL_HEADER.unpack(header)[-2:]
        file.seek(name + extra, 1)
        left = part.compress_size
        while left:
            piece = file.read(min(left, _CHUNK))
            if not piece:
                raise not_a_spreadsheet(path, DAMAGED)
            left -= len(piece)
            yield piece
