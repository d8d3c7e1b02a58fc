"""What came, went and changed between two lists. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.condition_list.fingerprint import cell_text
from inventory.condition_list.pages import tables_of
from inventory.condition_list.values import Change, Changes, ConditionList

__all__ = ["changes_between"]

#: Columns that say where something stands on a list, not what it is.
_NOT_COMPARED = frozenset({"No.", "Tag", "Evidence", "Evidence no."})


def changes_between(before: ConditionList, now: ConditionList, note: str = "") -> Changes:
    """The changes since another list, by tag; fields are the columns of the items, each with its text then and now."""
    (titles, old), (_, new) = _items(before), _items(now)
    changed = []
    for tag in sorted(old.keys() & new.keys()):
        for title, was, is_now in zip(titles, old[tag], new[tag], strict=True):
            texts = [cell_text(cell, amount=title == "Value") for cell in (was, is_now)]
            if title not in _NOT_COMPARED and texts[0] != texts[1]:
                changed.append(Change(tag, title, *texts))
    came, went = (tuple(sorted(one.keys() - other.keys())) for one, other in ((new, old), (old, new)))
    return Changes(before.number, came, went, tuple(changed), note)


def _items(drawn: ConditionList) -> tuple[list[str], dict[str, Sequence[Any]]]:
    """The titles of the items of a list, and their rows by tag."""
    (found,) = [each for each in tables_of(drawn) if each[0] == "Items"]
    titles = [column.title for column in found[1]]
    return titles, {str(row[titles.index("Tag")]): row for row in found[2]}
