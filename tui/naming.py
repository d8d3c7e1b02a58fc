"""Renaming, and taking away what was made by mistake, as they are typed in Strip. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.store.words.text import fold

__all__ = ["Naming", "is_naming", "naming"]

_ACT = re.compile(r"\s*(rename|mistake)\s+(?P<rest>\S.*)", re.IGNORECASE)


@dataclass(frozen=True)
class Naming:
    """What is renamed or taken away: `new` is its new name, "" if it is taken away, and `why` says why.

    `name` may be its number in the list.
    """

    name: str
    new: str = ""
    why: str = ""


def is_naming(text: str) -> bool:
    """Whether a text begins as one of the two."""
    return _ACT.fullmatch(text) is not None


def naming(text: str, known: Iterable[str]) -> Naming | None:
    """Read "rename NAME to NEW" or "mistake NAME, why"; None if the text is neither.

    A name may contain "to" or a comma: of several ways to read it, the one whose name is known is taken.
    """
    found = _ACT.fullmatch(text)
    if found is None:
        return None
    renames = found[1].casefold() == "rename"
    names, between = {fold(each) for each in known}, r"\s+to\s+" if renames else r",\s*"
    rest = found["rest"].strip()
    splits = [(rest[: each.start()], rest[each.end() :]) for each in re.finditer(between, rest)]
    if not renames:
        splits.insert(0, (rest, ""))
    if not splits:
        return None
    name, more = next((each for each in splits if fold(each[0]) in names), splits[0 if renames else -1])
    return Naming(name, more) if renames else Naming(name, "", more or "a typing mistake")
