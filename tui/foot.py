"""How the rows around a view are worded for a width: where I am, what the line asks, which keys are named. Pure."""

from __future__ import annotations

from datetime import date

from tui.acts import KEYS, KeyUse
from tui.questions import Question
from tui.safe import crop, plain

__all__ = ["NARROW_BELOW", "asked", "keys_shown", "row_one"]

NARROW_BELOW = 76
_ALL_KEYS_FROM = 110
_FEW = ("Enter", "Esc", "Right", "Space", "?")


def row_one(where: str, middle: str, by: str, day: date, width: int) -> str:
    """Where I am on the left, how it stands in the middle where there is room, who is working and the day."""
    right = f"{plain(by)}  {day.day} {day:%B %Y} "
    left, middle = f" {plain(where)}", plain(middle)
    room = width - len(right) - 1
    if middle and len(left) + len(middle) + 3 <= room:
        left = f"{left:<{max(room - len(middle) - 2, 0)}}{middle}"
    return f"{crop(left, room)} {right}"


def asked(question: Question, width: int) -> str:
    """The question, closer together or cut where the line would have no room; a number needs little."""
    words = f" {plain(question.words)} >"
    room = width if width < NARROW_BELOW else width - (4 if question.choices else 14)
    if len(words) > room:
        words = words.replace("  ", " ")
    return words if len(words) <= room else crop(words[:-2], room - 2) + " >"


def keys_shown(of_view: tuple[str, ...], width: int) -> tuple[KeyUse, ...]:
    """The keys there is room for; all of them stand in `?`."""
    if width >= _ALL_KEYS_FROM:
        return KEYS
    names = _FEW if width < NARROW_BELOW else of_view
    return tuple(use for use in KEYS if use.shown in names)
