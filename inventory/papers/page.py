"""A paper for others as values: sections of lines, pictures, a statement. Pure: drawn by `write_page`."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from inventory.given_out.anchors import LOOKED_AT, RecordState, grouped

__all__ = ["Line", "Page", "Picture", "Section", "paper_named"]

#: What a paper is called among people, where that is not the word under which it is kept.
_PLAIN = {"for those after": "page for those who come after"}


def paper_named(what: str, number: int = 0) -> str:
    """What people call a paper, with its number if it has one: "Sale sheet no. 3"."""
    name = _PLAIN.get(what, what).capitalize()
    return f"{name} no. {number}" if number else name


@dataclass(frozen=True)
class Line:
    """One line: `says` after a `word` ("hold", "cap"). `keep`: it is never left out for want of room.

    `data`: what JSON has besides, such as the figures of a test.
    """

    says: str
    word: str = ""
    keep: bool = False
    data: Mapping[str, Any] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {**({"word": self.word} if self.word else {}), "says": self.says, **self.data}


@dataclass(frozen=True)
class Section:
    """Lines under a title; `key` is its name in JSON, `note` a sentence that stands before them."""

    key: str
    title: str
    lines: tuple[Line, ...]
    note: str = ""


@dataclass(frozen=True)
class Picture:
    """A picture on the page, by the SHA-256 of its bytes."""

    digest: str
    caption: str


@dataclass(frozen=True)
class Page:
    """A paper: `what` it is (sale sheet), the tag it is about ("" of the record), and what stands on it.

    `intro` and `statement` stand first and last. `others`: tags of further parts that it uses. `number`, `day` of
    writing (ISO) and the record's `state` then are not in the fingerprint.
    """

    what: str
    tag: str
    title: str
    day: str
    sections: tuple[Section, ...]
    intro: str = ""
    statement: str = ""
    pictures: tuple[Picture, ...] = ()
    number: int = 0
    others: tuple[str, ...] = ()
    state: RecordState = LOOKED_AT

    def section(self, key: str) -> Section:
        """The section with this key."""
        return next(each for each in self.sections if each.key == key)

    def with_texts(self, change: Callable[[str], str]) -> Page:
        """The page with every line and caption changed, for names that are to be left out."""
        sections = tuple(
            replace(each, lines=tuple(replace(line, says=change(line.says)) for line in each.lines))
            for each in self.sections
        )
        pictures = tuple(replace(each, caption=change(each.caption)) for each in self.pictures)
        return replace(self, title=change(self.title), sections=sections, pictures=pictures)

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the paper."""
        fingerprint = None if self.state.problems else self.fingerprint
        told = {"number": self.number or None, "day": self.day, **self._content(), "fingerprint": fingerprint}
        return told | self.state.as_dict()

    @property
    def name(self) -> str:
        """What it is called, with its number; or that it has none because the record did not fit."""
        named = paper_named(self.what, self.number)
        return f"{named}, {self.state.mark}" if self.state.problems else named

    @property
    def known_by(self) -> list[str]:
        """Its fingerprint and the record's anchor, as they stand on it; or that it has neither."""
        fingerprint = [] if self.state.problems else [f"Fingerprint {self.fingerprint_shown}"]
        return [*fingerprint, *self.state.lines]

    @property
    def fingerprint(self) -> str:
        """SHA-256, hexadecimal, of what the paper says: its JSON with sorted keys, UTF-8."""
        written = json.dumps(self._content(), sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
        return hashlib.sha256(written.encode()).hexdigest()

    @property
    def fingerprint_shown(self) -> str:
        """The first 32 digits of the fingerprint in 8 groups of 4."""
        return grouped(self.fingerprint)

    def _content(self) -> dict[str, Any]:
        return {
            "what": self.what,
            "tag": self.tag or None,
            "title": self.title,
            "sections": {
                each.key: {"title": each.title, "note": each.note, "lines": [line.as_dict() for line in each.lines]}
                for each in self.sections
            },
            "statement": self.statement,
            "pictures": [vars(each) for each in self.pictures],
        }
