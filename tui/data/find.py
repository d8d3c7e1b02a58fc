"""Searching parts, for Find and Today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.parts import load_lines as finding
from inventory.parts.load_lines import PartLine
from inventory.store.words.search import LIMIT

if TYPE_CHECKING:
    from inventory.store.connection.readonly import Source

__all__ = ["Finds", "PartLine", "page_of", "search"]


@dataclass(frozen=True)
class Finds:
    """The result of a search: how many parts, their keys, the first lines; similar numbers if it found none."""

    words: str
    total: int
    at_least: bool
    keys: tuple[int, ...]
    first: tuple[PartLine, ...]
    near: tuple[tuple[str, int], ...]


def search(source: Source, words: str, rows: int) -> Finds:
    """The parts that every word matches, with the lines of the first `rows`.

    If there are none, the text is searched as one word: people type a number with its blanks, as HV 204 118.
    """
    split = words.split()
    found = finding.find(source, split, limit=LIMIT)
    if not found.total and len(split) > 1:
        found = finding.find(source, [words], limit=LIMIT)
    near = finding.near(source, split) if split and not found.total else []
    return Finds(
        words,
        found.total,
        found.at_least,
        tuple(found.keys),
        tuple(finding.window(source, found.keys, 0, rows)),
        tuple(near),
    )


def page_of(source: Source, keys: Sequence[int], offset: int, rows: int) -> list[PartLine]:
    """The lines of one page of a search."""
    return finding.window(source, keys, offset, rows)
