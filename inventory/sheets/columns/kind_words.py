"""Kinds of parts in titles, tabs and headers: in one or in many, and beside the word for a number."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from inventory.sheets.columns.catalogue import PARTS, header_key, meanings, spellings, word_meant, words

__all__ = ["half_of", "kind_named"]

#: What the header of one of two parts may name beside its kind.
_OF_ONE = ("part number", "serial", "match code", "maker", "date code", "condition", "seal state", "notes", "marks")


def kind_named(text: str) -> str:
    """The kind that a text names, in one or in many ("Steuergeräte", "injectors"); "" if it names none."""
    kinds = meanings("kind") - {"other"}
    for end in ("", "s", "es", "e", "n", "en", "er", "x"):
        if text.casefold().endswith(end) and (found := word_meant("kind", text[: len(text) - len(end)])) in kinds:
            return found
    for old, new in (("i", "e"), ("i", "o"), ("e", "a")):
        if text.endswith(old) and (found := word_meant("kind", text[:-1] + new)) in kinds:
            return found
    return ""


@lru_cache(maxsize=4096)
def half_of(header: str) -> tuple[str, str] | None:
    """The kind and the column that a header of one of two parts names: "ECU serial"; None for any other header."""
    parts = re.findall(r"[^\W_]+|[#°]", header)
    for cut in range(1, len(parts)):
        left, right = " ".join(parts[:cut]), " ".join(parts[cut:])
        for kind, column in ((left, right), (right, left)):
            named, of = _kinds_of_pairs().get(header_key(kind)) or kind_named(kind), _columns().get(header_key(column))
            if named and of:
                return named, of
    return None


@cache
def _kinds_of_pairs() -> dict[str, str]:
    return {header_key(word): kind for kind, spelled in words("pairs").items() for word in spelled}


@cache
def _columns() -> dict[str, str]:
    known = spellings(PARTS)
    found = {key: column for column in _OF_ONE for key in known[column]}
    return found | dict.fromkeys(map(header_key, words("number")), "part number")
