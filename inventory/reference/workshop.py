"""A workshop's own reference data: a TOML file beside the record, put over the program's own.

`use` says which file is in force, for the whole process; the doors call it when they open a record.
"""

from __future__ import annotations

import os
from pathlib import Path

from inventory.errors import Refused
from inventory.reference.over import InForce, in_force, put

__all__ = ["file_beside", "use"]

_SUFFIX = ".workshop.toml"
_VARIABLE = "MATCHMARK_WORKSHOP"
# os.path.isfile says no where Path.is_file raises: for a name that no disk takes. Opening the record says that better.


def file_beside(target: str) -> Path | None:
    """Where the file of a record (a path, or an address of a server) would be; MATCHMARK_WORKSHOP says otherwise.

    Raises `Refused` where the variable names a file that is not there.
    """
    if named := os.environ.get(_VARIABLE):
        path = Path(named).expanduser()
        if not os.path.isfile(path):
            raise Refused("no-workshop-file", f"{_VARIABLE} names {path}, and there is no such file", where=str(path))
        return path
    if "://" in target:
        return None
    record = Path(target).expanduser()
    return record.with_name(f"{record.stem}{_SUFFIX}") if record.name else None


def use(path: Path | None) -> None:
    """Put a workshop's file in force for this process; None, or a file that is not there: the program's own data alone.

    Raises `Refused`, naming file and line, for what cannot stand; the program's own data are in force then.
    """
    text = _text(path)
    file = str(path) if text else ""
    if (file, text) == (in_force().file, in_force().text):
        return
    put(InForce())
    if text:
        from inventory.reference import entries  # only where a workshop has a file of its own

        put(InForce(file, text, entries.read(text, file)))


def _text(path: Path | None) -> str:
    if path is None or not os.path.isfile(path):
        return ""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as problem:
        why = problem.strerror.lower() if isinstance(problem, OSError) and problem.strerror else "it is not UTF-8 text"
        raise Refused("workshop-file", f"{path} cannot be read: {why}", where=str(path)) from None
