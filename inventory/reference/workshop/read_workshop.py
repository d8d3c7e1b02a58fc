"""Reads a workshop's own reference data: a TOML file beside the record, which overrides the program's data."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Refused
from inventory.store.files import named_path

if TYPE_CHECKING:
    from inventory.reference.data import Reference

__all__ = ["file_beside", "reference_beside", "reference_from"]

_SUFFIX = ".workshop.toml"
_VARIABLE = "MATCHMARK_WORKSHOP"
# os.path.isfile returns False where Path.is_file raises (an impossible name): opening the record refuses it better.


def reference_beside(target: str) -> Reference:
    """The reference data for the record at a path or address: the program's with those of its workshop's file.

    Raises `Refused`, naming file and line, for a wrong entry in that file.
    """
    return reference_from(file_beside(target))


def file_beside(target: str) -> Path | None:
    """The path of a record's workshop file, which need not exist; MATCHMARK_WORKSHOP overrides it.

    Raises `Refused` if the variable names a missing file.
    """
    if named := os.environ.get(_VARIABLE):
        path = named_path(named)
        if not os.path.isfile(path):
            raise Refused("no-workshop-file", f"{_VARIABLE} names {path}, but there is no such file", where=str(path))
        return path
    if "://" in target:
        return None
    record = named_path(target)
    return record.with_name(f"{record.stem}{_SUFFIX}") if record.name else None


def reference_from(path: Path | None) -> Reference:
    """The program's data with a workshop's file; the program's alone for None or a missing file."""
    from inventory.reference.data import PROGRAM, Reference  # not on the way to the first rows of a find

    if not (text := _text(path)):
        return PROGRAM
    from inventory.reference.workshop import entries

    return Reference(str(path), entries.read(text, str(path)))


def _text(path: Path | None) -> str:
    if path is None or not os.path.isfile(path):
        return ""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as problem:
        why = problem.strerror.lower() if isinstance(problem, OSError) and problem.strerror else "it is not UTF-8 text"
        raise Refused("workshop-file", f"{path} cannot be read: {why}", where=str(path)) from None
