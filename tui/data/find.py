"""Searching parts, for Find and Today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.parts import load_lines as finding
from inventory.parts.load_lines import PartLine
from inventory.parts.load_why import Why, beside, reasons
from inventory.store.words.search import LIMIT
from inventory.teardown.load_open_cars import stays_found

if TYPE_CHECKING:
    from inventory.store.connection.readonly import Source

__all__ = ["Finds", "PartLine", "Why", "beside", "page_of", "search"]


@dataclass(frozen=True)
class Finds:
    """The result of a search: how many parts, their keys, the first lines; similar numbers if it found none.

    `searched`: the words as they were searched; `why`: for each of the first lines by key, where they were found;
    `stays`: what stays on cars and has them in its reason.
    """

    words: str
    searched: tuple[str, ...]
    total: int
    at_least: bool
    keys: tuple[int, ...]
    first: tuple[PartLine, ...]
    near: tuple[tuple[str, int], ...]
    why: Mapping[int, tuple[Why, ...]]
    stays: tuple[str, ...] = ()


def search(source: Source, words: str, rows: int) -> Finds:
    """The parts that every word matches, with the lines of the first `rows`.

    If there are none, the text is searched as one word: people type a number with its blanks, as HV 204 118.
    """
    split = words.split()
    found = finding.find(source, split, limit=LIMIT)
    if not found.total and len(split) > 1:
        joined = finding.find(source, [words], limit=LIMIT)
        found, split = (joined, [words]) if joined.total else (found, split)
    near = finding.near(source, split) if split and not found.total else []
    first = tuple(finding.window(source, found.keys, 0, rows))
    return Finds(
        words,
        tuple(split),
        found.total,
        found.at_least,
        tuple(found.keys),
        first,
        tuple(near),
        reasons(source, split, first),
        tuple(each.says for each in stays_found(source, split)),
    )


def page_of(
    source: Source, finds: Finds, offset: int, rows: int
) -> tuple[list[PartLine], Mapping[int, tuple[Why, ...]]]:
    """The lines of one page of a search, and where the words were found."""
    lines = finding.window(source, finds.keys, offset, rows)
    return lines, reasons(source, finds.searched, lines)
