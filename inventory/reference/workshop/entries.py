"""Reads and checks a workshop's file of reference data. A refusal names file and line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from inventory.errors import Refused
from inventory.reference.workshop.entry_rules import check_meaning
from inventory.reference.workshop.entry_shapes import EntryError, Path, check_shapes

__all__ = ["line_of", "read"]

#: Characters that are read. The standard library needs the square of the parts of a key.
_LONGEST_LINE, _LONGEST = 2000, 400_000
_PART = re.compile(r"\"([^\"]*)\"|'([^']*)'|([A-Za-z0-9_-]+)")
_HEADER = re.compile(r"\s*(\[\[?)([^\[\]]+)\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*(\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+)\s*=")


def read(text: str, file: str) -> dict[str, Any]:
    """The contents of a workshop's file. Raises `Refused`, naming file and line, for the first entry that is wrong."""
    long = next((number for number, line in enumerate(text.splitlines(), 1) if len(line) > _LONGEST_LINE), 0)
    if long or len(text) > _LONGEST:
        raise _refused(file, long or 1, f"this is too long: {_LONGEST_LINE:,} characters a line, {_LONGEST:,} in all")
    try:
        data = tomllib.loads(text)
    except RecursionError:
        raise _refused(file, 1, "this is not TOML that can be read: it lies too deep") from None
    except tomllib.TOMLDecodeError as problem:
        found = re.search(r"line (\d+)", str(problem))
        line = int(found[1]) if found else text.count("\n") + 1
        says = re.sub(r"\s*\(at .*\)$", "", str(problem))
        raise _refused(file, line, f"this is not TOML: {says[:1].lower()}{says[1:]}") from None
    try:
        check_shapes(data)
        check_meaning(data)
    except EntryError as wrong:
        raise _refused(file, line_of(text, wrong.where), wrong.says) from None
    return data


def line_of(text: str, where: Path) -> int:
    """The line (from 1) of an entry of a TOML text: that of its key, else of the header of its table."""
    best, depth = 1, 0
    table: Path = ()
    counts: dict[Path, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        here: Path
        if header := _HEADER.match(line):
            names = _names(header[2])
            table = _table(names, counts, another=header[1] == "[[")
            here = table
        elif key := _KEY.match(line):
            here = (*table, *_names(key[1]))
        else:
            continue
        if len(here) > depth and here == where[: len(here)]:
            best, depth = number, len(here)
    return best


def _names(text: str) -> tuple[str, ...]:
    return tuple(next(part for part in found if part) for found in _PART.findall(text) if any(found))


def _table(names: tuple[str, ...], counts: dict[Path, int], *, another: bool) -> Path:
    """The path of a table from its header; `counts` holds how many of each list of tables came before."""
    path: Path = ()
    for place, name in enumerate(names, 1):
        path = (*path, name)
        if another and place == len(names):
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _refused(file: str, line: int, says: str) -> Refused:
    return Refused(
        "workshop-entry",
        f"{file}, line {line}: {says}",
        where=f"{file}:{line}",
        hint="correct that line, then take the file in: matchmark limits take FILE",
    )
