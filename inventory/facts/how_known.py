"""How a fact is known, in the words of its column, and which of these words are our own. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

__all__ = [
    "AS_LAST",
    "FROM_A_SHEET",
    "FROM_POSITION",
    "FROM_SHEETS",
    "OWN",
    "PASSPORT",
    "STATED",
    "TOLD",
    "WRITTEN",
    "is_own",
    "told_by",
    "told_value",
]

#: How a fact from a sheet is known, unless its row names who looked, and on which day.
FROM_A_SHEET = "written in a sheet"
#: The same, with the words of older versions.
FROM_SHEETS = (FROM_A_SHEET, "from a sheet")
#: What was offered by the list of a position, and accepted by somebody who looked.
FROM_POSITION = "from the position's list, looked at"
#: The same, of what the last part of its kind had.
AS_LAST = "as the last of its kind, looked at"
#: Somebody says so.
STATED = "stated"
#: We looked or measured ourselves. What anybody else says is not of equal standing.
OWN = ("seen", "measured", "seen by us")
#: What another workshop's passport of the part says.
PASSPORT = "passport"
#: What a sheet or a passport says: a test among it is told, not ours.
TOLD = (*FROM_SHEETS, PASSPORT)
#: What stands in a sheet, list or passport: never newer than our own look.
WRITTEN = (*FROM_SHEETS, "from a list", PASSPORT)


def is_own(fact: Any) -> bool:
    """Whether we looked or measured ourselves; `fact` has the column `how_known`."""
    return fact.how_known in OWN


def told_by(how_known: str) -> str:
    """Who says it, of what only a sheet or a passport tells: "as a sheet says"; "" of anything else."""
    return f"as a {'passport' if how_known == PASSPORT else 'sheet'} says" if how_known in TOLD else ""


def told_value(facts: Iterable[Any], name: str, value: Any) -> str:
    """ ", as a sheet says" where only a sheet or passport says a value that is shown; "" if anybody else does.

    `facts`: views of facts, oldest first; `name`: that of the value in them.
    """
    saying = [fact for fact in facts if fact.values.get(name) == value]
    if not saying or any(fact.how_known not in TOLD for fact in saying):
        return ""
    return f", {told_by(saying[-1].how_known)}"
