"""The record's anchor as it stands on a paper, and whether the record fitted. Pure; read by `load_checked`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = ["FITS", "LOOKED_AT", "NOT_GIVEN", "Anchor", "RecordState", "grouped", "state_since"]

#: Stands on a paper of which the chains were checked.
FITS = "Checked against the record's journal when it was drawn: fits"
#: What a paper lacks that was written though the record did not fit.
NOT_GIVEN = "no number, no fingerprint, no anchor"


@dataclass(frozen=True)
class Anchor:
    """The state of a record: `text`, SHA-256 (hexadecimal) over its identity and log, after `size` entries."""

    text: str
    size: int

    @property
    def shown(self) -> str:
        """For people: half of its digits, and after how many entries."""
        return f"{grouped(self.text)} after {self.size} entries"


@dataclass(frozen=True)
class RecordState:
    """How a paper stands to its record: the `anchor` as it was drawn, or how many `problems` the record had.

    With neither it was only looked at, or an older version wrote it.
    """

    anchor: Anchor | None = None
    problems: int = 0

    @property
    def mark(self) -> str:
        """What stands on every page where the record did not fit; else ""."""
        if not self.problems:
            return ""
        return f"NOT VERIFIED: {self.problems} {'problem' if self.problems == 1 else 'problems'}"

    def as_dict(self) -> dict[str, Any]:
        """The keys in JSON."""
        text, size = (self.anchor.text, self.anchor.size) if self.anchor is not None else (None, None)
        return {"anchor": text, "anchor_size": size, "unverified": self.problems}

    @property
    def lines(self) -> list[str]:
        """What stands on a page beside its fingerprint, or in the place of it."""
        if self.problems:
            return [f"{self.mark}: {NOT_GIVEN}"]
        return [f"Record's anchor {self.anchor.shown}. {FITS}"] if self.anchor is not None else []

    @property
    def says(self) -> str:
        """The anchor for people; a dash where there is none."""
        return self.anchor.shown if self.anchor is not None else "-"


#: Of a paper that is not written.
LOOKED_AT = RecordState()


def state_since(then: Anchor, since: int | None) -> str:
    """Whether the record's state of an anchor is in its past; `since`: how many entries came later, None: it is not."""
    if since is None:
        return f"The record's state then ({then.shown}) is not in its past: matchmark verify"
    later = f"{since} {'entry' if since == 1 else 'entries'} came later"
    return f"The record's log still has its state of then ({then.shown}); {later}. matchmark verify checks the record"


def grouped(digest: str) -> str:
    """The first 32 digits in 8 groups of 4, for reading out and comparing by eye."""
    return " ".join(digest[start : start + 4] for start in range(0, 32, 4))
