"""Files that are to become documents: looked at before they are read, then read in pieces."""

from __future__ import annotations

import hashlib
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from inventory.errors import Refused
from inventory.store.systems import open_to_look

__all__ = ["PIECE", "digest_given", "file_given", "largest", "pieces_given", "pieces_in"]

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
    """A file that is to be read; closed at the end. Raises `Refused`, before a byte is read, for what must not be.

    That is what cannot be read, no ordinary file (a pipe may never end), and what is larger than `largest`. What the
    disk refuses while it is read becomes a `Refused` too.
    """
    most = largest()
    try:
        with os.fdopen(open_to_look(path), "rb") as file:
            found = os.fstat(file.fileno())
            if not stat.S_ISREG(found.st_mode):
                raise Refused("not-a-file", f"not an ordinary file: {path}", where=str(path))
            if found.st_size > most:
                raise Refused(
                    "file-too-long",
                    f"{path} has {found.st_size / 1e6:,.0f} MB; a document may have {most / 1e6:,.0f}",
                    where=str(path),
                    hint=f"if it is meant: MATCHMARK_LARGEST={-(-found.st_size // 10**6)}MB",
                )
            yield file
    except (OSError, ValueError) as problem:
        why = (getattr(problem, "strerror", None) or str(problem)).lower()
        raise Refused("file-not-readable", f"{path} cannot be read: {why}", where=str(path)) from None


def pieces_in(file: BinaryIO) -> Iterator[bytes]:
    """What is in a file, from here to its end, in pieces; an empty one is one empty piece. Raises `Refused`."""
    try:
        piece = file.read(PIECE)
        yield piece
        while piece and (piece := file.read(PIECE)):
            yield piece
    except OSError as problem:  # told here: whoever writes the pieces would take it for a full disk
        why = (problem.strerror or str(problem)).lower()
        raise Refused("file-not-readable", f"{file.name} cannot be read: {why}", where=str(file.name)) from None


def digest_given(path: Path) -> tuple[str, int]:
    """The digest of a file and its size (bytes). Raises `Refused` as `file_given` does."""
    seen, size = hashlib.sha256(), 0
    with file_given(path) as file:
        for piece in pieces_in(file):
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
