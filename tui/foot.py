"""The text of the rows around a view, fitted to the width: title row, question, keys. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from tui.acts import KEYS, KeyUse
from tui.questions import Question
from tui.safe import crop, plain

__all__ = ["NARROW_BELOW", "asked", "keys_shown", "title_row"]

NARROW_BELOW = 76
_ALL_KEYS_FROM = 110
_FEW = ("Enter", "Esc", "Right", "Space", "?")


def title_row(where: str, middle: str, by: str, day: date, width: int) -> str:
    """The title row: the view on the left, its state in the middle if there is room, who works and the day."""
    right = f"{plain(by)}  {day.day} {day:%B %Y} "
    left, middle = f" {plain(where)}", plain(middle)
    room = width - len(right) - 1
    if middle and len(left) + len(middle) + 3 <= room:
        left = f"{left:<{max(room - len(middle) - 2, 0)}}{middle}"
    return f"{crop(left, room)} {right}"


def asked(question: Question, width: int) -> str:
    """The question, shortened if it would leave too little room for typing."""
    words = f" {plain(question.words)} >"
    room = width if width < NARROW_BELOW else width - (4 if question.choices or question.short else 14)
    if len(words) > room:
        words = words.replace("  ", " ")
    return words if len(words) <= room else crop(words[:-2], room - 2) + " >"


def keys_shown(of_view: tuple[str, ...], words: Mapping[str, str], width: int) -> tuple[KeyUse, ...]:
    """The keys that fit in this width, with the words that a view has for some of them; `?` lists all of them."""
    names = _FEW if width < NARROW_BELOW else of_view
    shown = KEYS if width >= _ALL_KEYS_FROM else (use for use in KEYS if use.shown in names)
    return tuple(replace(use, words=words.get(use.shown, use.words)) for use in shown)
