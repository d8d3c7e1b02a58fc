"""A document that could go with a claim, and what a person should know of it before it does. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inventory.store.words.text import clean

if TYPE_CHECKING:
    from inventory.documents.queries import DocumentView

__all__ = ["Offered"]


@dataclass(frozen=True)
class Offered:
    """A document of the parts with these tags. `later`: all that says so was recorded after the day of the loss.

    `names`: people whose names stand in it, as far as its text can be read.
    """

    view: DocumentView
    tags: tuple[str, ...]
    later: bool
    names: tuple[str, ...]

    @property
    def is_picture(self) -> bool:
        """Whether a copy can be made that says nothing but the picture."""
        return self.view.media_type.startswith("image/")

    @property
    def says(self) -> str:
        """The document in one line: name, kind, size, what it shows, of which parts, whose names it may hold."""
        size = f"{max(1, round(self.view.size / 1000))} kB"
        found = f"it names {', '.join(self.names)}" if self.names else "nobody on record is named in its text"
        who = "look for faces and number plates" if self.is_picture else found
        when = "; recorded after that day" if self.later else ""
        shown = self.view.shows or "paper"
        name, tags = clean(self.view.file_name), ", ".join(self.tags)
        return f"{name} ({self.view.media_type}, {size}), {shown}, of {tags}; {who}{when}"

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        view = self.view
        told = {"digest": view.digest, "file_name": view.file_name, "media_type": view.media_type, "size": view.size}
        return told | {"shows": view.shows, "tags": list(self.tags), "later": self.later, "names": list(self.names)}
