"""Files that are to become documents: looked at before they are read, then read in pieces."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from inventory.errors import Refused
from inventory.store.files import open_ordinary
from inventory.store.systems import why_not

__all__ = ["PIECE", "digest_given", "digest_of", "file_given", "largest", "pieces_given", "pieces_in"]

#: How much of a file is in memory at a time, and in one row on PostgreSQL (bytes).
PIECE = 4 << 20
#: The largest document, unless MATCHMARK_LARGEST says otherwise.
_LARGEST = "200MB"
_UNITS = {"": 1, "K": 10**3, "M": 10**6, "G": 10**9}


def largest() -> int:
    """The size of the largest document that is taken in (bytes): MATCHMARK_LARGEST, such as 500MB, else 200 MB."""
    said = os.environ.get("MATCHMARK_LARGEST") or _LARGEST
    read = re.fullmatch(r"\s*(\d{1,12})\s*([KMG]?)B?\s*", said, re.IGNORECASE)
    if read is None:
        raise Refused(
            "not-a-size", f'"{said}" is no size of a file', where="MATCHMARK_LARGEST", hint="MATCHMARK_LARGEST=500MB"
        )
    return int(read[1]) * _UNITS[read[2].upper()]


@contextmanager
def file_given(path: Path) -> Iterator[BinaryIO]:
    """A file that is to become a document, as `open_ordinary` opens it; one larger than `largest` is refused too.

    Raises `Refused`, before a byte is read.
    """
    most = largest()
    with open_ordinary(path) as file:
        size = os.fstat(file.fileno()).st_size
        if size > most:
            raise Refused(
                "file-too-long",
                f"{path} has {size / 1e6:,.0f} MB; a document may have {most / 1e6:,.0f}",
                where=str(path),
                hint=f"if it is meant: MATCHMARK_LARGEST={-(-size // 10**6)}MB",
            )
        yield file


def pieces_in(file: BinaryIO) -> Iterator[bytes]:
    """What is in a file, from here to its end, in pieces; an empty one is one empty piece. Raises `Refused`."""
    try:
        piece = file.read(PIECE)
        yield piece
        while piece and (piece := file.read(PIECE)):
            yield piece
    except OSError as problem:  # told here: whoever writes the pieces would take it for a full disk
        raise Refused(
            "file-not-readable", f"{file.name} cannot be read: {why_not(problem)}", where=str(file.name)
        ) from None


def digest_given(path: Path) -> tuple[str, int]:
    """The digest of a file and its size (bytes). Raises `Refused` as `file_given` does."""
    with file_given(path) as file:
        return digest_of(pieces_in(file))


def digest_of(pieces: Iterable[bytes]) -> tuple[str, int]:
    """The SHA-256 (hexadecimal) of pieces, one after the other, and their size (bytes)."""
    seen, size = hashlib.sha256(), 0
    for piece in pieces:
        seen.update(piece)
        size += len(piece)
    return seen.hexdigest(), size


def pieces_given(path: Path, digest: str) -> Iterator[bytes]:
    """The pieces of a file that was looked at before. Raises `Refused` at its end if it has changed since."""
    seen = hashlib.sha256()
    with file_given(path) as file:
        for piece in pieces_in(file):
            seen.update(piece)
            yield piece
    if seen.hexdigest() != digest:
        raise Refused("picture-changed", f"{path.name} has changed since it was looked at", hint="look again")
