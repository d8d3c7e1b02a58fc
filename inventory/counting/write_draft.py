"""The draft of a count: a private file beside the record, one line for each scan, so that an interruption loses none.

Each person on each machine has one. A draft is never a fact, and no list shows it. A line that a crash cut off is left
out.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.counting.sheet import Counted, folded
from inventory.errors import Refused
from inventory.store.days import clock
from inventory.store.private_files import private_file
from inventory.store.systems import open_private, private_folder

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["CountDraft", "draft_of"]


class CountDraft:
    """The draft of one person's count. Each event is on disk before the call returns."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def read(self) -> Counted | None:
        """What is held, None if nothing was begun."""
        try:
            text = self.path.read_text(encoding="utf-8", errors="replace")
        except FileNotFoundError:
            return None
        except OSError as problem:
            raise _not_kept(problem) from None
        return folded([event for line in text.splitlines() if (event := _event(line)) is not None])

    def begin(self, scope_id: int | None, name: str = "") -> None:
        """Begin a count of a place, or of everything; what was held before is gone."""
        self.drop()
        self.add(begun=clock.stamp(clock.now()), scope=scope_id, name=name)

    def add(self, **event: Any) -> None:
        """Add an event: `place`, `part` with `in`, `off`, `unread` with `says`, or `closed`."""
        text = json.dumps({**event, "at": clock.stamp(clock.now())}, ensure_ascii=False)
        try:
            private_folder(self.path.parent)
            with os.fdopen(open_private(self.path, os.O_APPEND), "a", encoding="utf-8", newline="\n") as file:
                file.write(f"\n{text}" if self.path.stat().st_size else text)
                file.flush()
                os.fsync(file.fileno())
        except OSError as problem:
            raise _not_kept(problem) from None

    def drop(self) -> None:
        """Delete the draft."""
        try:
            self.path.unlink(missing_ok=True)
        except OSError as problem:
            raise _not_kept(problem) from None


def draft_of(record: Record, person: str) -> CountDraft:
    """A person's count on this machine."""
    return CountDraft(private_file(record, person, "count"))


def _event(line: str) -> dict[str, Any] | None:
    try:
        event = json.loads(line)
    except ValueError:
        return None
    keys = ("scope", "place", "part", "in", "off", "closed")
    right = isinstance(event, dict) and all(isinstance(event.get(key), int | None) for key in keys)
    return event if right else None


def _not_kept(problem: OSError) -> Refused:
    why = (problem.strerror or "check whether the disk is full").capitalize()
    return Refused("count-not-kept", "The count cannot be saved on this disk", hint=f"{why}: {problem.filename}")
