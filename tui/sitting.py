"""What one sitting at the browser holds: the record, who is working, and that person's drafts."""

from __future__ import annotations

import getpass
import os
from dataclasses import dataclass, field
from pathlib import Path

from inventory.store.clock import now, stamp
from inventory.store.record import Record
from tui.drafts import Drafts, drafts_of

__all__ = ["Sitting", "who_by_default"]


@dataclass
class Sitting:
    """The record and the person. Ctrl+Z reaches back to `since` (UTC). `folder`: where sheets are looked for."""

    record: Record
    by: str
    since: str = field(default_factory=lambda: stamp(now()))
    folder: Path = field(default_factory=Path.cwd)

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
