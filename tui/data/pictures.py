"""Pictures and papers of a part, and new ones in the folder that a person has chosen for pictures."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.documents.actions import SHOWS, content
from inventory.documents.queries import DocumentView, documents_of
from inventory.documents.read_stored import document_gone
from inventory.errors import Refused
from inventory.parts.queries import part_row
from inventory.pictures.actions import attach_files
from inventory.pictures.read_newest import NewPicture, NewSince, new_since, newest
from inventory.store.private_files import private_file, write_private
from inventory.store.record import Record
from inventory.store.systems import why_not

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = [
    "SHOWS",
    "DocumentView",
    "NewPicture",
    "NewSince",
    "Papers",
    "attach_files",
    "keep_folder",
    "kept_folder",
    "new_since",
    "original",
    "papers_of",
    "shown_time",
]


@dataclass(frozen=True)
class Papers:
    """What is attached to a part, newest first, and the new pictures of the folder, newest first; `why_none`."""

    attached: tuple[DocumentView, ...]
    new: tuple[NewPicture, ...] = ()
    why_none: str = ""


def papers_of(session: Session, tag: str, folder: Path | None) -> Papers:
    """The documents of a part, and the pictures of a folder that are not on record."""
    attached = tuple(reversed(documents_of(session, part_row(session, tag).id)))
    if folder is None:
        return Papers(attached)
    try:
        return Papers(attached, tuple(newest(session, folder)))
    except Refused as refused:
        return Papers(attached, why_none=refused.message)


def original(session: Session, document: DocumentView) -> bytes:
    """The bytes of a document. Raises `Refused` if they are gone."""
    held = content(session, document.digest)
    if held is None:
        raise document_gone(session, document.file_name)
    return held


def kept_folder(record: Record, person: str) -> Path | None:
    """The folder that a person on this machine has chosen for pictures; None if none was chosen or it is not kept."""
    try:
        held = json.loads(private_file(record, person, "pictures").read_text(encoding="utf-8"))
        return Path(held["folder"])
    except (OSError, ValueError, TypeError, KeyError):
        return None


def keep_folder(record: Record, person: str, folder: Path) -> None:
    """Keep which folder a person has chosen for pictures, in a private file. Raises `Refused` if the disk is full."""
    try:
        write_private(private_file(record, person, "pictures"), json.dumps({"folder": str(folder)}))
    except OSError as problem:
        raise Refused("folder-not-kept", f"The folder of pictures cannot be kept: {why_not(problem)}") from None


def shown_time(at: datetime) -> str:
    """When a picture was taken, as its list shows it."""
    return f"{at.day:>2} {at:%b %Y %H:%M}"
