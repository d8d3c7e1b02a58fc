"""One sitting at the browser: the record, who is working, and that person's drafts."""

from __future__ import annotations

import getpass
import os
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

from inventory.errors import NearName
from inventory.store.record import Record
from tui.drafts import Drafts, held_drafts
from tui.questions import A_NEW_ONE

__all__ = ["Sitting", "who_by_default"]


@dataclass
class Sitting:
    """The record and the person. `folder`: where sheets are looked for."""

    record: Record
    by: str
    folder: Path = field(default_factory=Path.cwd)

    def __post_init__(self) -> None:
        self._before = len(self.record.acts)
        self._until = ExitStack()
        self._drafts: dict[str, Drafts] = {}

    def end(self) -> None:
        """Let go of the drafts, for another browser."""
        self._until.close()

    @property
    def acts(self) -> list[str]:
        """The keys of the acts written in this sitting, oldest first: what Ctrl+Z can take back."""
        return self.record.acts[self._before :]

    def meant(self, asked: NearName, answer: str) -> None:
        """Keep for this sitting which name was meant by one that looks misspelt."""
        self.record.names_meant.take(asked, "" if answer == A_NEW_ONE else answer)

    @property
    def drafts(self) -> Drafts:
        """The drafts of whoever is working now."""
        if self.by not in self._drafts:
            self._drafts[self.by] = held_drafts(self.record, self.by, self._until)
        return self._drafts[self.by]


def who_by_default() -> str:
    """MATCHMARK_BY, else the login name, else "unknown"."""
    named = os.environ.get("MATCHMARK_BY", "").strip()
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"
