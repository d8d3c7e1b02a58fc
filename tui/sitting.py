"""One sitting at the browser: the record, who is working, and that person's drafts."""

from __future__ import annotations

import getpass
import os
from dataclasses import dataclass, field
from pathlib import Path

from inventory.store.record import Record
from tui.drafts import Drafts, drafts_of

__all__ = ["Sitting", "who_by_default"]


@dataclass
class Sitting:
    """The record and the person. `folder`: where sheets are looked for."""

    record: Record
    by: str
    folder: Path = field(default_factory=Path.cwd)

    def __post_init__(self) -> None:
        self._before = len(self.record.acts)
        self.record.names_meant.new = True  # the views ask about near names before they write

    @property
    def acts(self) -> list[str]:
        """The keys of the acts written in this sitting, oldest first: what Ctrl+Z can take back."""
        return self.record.acts[self._before :]

    @property
    def drafts(self) -> Drafts:
        """The drafts of whoever is working now."""
        return drafts_of(self.record, self.by)


def who_by_default() -> str:
    """MATCHMARK_BY, else the login name, else "unknown"."""
    named = os.environ.get("MATCHMARK_BY", "").strip()
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unknown"
