"""What the Tab key in a shell completes beyond commands and options: names on record, and kinds of parts.

The shell starts the program for each press with what was typed so far (click's own protocol). The record is then only
read, never brought up to a newer schema, and whatever cannot be read completes nothing.
"""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from inventory.cli.door import Door

__all__ = ["CAR", "VARIABLE", "complete_names"]

#: With this variable set the program answers a shell instead of running a command.
VARIABLE = "_MATCHMARK_COMPLETE"
#: So many names are offered at most.
_MOST = 200
_PARTS = ("tag", "tags", "one", "other")
_CARS, _PLACES = ("car", "from_car", "to_car"), ("place", "within")
#: The question for names on record, by the name of the argument or option that they go into.
_QUESTIONS = {
    **dict.fromkeys(_PARTS, "SELECT tag FROM part ORDER BY tag"),
    **dict.fromkeys(_CARS, "SELECT name FROM car WHERE taken_away IS NULL ORDER BY name"),
    **dict.fromkeys(_PLACES, "SELECT name FROM place ORDER BY name"),
    "tag_or_car": "SELECT tag FROM part UNION ALL SELECT name FROM car WHERE taken_away IS NULL",
    "position": "SELECT DISTINCT name FROM position WHERE taken_away IS NULL ORDER BY name",
}


#: The signs before which bash wants a backslash: outside quotes, within double ones, within single ones.
_SIGNS = {"": r"([^\w@%+=:,./-])", '"': r'([\\"$`])', "'": ""}


class _OnRecord(click.types.StringParamType):
    """Text that is completed from names on record: what a question of SQL text selects."""

    def __init__(self, question: str) -> None:
        self._question = question

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """The names on record that begin so, whatever their case; none where the record cannot be read."""
        from click.shell_completion import CompletionItem  # on no other way than to a shell

        begun = _plain(incomplete)
        try:
            found = [name for name in _names(ctx.obj, self._question) if _plain(name).startswith(begun)]
        except Exception:  # a shell that asks gets no sentences in between what is typed
            return []
        return [CompletionItem(_as_typed(name)) for name in found[:_MOST]]


class _Kind(click.types.StringParamType):
    """Text that is completed from the kinds of parts."""

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """The kinds that begin so."""
        from click.shell_completion import CompletionItem

        from inventory.reference.data import PROGRAM

        begun = incomplete.casefold()
        return [CompletionItem(_as_typed(each.name)) for each in PROGRAM.kinds if each.name.startswith(begun)]


CAR = _OnRecord(_QUESTIONS["car"])
"""The name of a car on record, for an argument that is not called so."""


def complete_names(parameters: list[click.Parameter]) -> None:
    """Let parameters that take names on record be completed from it."""
    for each in parameters:
        if each.type is not click.STRING:
            continue
        if each.name in _QUESTIONS:
            each.type = _OnRecord(_QUESTIONS[each.name])
        elif each.name == "kind" and isinstance(each, click.Option):
            each.type = _Kind()


def _names(door: Door, question: str) -> list[str]:
    from inventory.store.connection.readonly import fetch_all
    from inventory.store.record import Record

    record = Record(door.where)
    try:
        with record.readonly() as source:
            return [str(name) for (name,) in fetch_all(source, question) if _is_word(str(name))]
    finally:
        record.close()


def _is_word(name: str) -> bool:
    """Whether a name can stand on a line without being taken for an option."""
    return name.isprintable() and not name.startswith("-")


def _plain(text: str) -> str:
    return re.sub(r"[\s-]", "", text).casefold()


def _as_typed(name: str) -> str:
    """A name as a shell wants it: bash puts it on the line as it is, the others quote it themselves.

    Every backslash twice: click's script for bash reads the answer with `read`, which takes one of two away. Within
    quotes that were begun, only what counts there has one.
    """
    if not os.environ.get(VARIABLE, "").startswith("bash"):
        return name
    signs = _SIGNS[_open_quote(os.environ.get("COMP_WORDS", ""))]
    return (re.sub(signs, r"\\\1", name) if signs else name).replace("\\", "\\\\")


def _open_quote(typed: str) -> str:
    """The quote within which a line typed in bash ends; "" if it ends outside."""
    begun = ""
    for sign in re.findall(r"\\.|[\"']", typed):
        if sign == begun:
            begun = ""
        elif not begun and sign in ("'", '"'):
            begun = sign
    return begun
