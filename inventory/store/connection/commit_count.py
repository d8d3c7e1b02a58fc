"""How many acts this process has committed, so that whoever is stopped midway is told what is true."""

from __future__ import annotations

__all__ = ["add", "count"]

_acts = [0]


def add() -> None:
    """One more act is in a record."""
    _acts[0] += 1


def count() -> int:
    """The acts committed so far, in whatever record."""
    return _acts[0]
