"""Whether a record file lies where a program that keeps folders alike has been at work: by the files it leaves.

Such a program copies the file while it is written to, and its log apart from it; of two machines that write it keeps
both files, one under a name that speaks of a conflict. Nothing else can be known of it without its name.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["synced_sentence"]

_CONFLICT = re.compile(r"[ ._(\[-](?:sync[ ._-]?)?conflict|'s conflict", re.IGNORECASE)


def synced_sentence(record: Record) -> str | None:
    """What is to be said of a record file in a synced folder; None if nothing shows that it lies in one."""
    found = _conflict_copies(record.path) if record.path is not None else ()
    if not found:
        return None
    return (
        f"{found[0].name} lies beside the record: a program keeps this folder alike on several machines, and it can "
        "lose what is written to a record. Keep the record outside, and put copies there: matchmark backup --place "
        "FOLDER"
    )


def _conflict_copies(path: Path) -> list[Path]:
    try:
        return sorted(each for each in path.absolute().parent.iterdir() if _CONFLICT.search(each.name))
    except OSError:
        return []
