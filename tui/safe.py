"""Makes text from the record safe to show: no markup, no escape codes, no excessive length."""

from __future__ import annotations

import re

from textual.content import Content

__all__ = ["LONGEST", "crop", "hanging", "plain", "shown"]

#: The most characters of one text that are shown.
LONGEST = 2000

# C0 and C1 controls, the marks that turn the direction of writing, and the separators that break lines.
_UNSHOWN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]")


def plain(text: object) -> str:
    """One line of text without control characters that a terminal would obey."""
    words = str(text)
    cut = words[: LONGEST + 1]
    cleaned = _UNSHOWN.sub("", re.sub(r"[\r\n\t]+", " ", cut))
    return cleaned if len(words) <= LONGEST else cleaned[:LONGEST] + "\N{HORIZONTAL ELLIPSIS}"


def shown(text: object, style: str = "") -> Content:
    """Text ready to be drawn; its brackets are not markup."""
    content = Content(plain(text))
    return content.stylize(style) if style else content


def crop(text: object, width: int) -> str:
    """Text cut (with an ellipsis) or padded to exactly `width` cells."""
    content = Content(plain(text)).truncate(max(width, 0), ellipsis=True, pad=True)
    return content.plain


def hanging(lead: str, says: object, width: int) -> list[Content]:
    """Text after a lead, wrapped at the width with an indent."""
    lines = [plain(line) for line in shown(says).wrap(max(width - len(lead), 16))]
    return [shown((" " * len(lead) if place else lead) + line) for place, line in enumerate(lines)]
