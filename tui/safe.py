"""Text from the record as it may be shown: never markup, never an escape code, never longer than a screen needs."""

from __future__ import annotations

import re

from textual.content import Content

__all__ = ["LONGEST", "crop", "plain", "shown"]

#: No line of any screen shows more of one text than this.
LONGEST = 2000

# C0 and C1 controls, the marks that turn the direction of writing, and the separators that break lines.
_UNSHOWN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def plain(text: object) -> str:
    """One line of text with everything taken out that a terminal would obey."""
    words = str(text)
    cut = words[: LONGEST + 1]
    cleaned = _UNSHOWN.sub("", re.sub(r"[\r\n\t]+", " ", cut))
    return cleaned if len(words) <= LONGEST else cleaned[:LONGEST] + "\N{HORIZONTAL ELLIPSIS}"


def shown(text: object, style: str = "") -> Content:
    """Text ready to be drawn; brackets in it stay brackets."""
    content = Content(plain(text))
    return content.stylize(style) if style else content


def crop(text: object, width: int) -> str:
    """Text cut (with an ellipsis) or filled with blanks to exactly `width` cells."""
    content = Content(plain(text)).truncate(max(width, 0), ellipsis=True, pad=True)
    return content.plain
