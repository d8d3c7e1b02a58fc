"""Private files of a person on one machine: what is not on record yet, such as drafts."""

from __future__ import annotations

import hashlib
import os
import platform
import re
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.store.systems import open_private, private_folder, replace, sync_folder

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["private_file", "write_private"]


def private_file(record: Record, person: str, what: str) -> Path:
    """A private file of a person on this machine: beside a record file, else in the user's data folder."""
    if record.path is not None:
        folder, stem = record.path.parent, record.path.stem
    else:
        from platformdirs import user_data_path

        folder, stem = user_data_path("matchmark"), hashlib.sha256(record.shown.encode()).hexdigest()[:12]
    return folder / f"{stem}.{what}-{_file_word(person)}-{_file_word(platform.node() or 'machine')}.json"


def write_private(path: Path, text: str) -> None:
    """Write a file that only its owner can read, completely or not at all. Raises `OSError`."""
    fresh = path.with_suffix(".new")
    private_folder(path.parent)
    with os.fdopen(open_private(fresh), "w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    replace(fresh, path)
    sync_folder(path.parent)


def _file_word(text: str) -> str:
    """A name as part of a file name: readable, and different for different names."""
    word = re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")[:24]
    return f"{word}-{hashlib.sha256(text.encode()).hexdigest()[:6]}"
