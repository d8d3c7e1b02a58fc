"""Reads a file with a workshop's own reference data: a source from which they are taken into the record."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Refused
from inventory.store.files import named_path, read_at_most

if TYPE_CHECKING:
    from inventory.reference.data import Reference

__all__ = ["file_beside", "reference_from", "text_of"]

_SUFFIX = ".workshop.toml"
_VARIABLE = "MATCHMARK_WORKSHOP"
_MOST = 2_000_000  # bytes


def file_beside(record: Path | None) -> Path | None:
    """The workshop's file for a record (None: on a server), if there is one; MATCHMARK_WORKSHOP names another.

    Raises `Refused` if the variable names a missing file.
    """
    if named := os.environ.get(_VARIABLE):
        path = named_path(named)
        if not os.path.isfile(path):  # where Path.is_file raises (an impossible name) it says no
            raise Refused("no-workshop-file", f"{_VARIABLE} names {path}, but there is no such file", where=str(path))
        return path
    if record is None or not record.name:
        return None
    beside = record.with_name(f"{record.stem}{_SUFFIX}")
    return beside if os.path.isfile(beside) else None


def text_of(path: Path) -> str:
    """The text of a file, with the line ends of one system. Raises `Refused` for what is no text."""
    held = read_at_most(path, _MOST)
    try:
        return held.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        why = f"{path} cannot be read: it is not UTF-8 text"
        raise Refused("workshop-file", why, where=str(path)) from None


def reference_from(path: Path) -> Reference:
    """The program's data with a workshop's file. Raises `Refused`, naming file and line, for a wrong entry in it."""
    from inventory.reference.data import Reference  # not on the way to the first rows of a find
    from inventory.reference.workshop import entries

    return Reference(str(path), entries.read(text_of(path), str(path)))
