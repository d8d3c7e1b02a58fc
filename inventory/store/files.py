"""Files that people name: written whole or not at all, for their owner only, read with a bound.

A file that is there is replaced only where that was asked for (`overwrite`), and a record, what lies beside it and what
the same command is reading are never replaced.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from inventory.errors import Refused
from inventory.store.systems import (
    name_refused,
    open_private,
    open_to_look,
    reachable,
    replace,
    sync_folder,
    take_name,
    why_not,
)

__all__ = ["LOG_ENDINGS", "SQLITE_HEADER", "named_path", "open_ordinary", "read_at_most", "refuse_taken", "whole_file"]

#: The first bytes of every SQLite database (sqlite.org, "Database File Format", section 1.3).
SQLITE_HEADER = b"SQLite format 3\x00"
#: What SQLite puts behind a database's name for its own logs.
LOG_ENDINGS = ("-wal", "-shm", "-journal")
#: What stands after a record's name in what lies beside it: its documents; drafts, which folder has pictures.
_DOCUMENTS = ".documents"
_BESIDE_STEM = (".drafts-", ".copies-", ".count-", ".pictures-")


def named_path(text: str) -> Path:
    """The path that somebody typed; `~` and `~NAME` are home folders, where there is such a person."""
    try:
        return Path(text).expanduser()
    except (RuntimeError, ValueError):
        return Path(text)


@contextmanager
def whole_file(path: Path, *, overwrite: bool = False, reading: Iterable[Path] = ()) -> Iterator[Path]:
    """A file beside the one wanted, with the same ending, that takes its name and place when all went well.

    It is there already, empty, and only its owner can read it (0600). Once it has its name, both are flushed to the
    disk. Raises `Refused` as `refuse_taken` does, also where a file of that name appears meanwhile. A link is followed.
    """
    refuse_taken(path, overwrite=overwrite, reading=reading)
    target = reachable(Path(os.path.realpath(path)))
    part = reachable(target.with_name(f".{target.stem[:80]}.{os.getpid()}.part{target.suffix}"))
    try:
        os.close(open_private(part))
        yield part
        _flush(part)
        if overwrite:
            replace(part, target)
        else:
            take_name(part, target)
        sync_folder(target.parent)
    except FileExistsError:
        raise _taken(path) from None
    except OSError as problem:
        raise Refused(
            "file-not-written",
            f"{path} cannot be written: {why_not(problem)}",
            where=str(path),
            hint="choose a folder you may write in, or free some space",
        ) from None
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _flush(path: Path) -> None:
    opened = os.open(path, os.O_RDWR)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def refuse_taken(path: Path, *, overwrite: bool = False, reading: Iterable[Path] = ()) -> None:
    """Refuse a name under which something lies that must stay: any file unless `overwrite`, a record in every case.

    `reading` are files that the command reads from; they are not written over either.
    """
    if why := name_refused(path):
        raise Refused(
            "file-not-written",
            f"{path} cannot be written: {why}",
            where=str(path),
            hint="choose another name",
        )
    try:
        held = path.stat()
    except FileNotFoundError:
        held = None
    except (OSError, ValueError) as problem:
        raise Refused("file-not-written", f"{path} cannot be written: {why_not(problem)}", where=str(path)) from None
    if owner := _owner(Path(os.path.realpath(path))):
        raise Refused(
            "file-of-a-record",
            f"{path} {owner}",
            where=str(path),
            hint="choose another name",
        )
    if held is None:
        return
    if not stat.S_ISREG(held.st_mode):
        raise Refused("not-a-file", f"not an ordinary file: {path}", where=str(path))
    if any(os.path.exists(each) and os.path.samefile(path, each) for each in reading):
        raise Refused(
            "file-being-read",
            f"{path} is the file that this command reads",
            where=str(path),
            hint="choose another name",
        )
    if not overwrite:
        raise _taken(path)


def open_ordinary(path: Path) -> BinaryIO:
    """A file, open to be read. Raises `Refused` where it cannot be.

    A pipe or a device is refused before a byte is read: it may never end.
    """
    try:
        file = os.fdopen(open_to_look(path), "rb")
    except (OSError, ValueError) as problem:
        raise _not_readable(path, problem) from None
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise Refused("not-a-file", f"not an ordinary file: {path}", where=str(path))
    return file


def read_at_most(path: Path, most: int) -> bytes:
    """The bytes of a file. Raises `Refused` as `open_ordinary` does, and where it is longer than `most` bytes."""
    with open_ordinary(path) as file:
        try:
            held = file.read(most + 1)
        except OSError as problem:
            raise _not_readable(path, problem) from None
    if len(held) > most:
        raise Refused("file-too-long", f"{path} is longer than {most // 1_000_000} MB", where=str(path))
    return held


def _not_readable(path: Path, problem: Exception) -> Refused:
    return Refused("file-not-readable", f"{path} cannot be read: {why_not(problem)}", where=str(path))


def _owner(target: Path) -> str:
    """How a file belongs to a record, as the end of a sentence; empty if it does not."""
    if _is_database(target):
        return "is a record, or another database"
    for ending in LOG_ENDINGS:
        if target.name.endswith(ending) and _is_database(target.with_name(target.name.removesuffix(ending))):
            return "belongs to the record beside it"
    for folder in target.parents:
        if folder.name.endswith(_DOCUMENTS) and _is_database(folder.with_name(folder.name.removesuffix(_DOCUMENTS))):
            return "lies among the documents of a record"
    for mark in _BESIDE_STEM:
        stem, found, _ = target.name.partition(mark)
        if found and target.exists() and any(_is_database(each) for each in _beside(target.parent, stem)):
            return "belongs to the record beside it"
    return ""


def _beside(folder: Path, stem: str) -> list[Path]:
    with suppress(OSError):
        return [each for each in folder.iterdir() if each.stem == stem]
    return []


def _is_database(path: Path) -> bool:
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return file.read(len(SQLITE_HEADER)) == SQLITE_HEADER
    except (OSError, ValueError):
        return False


def _taken(path: Path) -> Refused:
    return Refused(
        "file-exists",
        f"There is already a file at {path}",
        where=str(path),
        hint="to overwrite it: --over",
    )
