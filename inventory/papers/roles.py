"""Roles instead of names, for a paper that goes to strangers. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["LEFT_OUT", "Roles"]

#: Stands where a name stood in a text.
LEFT_OUT = "[name left out]"


@dataclass
class Roles:
    """The roles of people on one paper. `hands`: who writes in the record; `others`: all other contacts by name, with
    their role.

    The one hand on a paper is "the bench hand"; of several each gets a number, in the order of their first line.
    """

    hands: tuple[str, ...]
    others: Mapping[str, str | None] = field(default_factory=dict)
    numbered: list[str] = field(default_factory=list)

    def of(self, name: str) -> str:
        """The role of somebody who wrote a fact."""
        if name not in self.numbered:
            self.numbered.append(name)
        return "the bench hand" if len(self.hands) <= 1 else f"hand {self.numbered.index(name) + 1}"

    def of_other(self, name: str) -> str:
        """The role of somebody named in a fact, such as who did some work."""
        if name in self.hands:
            return self.of(name)
        role = self.others.get(name)
        return f"a {role}" if role else "somebody outside"

    def without_names(self, text: str) -> str:
        """A text with the whole names of contacts left out; a hand's becomes his role."""
        for name in sorted({*self.hands, *self.others}, key=len, reverse=True):
            if name and name.casefold() in text.casefold():
                instead = self.of(name) if name in self.hands else LEFT_OUT
                parts = re.split(rf"(?<!\w){re.escape(name)}(?!\w)", text, flags=re.IGNORECASE)
                text = instead.join(parts)
        return text
