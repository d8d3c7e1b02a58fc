"""Copies a record before its schema is brought up. Where the copy cannot be made, the record is not touched."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from inventory.copies.actions import write_backup_file
from inventory.copies.read_backup import opened_backup
from inventory.copies.write_place import place_of
from inventory.errors import Refused
from inventory.store.connection.version import HEAD
from inventory.store.systems import private_folder
from inventory.store.words.text import fold

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["before_upgrade_files", "copy_before_upgrade"]


def copy_before_upgrade(record: Record, revision: str) -> None:
    """Copy a record that is at an earlier revision: beside its file, else where copies go, else in the user's data.

    The documents of a record file stay where they are, since they are not touched either. Raises `Refused`.
    """
    try:
        file = _free(record, _file(record))
        write_backup_file(record, file, overwrite=file.exists(), documents=record.path is None)
    except (Refused, OSError) as problem:
        why = problem.message if isinstance(problem, Refused) else problem.strerror or str(problem)
        raise Refused(
            "not-copied-before-upgrade",
            f"This record is of an earlier version (schema {revision}) and is copied before it is brought up to "
            f"{HEAD}. The copy cannot be made: {why}. The record is as it was",
            hint=getattr(problem, "hint", None) or "free some space, or make the folder writable",
        ) from problem


def before_upgrade_files(record: Record) -> list[Path]:
    """The copies that were made before upgrades: what was removed from the record since may still be in them."""
    file = _file(record)
    stem = file.name.removesuffix(f"{HEAD}.zip")
    there = file.parent.iterdir() if file.parent.is_dir() else ()
    return sorted(each for each in there if each.name.startswith(stem) and each.suffix == ".zip")


def _file(record: Record) -> Path:
    if record.path is not None:
        return record.path.with_name(f"{record.path.stem}.before-{HEAD}.zip")
    from platformdirs import user_data_path

    place = place_of(record)
    folder = place.folder if place is not None else user_data_path("matchmark")
    private_folder(folder)
    return folder / f"{fold(record.url.database or '') or 'record'}.before-{HEAD}.zip"


def _free(record: Record, file: Path) -> Path:
    """The file, or the next with a number where another record's copy lies. One of this record is made anew."""
    from inventory.copies.load_state import about

    if not file.exists():
        return file
    with record.read() as session:
        identity = about(session.connection()).identity
    names = (file.with_name(f"{file.stem}-{number}.zip") for number in range(2, 100))
    return next((each for each in (file, *names) if not each.exists() or _is_of(each, identity)), file)


def _is_of(file: Path, identity: str) -> bool:
    try:
        with file.open("rb") as opened, opened_backup(opened) as held:
            return held.about.identity == identity
    except (Refused, OSError):
        return False
