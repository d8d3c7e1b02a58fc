"""Compares a list as its file has it with the same list drawn again. Pure."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inventory.condition_list.fingerprint import (
    FRONT_TITLES,
    LATER,
    NOT_COVERED,
    RECORDED_ON,
    cell_text,
    front_covered,
)
from inventory.condition_list.pages import tables_of
from inventory.condition_list.values import ConditionList
from inventory.condition_list.write_front import front_text

if TYPE_CHECKING:
    from inventory.checking.read_list import ListFile

__all__ = ["Difference", "differences", "fits_lodged", "plain_fingerprint"]

_LIKE_DIGITS = str.maketrans("oil", "011")
#: How many differences are named.
_MOST = 100
_AMOUNTS = frozenset({"Value", "Amount"})
#: What of the JSON says nothing of the parts, or is compared elsewhere.
_NOT_COMPARED = frozenset(
    {
        "number",
        "options",
        "prepared_by",
        "changes",
        "check",
        "fingerprint",
        "front",
        "facts",
        "anchor",
        "anchor_size",
        "unverified",
    }
)


@dataclass(frozen=True)
class Difference:
    """One cell that differs: its table, the tag of its item, its column, what the file has and what was drawn."""

    table: str
    tag: str
    column: str
    file: str
    drawn: str

    @property
    def says(self) -> str:
        """The difference in a sentence."""
        return f'{self.table}, {self.tag}, {self.column}: "{self.file}" in the file, drawn again "{self.drawn}"'


def differences(file: ListFile, drawn: ConditionList) -> list[Difference]:
    """The cells that differ, the first hundred of them."""
    found: list[Difference] = []
    for name, columns, rows in tables_of(drawn):
        titles = [column.title for column in columns]
        if name in file.tables and name not in NOT_COVERED:
            heads, theirs_rows = file.tables[name]
            found += _of_table(name, titles, list(rows), heads, theirs_rows, drawn.known_on)
    for name, pairs in front_covered(front_text(drawn)).items():
        if name in file.tables:
            found += _of_table(name, FRONT_TITLES, pairs, *file.tables[name], drawn.known_on)
    if file.content is not None:
        ours, theirs = (_told_then(each, drawn.known_on) for each in (drawn.as_dict(), file.content))
        for key in ours.keys() - _NOT_COMPARED:
            found += _of_json(key, "", "", theirs.get(key), ours[key])
    return found[:_MOST]


def plain_fingerprint(text: str) -> str:
    """A typed fingerprint as its digits; "" if it is none (32 digits at least).

    Dashes of any length are passed over. O, I and L stand for 0 and 1: no digit of a fingerprint looks like them.
    """
    digits = re.sub(r"[\s\u2010-\u2015\u2212-]", "", text).casefold().translate(_LIKE_DIGITS)
    return digits if 32 <= len(digits) <= 64 and set(digits) <= set("0123456789abcdef") else ""


def fits_lodged(fingerprint: str, lodged: str) -> bool:
    """Whether a fingerprint is the one that was lodged: all of its digits, or the first 32."""
    return fingerprint.startswith(lodged)


def _of_table(
    name: str,
    titles: Sequence[str],
    ours: Sequence[Sequence[Any]],
    heads: Sequence[str],
    theirs: Sequence[Sequence[str]],
    known_on: str,
) -> Iterator[Difference]:
    if list(heads) != list(titles):
        yield Difference(name, "", "titles", ", ".join(heads), ", ".join(titles))
        return
    amounts = [title in _AMOUNTS for title in titles]
    at = titles.index("Tag") if "Tag" in titles else 0
    drawn = [[cell_text(cell, amount=is_one) for cell, is_one in zip(row, amounts, strict=True)] for row in ours]
    read = [[cell_text(cell, amount=is_one) for cell, is_one in zip(row, amounts, strict=True)] for row in theirs]
    if name == LATER:
        on = titles.index(RECORDED_ON)
        drawn, read = ([row for row in rows if "0" <= row[on] <= known_on] for rows in (drawn, read))
    ours_by, theirs_by = _keyed(drawn, at), _keyed(read, at)
    for key in [*ours_by, *(key for key in theirs_by if key not in ours_by)]:
        if key not in ours_by or key not in theirs_by:
            yield Difference(name, key[0], "row", *(("there", "none"), ("none", "there"))[key in ours_by])
            continue
        for title, said, made in zip(titles, theirs_by[key], ours_by[key], strict=True):
            if said != made:
                yield Difference(name, key[0], title, said, made)


def _keyed(rows: Sequence[Sequence[str]], at: int) -> dict[tuple[str, int], Sequence[str]]:
    """Rows by the tag of their item, and which of its rows it is."""
    count: Counter[str] = Counter()
    found = {}
    for row in rows:
        found[row[at], count[row[at]]] = row
        count[row[at]] += 1
    return found


def _of_json(key: str, tag: str, path: str, their: Any, our: Any) -> Iterator[Difference]:
    if their == our:
        return
    if isinstance(their, Mapping) and isinstance(our, Mapping):
        tag = str(our.get("tag", tag))
        for name in {**our, **their}:
            yield from _of_json(key, tag, f"{path} {name}".strip(), their.get(name), our.get(name))
    elif isinstance(their, list) and isinstance(our, list) and len(their) == len(our):
        for one, other in zip(their, our, strict=True):
            yield from _of_json(key, tag, path, one, other)
    else:
        yield Difference(key.replace("_", " "), tag, path or "all", _short(their), _short(our))


def _told_then(content: Mapping[str, Any], known_on: str) -> dict[str, Any]:
    """The JSON of a list without what was recorded after the day that it names as known."""
    return {**content, "later": [each for each in content.get("later", ()) if each["recorded_on"] <= known_on]}


def _short(value: Any) -> str:
    text = str(value)
    return text if len(text) < 200 else f"{text[:200]}..."
