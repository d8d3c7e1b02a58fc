"""The table of all acts: the key line, Space, the palette and `?` all read it.

An act that cannot be done here, or only by command so far, is greyed, with the reason.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from tui.host import Host

__all__ = ["ACTS", "KEYS", "Act", "KeyUse", "act_for", "why_not"]


@dataclass(frozen=True)
class Act:
    """One act: its letter after Space, its words, and what it does. `by_command`: the command that does it so far."""

    name: str
    letter: str
    words: str
    group: Literal["Go to", "Do"]
    run: Callable[[Host], None]
    by_command: str = ""
    needs_part: bool = False


@dataclass(frozen=True)
class KeyUse:
    """A key as the key line and `?` show it. `key`: the key that a tap on the word presses."""

    shown: str
    words: str
    key: str
    explained: str


def _open(name: str) -> Callable[[Host], None]:
    return lambda host: host.go_to(name)


def _for_part(name: str) -> Callable[[Host], None]:
    return lambda host: host.do_for_part(name)


def _nothing(_: Host) -> None:
    """Do nothing: for acts that are only listed, with the reason."""


ACTS: tuple[Act, ...] = (
    Act("today", "t", "Today", "Go to", _open("today")),
    Act("find", "f", "Find", "Go to", _open("find")),
    Act("strip", "s", "Strip", "Go to", _open("strip")),
    Act("bench", "b", "Bench", "Go to", lambda host: host.go_to("bench", host.view.part_tag())),
    Act("pair", "p", "Pair", "Go to", lambda host: host.go_to("pair", host.view.part_tag())),
    Act("refit", "r", "Refit", "Go to", lambda host: host.go_to("refit", host.view.car or host.view.part_tag())),
    Act("worth", "w", "Worth", "Go to", _open("worth")),
    Act("belongs", "v", "What belongs on a car", "Go to", lambda host: host.go_to("belongs", host.view.car_shown())),
    Act("count", "c", "Count", "Go to", _open("count")),
    Act("amend", "a", "Amend", "Do", _for_part("amend"), needs_part=True),
    Act("document", "d", "Document, picture", "Do", _for_part("document"), needs_part=True),
    Act("got", "g", "Got: a part came in", "Do", _open("got")),
    Act("mishap", "e", "Mishap", "Do", _for_part("mishap"), needs_part=True),
    Act("hand over", "h", "Hand over", "Do", _open("hand over")),
    Act("in", "i", "In: read a sheet", "Do", _open("in")),
    Act("note work", "j", "Job: note work", "Do", _for_part("note work"), needs_part=True),
    Act("mark", "k", "Mark", "Do", _nothing, by_command="part describe"),
    Act("label", "l", "Label", "Do", _for_part("label")),
    Act("move", "m", "Move", "Do", _for_part("move"), needs_part=True),
    Act("note a seal", "n", "Note a seal", "Do", _for_part("note a seal"), needs_part=True),
    Act("out", "o", "Out: write a file", "Do", lambda host: host.go_to("out", host.view.part_tag())),
    Act("undo", "u", "Undo my last", "Do", lambda host: host.take_back()),
    Act("why", "y", "Why?", "Do", lambda host: host.steer("right")),
)

KEYS: tuple[KeyUse, ...] = (
    KeyUse("Enter", "take", "enter", "accepts what is offered, or opens the chosen line"),
    KeyUse(
        "Esc", "back", "escape", "empties the line, then goes one step back. Unfinished answers are kept as a draft"
    ),
    KeyUse("Up", "", "up", "moves up in the list"),
    KeyUse("Down", "choose", "down", "moves down in the list. PgUp, PgDn, Home and End work too"),
    KeyUse("Right", "why", "right", "shows one more step of the reasons"),
    KeyUse("Left", "out", "left", "hides one step of the reasons, then goes back"),
    KeyUse("Tab", "section", "tab", "goes to the next pane or section"),
    KeyUse("Space", "go, do", "space", "shows where you can go and what you can do; then press one letter"),
    KeyUse("?", "help", "question_mark", "explains this view and shows the cautions in full"),
)


def act_for(letter: str) -> Act | None:
    """The act with this letter, or None."""
    return next((act for act in ACTS if act.letter == letter.casefold()), None)


def why_not(act: Act, *, has_part: bool) -> str:
    """Why an act cannot be done here; "" if it can."""
    if act.by_command:
        return f"command: {act.by_command}"
    if act.needs_part and not has_part:
        return "choose a part first"
    return ""
