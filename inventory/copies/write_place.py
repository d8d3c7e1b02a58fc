"""Where the copies of a record go: chosen once by whoever works on a machine, in a private file."""

from __future__ import annotations

import getpass
import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Refused
from inventory.store.private_files import private_file, write_private
from inventory.store.systems import why_not

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["Place", "choose_place", "place_of", "series_name"]


@dataclass(frozen=True)
class Place:
    """A folder for copies, how many are kept there, and the file with the passphrase if they are encrypted."""

    folder: Path
    keep: int
    passphrase_file: Path | None


def place_of(record: Record) -> Place | None:
    """The chosen place; None if none was chosen, or the file that says it cannot be read."""
    try:
        said = json.loads(_file(record).read_text(encoding="utf-8"))
        secret = said["passphrase_file"]
        return Place(Path(said["folder"]), int(said["keep"]), Path(secret) if secret else None)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def choose_place(record: Record, folder: Path, keep: int, passphrase_file: Path | None) -> Place:
    """Choose a folder that is there. Raises `Refused`."""
    if not folder.is_dir():
        raise Refused("no-such-folder", f"There is no folder {folder}", where="--place", hint="make it first")
    place = Place(folder.resolve(), keep, passphrase_file.resolve() if passphrase_file else None)
    said = {"folder": str(place.folder), "keep": keep, "passphrase_file": str(place.passphrase_file or "")}
    try:
        write_private(_file(record), json.dumps(said))
    except OSError as problem:
        raise Refused("place-not-kept", f"The place cannot be kept on this machine: {why_not(problem)}") from None
    return place


def series_name(record: Record) -> str:
    """The name that begins the files of this record's copies."""
    stem = record.path.stem if record.path is not None else record.url.database or "record"
    return f"{stem}.zip"


def _file(record: Record) -> Path:
    try:
        person = getpass.getuser()
    except (ImportError, KeyError, OSError):
        person = "unknown"
    return private_file(record, person, "copies")
