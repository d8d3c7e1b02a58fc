"""Which columns hold free texts, from which words can be removed for good, and how words are cut from one."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from inventory.facts.declare import Declared
from inventory.store.journal.images import canonical
from inventory.store.words.text import fold

__all__ = ["REMOVED", "cut_from", "follows", "free_texts", "texts_in"]

#: What stands in the place of words that were removed.
REMOVED = "[removed]"

#: Texts that anybody may type, but that tell things apart, are numbers, or are judged by their words.
_FIXED = frozenset(
    (
        *("about", "adjuster", "after", "bag", "batch", "before", "behind", "chassis", "currency", "date_code"),
        *("dial_unit", "due", "from_currency", "job", "label", "maker", "match_code", "model", "moved", "number"),
        *("numbers", "of_tag", "part_number", "points", "rate", "resolution", "role", "seal", "serial", "spec"),
        *("to_currency", "unit", "unit_code", "unit_number", "waits_for", "year"),
    )
)
#: Free texts that are no typed value, by table; in JSON the texts under one name ("" for all of them).
_MORE: Mapping[str, Mapping[str, str | None]] = {
    "bench_run": {"conditions": "note"},
    "document": {"file_name": None, "taken_from": None},
    "labelling": {"why": None},
    "marking": {"extra": ""},
    "part": {"extra": ""},
    "passport_read": {"signed_by": None},
    "position": {"first_name": None},
}
_OF_ALL_FACTS = {"reason": None, "told": None}
#: What follows a name in a row kept for speed.
_FOLDED = "name_folded"


def free_texts(registry: Declared, table: str) -> dict[str, str | None]:
    """The columns of a table of facts or things that hold free texts: None for a plain one, see `_MORE` for JSON."""
    if registry.is_fact(table):
        kind = registry.fact(table)
        typed = [each.name.replace(" ", "_") for each in kind.values if each.free and not each.beside]
        return dict.fromkeys(name for name in typed if name not in _FIXED) | _OF_ALL_FACTS | dict(_MORE.get(table, {}))
    columns = registry.thing(table).table.__table__.c
    found: dict[str, str | None] = {}
    for kind in registry.facts:
        if kind.row_input and registry.thing(table).word in kind.about:
            found |= {name: how for name, how in free_texts(registry, kind.name).items() if name in columns}
    return found | dict(_MORE.get(table, {})) | ({_FOLDED: None} if _FOLDED in columns else {})


def follows(column: str) -> tuple[str, ...]:
    """The columns of a thing's row that say what a column of its facts says."""
    return (column, _FOLDED) if column == "name" else (column,)


def cut_from(column: str, how: str | None, words: str, *, whole: bool = False) -> Callable[[str], str]:
    """A function that cuts words from a text of a column, or replaces it if these are the `whole` of it."""
    if whole:
        one = fold(words) if column == _FOLDED else words
        return lambda text: (fold(REMOVED) if column == _FOLDED else REMOVED) if text == one else text
    if column == _FOLDED:
        return lambda text: text.replace(fold(words), fold(REMOVED)) if fold(words) else text
    if how is None:
        return lambda text: text.replace(words, REMOVED)

    def cut(text: str) -> str:
        try:
            said = json.loads(text)
        except ValueError:  # put in from outside
            return text
        anew = _mapped(said, how, lambda each: each.replace(words, REMOVED))
        return text if anew == said else canonical(anew)

    return cut


def texts_in(how: str | None, text: str) -> list[str]:
    """The texts of a column's text: itself, or those of its JSON."""
    if how is None:
        return [text]
    found: list[str] = []

    def keep(each: str) -> str:
        found.append(each)
        return each

    _mapped(json.loads(text), how, keep)
    return found


def _mapped(said: Any, name: str, change: Callable[[str], str]) -> Any:
    if isinstance(said, str):
        return change(said)
    if isinstance(said, dict):
        if name:
            return said | {name: _mapped(said[name], "", change)} if name in said else said
        return {change(key): _mapped(each, "", change) for key, each in said.items()}
    if isinstance(said, list):
        return [_mapped(each, name, change) for each in said]
    return said
