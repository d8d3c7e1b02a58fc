"""The menu of Space: the acts, each with its letter; those that cannot be done are greyed, with the reason."""

from __future__ import annotations

from collections.abc import Callable

from textual.content import Content
from textual.widgets import Static

from tui.acts import ACTS, Act
from tui.safe import crop

__all__ = ["Menu", "menu_text"]

_TWO_COLUMNS_FROM = 76


class Menu(Static):
    """The menu. The frame shows and hides it, and reads the letter from the line."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__(id="menu")
        self.display = False

    def put(self, reason: Callable[[Act], str], width: int) -> None:
        """Draw the menu for the view in front."""
        self.update(menu_text(reason, width))


def menu_text(reason: Callable[[Act], str], width: int) -> Content:
    """The two groups, side by side if there is room."""
    if width >= _TWO_COLUMNS_FROM:
        left_width = 31
        left = _group("Go to", reason, left_width)
        right = _group("Do", reason, width - left_width - 3)
        height = max(len(left), len(right))
        left += [Content(" " * left_width)] * (height - len(left))
        right += [Content("")] * (height - len(right))
        return Content("\n").join(a + Content("  ") + b for a, b in zip(left, right, strict=True))
    return Content("\n").join([*_group("Go to", reason, width - 2), *_group("Do", reason, width - 2)])


def _group(group: str, reason: Callable[[Act], str], width: int) -> list[Content]:
    lines = [Content(crop(f" {group}", width)).stylize("bold")]
    for act in ACTS:
        if act.group != group:
            continue
        why = reason(act)
        gap = 6 if group == "Go to" else 18
        text = crop(f"  {act.letter.upper()}  {act.words:<{gap}}{why}", width)
        lines.append(Content(text).stylize("$text-muted") if why else Content(text))
    return lines
