"""Files that people name: written whole or not at all, and read with a bound on their size."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from inventory.errors import Refused

__all__ = ["read_at_most", "whole_file"]


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A file beside the one wanted, with the same ending, that takes its name and place when all went well."""
    part = path.with_name(f".{path.stem[:80]}.{os.getpid()}.part{path.suffix}")
    try:
        yield part
        part.replace(path)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused(
            "file-not-written",
            f"{path} cannot be written: {why}. Nothing was changed",
            where=str(path),
            hint="choose a folder you may write in, or free some space",
        ) from None
    finally:
        part.unlink(missing_ok=True)


def read_at_most(path: Path, most: int) -> bytes:
    """The bytes of a file; refused where it cannot be read or is longer than `most` bytes."""
    try:
        with path.open("rb") as file:
            held = file.read(most + 1)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        raise Refused("file-not-readable", f"{path} cannot be read: {why}. Nothing was changed") from None
    if len(held) > most:
        raise Refused("file-too-long", f"{path} is longer than {most // 1_000_000} MB. Nothing was changed")
    return held
