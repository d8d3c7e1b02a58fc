"""Reading the JSON that `sheet write` writes: an object of sheets, each a list of objects, a row each."""

from __future__ import annotations

import re
from pathlib import Path

import orjson

from inventory.sheets.grid import Once, Table, cut_short, no_sheet, text_of_number
from inventory.sheets.guards import MOST_CELLS, MOST_ROWS, Amount, too_large

__all__ = ["looks_like_json", "read_json"]

#: A document in JSON is held whole while it is read: so many bytes, and no more rows and cells than of other files.
_MOST_BYTES = 40 * 2**20
_BEGINS = re.compile(rb'(?:\xef\xbb\xbf)?\s*\{\s*["}]')
_OTHERWISE = "as a spreadsheet it is an object of sheets, each a list of objects, a row each"


def looks_like_json(start: bytes) -> bool:
    """Whether a file that begins so is a document in JSON and no table."""
    return _BEGINS.match(start) is not None


def read_json(path: Path) -> list[Table]:
    """The sheets of a document; the head of each are the names in its objects, in the order they come."""
    if path.stat().st_size > _MOST_BYTES:
        raise too_large(path, f"a file in JSON of more than {_MOST_BYTES >> 20} MB is not read; write it as xlsx")
    text = path.read_bytes().removeprefix(b"\xef\xbb\xbf")
    if text.count(b"{") + text.count(b"[") > 2 * MOST_ROWS or text.count(b",") > MOST_CELLS:
        raise too_large(path, f"it holds more than {MOST_ROWS} rows or {MOST_CELLS} cells")
    try:
        document = orjson.loads(text)
    except (orjson.JSONDecodeError, RecursionError):
        raise no_sheet(path, "it begins as JSON does and is none, or is cut off") from None
    amount = Amount(path)
    return [_table(path, name, rows, amount) for name, rows in document.items()]


def _table(path: Path, name: str, rows: object, amount: Amount) -> Table:
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise no_sheet(path, f'"{name[:40]}" is no list of rows; {_OTHERWISE}')
    head = list(dict.fromkeys(key for row in rows for key in row))
    amount.add(head)
    texts = Once()
    lines = [(1, head)] if head else []
    for number, row in enumerate(rows, 2):
        cells = cut_short([texts[_text(path, row.get(key))] for key in head])
        if cells:
            amount.add(cells)
            lines.append((number, cells))
    return Table(name, lines)


def _text(path: Path, value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return text_of_number(float(value)) if isinstance(value, float) else str(value)
    if not isinstance(value, str):
        raise no_sheet(path, f"a cell holds a list or an object; {_OTHERWISE}")
    return value
