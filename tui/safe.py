"""Makes text from the record safe to show: no markup, no escape codes, no excessive length."""

from __future__ import annotations

import re

from textual.content import Content

from inventory.store.words.text import UNSHOWN

__all__ = ["LONGEST", "crop", "hanging", "plain", "shown"]

#: The most characters of one text that are shown.
LONGEST = 2000


def plain(text: object) -> str:
    """One line of text without control characters that a terminal would obey."""
    words = str(text)
    cut = words[: LONGEST + 1]
    cleaned = UNSHOWN.sub("", re.sub(r"[\r\n\t]+", " ", cut))
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
