"""The fingerprint of a condition list: made in two levels, so that a file can be checked without the record.

The fingerprint is the SHA-256 of a few lines, which every file carries: form, days, options, edition of the reference
data, a digest of the facts chosen, one of the list's content (its JSON), and one for each of its tables. So the cells
of a workbook or csv, and the content of a JSON, can be compared with the lines, and the lines with the fingerprint.
What another day would tell otherwise is not covered: the list's number, who drew it, the record's anchor, the changes
since another list, and what was recorded after the day that it names as known.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from inventory.condition_list.cells import as_text, disarmed
from inventory.condition_list.pages import tables_of
from inventory.condition_list.write_front import Formula, front_text

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = [
    "CHECK",
    "FORM",
    "FRONT",
    "FRONT_TITLES",
    "LATER",
    "NOT_COVERED",
    "RECORDED_ON",
    "SUMS",
    "cell_text",
    "check_lines",
    "content_digest",
    "fingerprint_of",
    "front_covered",
    "table_digest",
]

#: The form of the lines. Lists of form 1 had a fingerprint of their JSON only.
FORM = "2"
#: What stands before each line in a csv, and the title of the sheet with them in a workbook.
CHECK = "How to check"
_NOT_IN_CONTENT = frozenset({"number", "prepared_by", "changes", "holders", "check", "form", "fingerprint"})
_OF_RECORD = frozenset({"anchor", "anchor_size", "unverified"})
_NOT_OF_FRONT = ("replaces", "preparer")
#: Tables that are not covered; of the second table rows are, up to the day that the list names as known.
NOT_COVERED = frozenset({"Changes"})
LATER, RECORDED_ON = "Recorded later", "Recorded on"
#: The page of text that is covered, as two tables of labels and texts.
FRONT, SUMS, FRONT_TITLES = "Front", "Sums of the front", ("Label", "Text")
_SUM = re.compile("[A-Z]{3} (counted|counted there|not counted: .*)", re.DOTALL)
#: Its rows that say what is not covered; the first row has the number, and the fingerprint stands at the end.
_NOT_ON_FRONT = frozenset({"Prepared by", "Replaces"})
_AMOUNTS = frozenset({"Value", "Amount"})
#: A cell of a workbook holds no more; of so long a text the start is compared.
_MOST, _COMPARED = 32_767, 32_000


def check_lines(drawn: ConditionList, content: Mapping[str, Any]) -> dict[str, str]:
    """The lines to check a list by; `content` is its JSON."""
    days = {"As of": drawn.as_of, "As known on": drawn.known_on}
    options = json.dumps(content["options"], sort_keys=True, ensure_ascii=False)
    lines = {"Form": FORM, **days, "Options": options, "Edition": drawn.edition, "Facts": drawn.facts}
    lines["Content"] = content_digest(content)
    for name, columns, rows in tables_of(drawn):
        if name not in NOT_COVERED:
            lines[name] = table_digest(name, [column.title for column in columns], rows, drawn.known_on)
    for name, rows in front_covered(front_text(drawn)).items():
        lines[name] = table_digest(name, FRONT_TITLES, rows, drawn.known_on)
    return lines


def fingerprint_of(lines: Mapping[str, str]) -> str:
    """SHA-256, hexadecimal, of the lines as JSON: keys sorted, no blanks, UTF-8."""
    return hashlib.sha256(_canonical(dict(lines))).hexdigest()


def content_digest(content: Mapping[str, Any]) -> str:
    """SHA-256, hexadecimal, of the JSON of a list, without what is not covered."""
    covered = {name: value for name, value in content.items() if name not in _NOT_IN_CONTENT | _OF_RECORD}
    if covered.get("limits") is None:
        covered.pop("limits", None)  # lists that the program's limits judged are as they were before it was named
    if "items" in covered:
        covered["items"] = [_without_untold(item) for item in covered["items"]]
    front = {name: value for name, value in (covered.get("front") or {}).items() if name not in _NOT_OF_FRONT}
    later = [each for each in covered.get("later", ()) if each["recorded_on"] <= content["known_on"]]
    return hashlib.sha256(_canonical({**covered, "front": front, "later": later})).hexdigest()


def _without_untold(item: Any) -> Any:
    """An item without the words on who tells a mark, where nobody does: as it was before they were named."""
    if not (isinstance(item, dict) and isinstance(marks := item.get("marks_verbatim"), list)):
        return item
    plain = [
        {name: said for name, said in mark.items() if name != "told" or said is not None}
        if isinstance(mark, dict)
        else mark
        for mark in marks
    ]
    return {**item, "marks_verbatim": plain}


def front_covered(rows: Iterable[Sequence[Any]]) -> dict[str, list[list[str]]]:
    """What the fingerprint covers of the front, label and text: its texts, and its sums, which programs calculate."""
    found: dict[str, list[list[str]]] = {FRONT: [], SUMS: []}
    for at, cells in enumerate(rows):
        label, text = ([_front_text(cell) for cell in cells[:2]] + ["", ""])[:2]
        if label == "Fingerprint" and not text:
            break
        if at and (label or text) and label not in _NOT_ON_FRONT:
            found[SUMS if _SUM.fullmatch(label) else FRONT].append([label, text])
    return found


def _front_text(cell: Any) -> str:
    text = cell_text(cell.amount if isinstance(cell, Formula) else cell, amount=True)
    with suppress(InvalidOperation):
        return cell_text(round(Decimal(text), 6))
    return text


def table_digest(name: str, titles: Sequence[str], rows: Iterable[Sequence[Any]], known_on: str) -> str:
    """SHA-256, hexadecimal, of the cells of a table as text, row by row, titles first."""
    recorded = titles.index(RECORDED_ON) if name == LATER and RECORDED_ON in titles else None
    digest = hashlib.sha256(_row(titles))
    known: dict[tuple[bool, Any], str] = {}
    amounts = [title in _AMOUNTS for title in titles]
    for row in rows:
        cells = []
        for is_amount, cell in zip(amounts, row, strict=True):
            key = is_amount, cell
            if key not in known:
                known[key] = cell_text(cell, amount=is_amount)
            cells.append(known[key])
        if recorded is None or "0" <= cells[recorded] <= known_on:
            digest.update(_row(cells))
    return digest.hexdigest()


def cell_text(cell: Any, *, amount: bool = False) -> str:
    """A cell as it is compared, whatever file it stands in: amounts without zeros at their end, blanks as one."""
    if isinstance(cell, date):
        return cell.isoformat()[:10]
    if isinstance(cell, float):
        cell = Decimal(repr(cell))
    if isinstance(cell, str) and amount:
        with suppress(InvalidOperation):
            cell = Decimal(cell)
    if isinstance(cell, Decimal) and cell.is_finite():
        return format(cell.normalize(), "f")
    text = " ".join(disarmed(as_text(str(cell))).split())
    return text if len(text) < _COMPARED else text[:_COMPARED]


def _row(cells: Sequence[str]) -> bytes:
    return _canonical(list(cells))


def _canonical(value: Any) -> bytes:
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return text.encode("utf-8", "backslashreplace")
