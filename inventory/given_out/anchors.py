"""The record's anchor as it stands on a paper. Pure; read by `load_anchor`."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Anchor", "grouped"]


@dataclass(frozen=True)
class Anchor:
    """The state of a record: `text`, SHA-256 (hexadecimal) over its identity and log, after `size` entries."""

    text: str
    size: int

    @property
    def shown(self) -> str:
        """For people: half of its digits, and after how many entries."""
        return f"{grouped(self.text)} after {self.size} entries"


def grouped(digest: str) -> str:
    """The first 32 digits in 8 groups of 4, for reading out and comparing by eye."""
    return " ".join(digest[start : start + 4] for start in range(0, 32, 4))
