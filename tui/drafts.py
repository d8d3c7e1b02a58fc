"""Drafts of unfinished answers: one private file beside the record for each person and machine.

They are saved at every question. A draft is never a fact, and no list shows it.
"""

from __future__ import annotations

import json
import os
from contextlib import ExitStack, suppress
from dataclasses import asdict, dataclass, field
from datetime import datetime
from itertools import count
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.store.days.clock import now, stamp
from inventory.store.private_files import private_file, write_private
from inventory.store.record import Record
from inventory.store.systems import file_locked, private_folder

__all__ = ["Draft", "Drafts", "draft_key", "drafts_of", "held_drafts"]


def draft_key(car: str) -> str:
    """The key of the draft of a part off this car."""
    return f"off:{car}"


@dataclass(frozen=True)
class Draft:
    """A draft. `key`: what it is for; `stopped_at`: the open question.

    `answers`: question to (value, how it was given). `saved`: UTC. `left`: the person closed the program, rather than
    the program stopped.
    """

    key: str
    what: str
    stopped_at: str
    answers: dict[str, list[str]] = field(default_factory=dict)
    saved: str = ""
    left: bool = False


class Drafts:
    """The drafts of one person on one machine. Each change is on disk before the call returns.

    `taken`: since when (a time of the day) another browser of this person on this machine has them; what is kept here
    is then in memory only, so that neither of the two writes over the other's.
    """

    def __init__(self, path: Path, taken: str = "") -> None:
        self.path = path
        self.taken = taken
        self._here: dict[str, Draft] = {}

    def all(self) -> tuple[Draft, ...]:
        """All drafts, the last saved first."""
        return tuple(sorted(self._read().values(), key=lambda draft: draft.saved, reverse=True))

    def get(self, key: str) -> Draft | None:
        """The draft with this key, or None."""
        return self._read().get(key)

    def save(self, draft: Draft) -> None:
        """Save a draft; it replaces the one with its key. Raises `Refused` if the disk does not take it."""
        self._write({**self._read(), draft.key: Draft(**{**asdict(draft), "saved": stamp(now())})})

    def drop(self, key: str) -> None:
        """Delete a draft that was finished or dropped."""
        drafts = self._read()
        if drafts.pop(key, None) is not None:
            self._write(drafts)

    def leave(self) -> None:
        """Mark every draft as left: its owner closed the program."""
        drafts = {key: Draft(**{**asdict(draft), "left": True}) for key, draft in self._read().items()}
        if drafts:
            self._write(drafts)

    def _read(self) -> dict[str, Draft]:
        if self.taken:
            return dict(self._here)
        try:
            held = json.loads(self.path.read_text(encoding="utf-8"))
            return {draft.key: draft for draft in map(_draft, held["drafts"])}
        except (FileNotFoundError, NotADirectoryError):
            return {}
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            self._set_aside()
            return {}
        except OSError as problem:
            raise _not_kept(problem) from None

    def _set_aside(self) -> None:
        """Rename an unreadable drafts file to a free name, so that a person can look at it."""
        names = (f"{self.path.stem}{number or ''}.unread" for number in count())
        free = next(path for path in map(self.path.with_name, names) if not path.exists())
        try:
            self.path.rename(free)
        except OSError as problem:
            raise _not_kept(problem) from None

    def _write(self, drafts: dict[str, Draft]) -> None:
        if self.taken:
            self._here = drafts
            return
        text = json.dumps({"drafts": [asdict(draft) for draft in drafts.values()]}, ensure_ascii=False, indent=1)
        try:
            write_private(self.path, text)
        except OSError as problem:
            raise _not_kept(problem) from None


def _draft(held: Any) -> Draft:
    """A draft as the file holds it. Raises `TypeError` or others for one that the program did not write."""
    draft = Draft(**held)
    for name in [name for name, values in draft.answers.items() if values == []]:
        del draft.answers[name]  # as runs on the bench were saved once
    texts = [draft.key, draft.what, draft.stopped_at, draft.saved]
    for name, values in draft.answers.items():
        if not isinstance(values, list):
            raise TypeError(name)
        texts += [name, *values]
    if not all(isinstance(text, str) for text in texts):
        raise TypeError(draft.key)
    return draft


def _not_kept(problem: OSError) -> Refused:
    return Refused(
        "draft-not-kept",
        "Drafts cannot be saved on this disk. Your answers are on this screen only: leave it open",
        hint=f"{(problem.strerror or 'check whether the disk is full').capitalize()}: {problem.filename}",
    )


def drafts_of(record: Record, person: str) -> Drafts:
    """A person's drafts on this machine."""
    return Drafts(private_file(record, person, "drafts"))


def held_drafts(record: Record, person: str, until: ExitStack) -> Drafts:
    """A person's drafts on this machine, held for this browser `until` it ends."""
    path = drafts_of(record, person).path
    lock = path.with_suffix(".lock")
    try:
        private_folder(path.parent)
        until.enter_context(file_locked(lock, seconds=0))
        os.utime(lock)
    except TimeoutError:
        return Drafts(path, taken=f"{datetime.fromtimestamp(lock.stat().st_mtime).astimezone():%H:%M}")
    except OSError:  # where nothing can be written, saving a draft says so
        return Drafts(path)
    until.callback(_remove, lock)
    return Drafts(path)


def _remove(lock: Path) -> None:
    """Remove the lock while it is held; not every system removes an open file."""
    with suppress(OSError):
        lock.unlink()
