"""A place in the record that names somebody, and what outside it still does. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["Held", "Mention", "around", "held_said"]

_BESIDE = 30
_NAMED_AT_MOST = 12


@dataclass(frozen=True)
class Mention:
    """Words that name somebody: in which fact (or thing's row), of which thing, in which column, and the text around.

    `whole_name`: the whole name, an address or a telephone number; else only the family name, which may be another's.
    `removable`: the column is a free text; else it can only be corrected.
    """

    fact: str
    thing_id: int
    thing: str
    column: str
    words: str
    around: str
    whole_name: bool
    removable: bool

    @property
    def line(self) -> str:
        """Where the words stand, for people."""
        sure = "" if self.whole_name else " (only a part of the name; it may be somebody else)"
        return f'{self.fact}, {self.thing}, {self.column.replace("_", " ")}: "{self.around}"{sure}'

    def as_dict(self) -> dict[str, Any]:
        """The mention in JSON."""
        return dict(vars(self))


@dataclass(frozen=True)
class Held:
    """A paper or backup that left before: its sort and number, the day, to whom."""

    what: str
    number: int
    day: str
    given_to: str

    def as_dict(self) -> dict[str, Any]:
        """The paper in JSON."""
        return dict(vars(self))


def around(text: str, words: str) -> str:
    """The words with a little of the text before and after them."""
    at = text.find(words)
    start, end = max(0, at - _BESIDE), at + len(words) + _BESIDE
    return f"{'...' if start else ''}{text[start:end]}{'...' if end < len(text) else ''}"


def held_said(papers: Sequence[Held], *, on_server: bool) -> str:
    """One sentence on what still holds what was removed. `on_server`: the record is on one, which keeps more."""
    named = [f"{each.what} no. {each.number} of {each.day} ({each.given_to})" for each in papers[-_NAMED_AT_MOST:]]
    if len(papers) > len(named):
        named.insert(0, f"{len(papers) - len(named)} earlier papers")
    said = f"{', '.join(named)}, and " if named else ""
    copies = "copies and backups of the record on other disks and machines"
    server = "; on the server its write-ahead log, archives of it, and replicas" if on_server else ""
    return f"What was written before may still hold it: {said}{copies}{server}"
