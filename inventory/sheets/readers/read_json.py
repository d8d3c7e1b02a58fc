"""Reads the JSON that `sheet write` writes: an object of sheets, each a list of objects, one object a row."""

from __future__ import annotations

import re
from pathlib import Path

import orjson

from inventory.sheets.readers.cell_text import Interned, text_of_number, without_empty_end
from inventory.sheets.readers.limits import MOST_CELLS, MOST_ROWS, Size, too_large
from inventory.sheets.readers.tables import Row, Table, not_a_spreadsheet

__all__ = ["looks_like_json", "read_json"]

#: The most bytes of a JSON file, which is in memory whole while it is read.
_MOST_BYTES = 40 * 2**20
_BEGINS = re.compile(rb'(?:\xef\xbb\xbf)?\s*\{\s*["}]')
_EXPECTED = "a JSON spreadsheet is an object of sheets, each a list of objects, one object a row"


def looks_like_json(start: bytes) -> bool:
    """Whether a file that starts like this is JSON and not csv."""
    return _BEGINS.match(start) is not None


def read_json(path: Path) -> list[Table]:
    """The sheets of a JSON file; the headers of a sheet are the keys of its objects in order of appearance."""
    if path.stat().st_size > _MOST_BYTES:
        raise too_large(path, f"a JSON file of more than {_MOST_BYTES >> 20} MB is not read; write it as xlsx")
    text = path.read_bytes().removeprefix(b"\xef\xbb\xbf")
    if text.count(b"{") + text.count(b"[") > 2 * MOST_ROWS or text.count(b",") > MOST_CELLS:
        raise too_large(path, f"it contains more than {MOST_ROWS} rows or {MOST_CELLS} cells")
    try:
        document = orjson.loads(text)
    except (orjson.JSONDecodeError, RecursionError):
        raise not_a_spreadsheet(path, "it starts like JSON and is invalid or cut off") from None
    size = Size(path)
    return [_table(path, name, rows, size) for name, rows in document.items()]


def _table(path: Path, name: str, rows: object, size: Size) -> Table:
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise not_a_spreadsheet(path, f'"{name[:40]}" is not a list of rows; {_EXPECTED}')
    headers = list(dict.fromkeys(key for row in rows for key in row))
    size.add(headers)
    texts = Interned()
    lines = [Row(1, headers)] if headers else []
    for number, row in enumerate(rows, 2):
        cells = without_empty_end([texts[_text(path, row.get(key))] for key in headers])
        if cells:
            size.add(cells)
            lines.append(Row(number, cells))
    return Table(name, lines)


def _text(path: Path, value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int | float):
        return text_of_number(float(value)) if isinstance(value, float) else str(value)
    if not isinstance(value, str):
        raise not_a_spreadsheet(path, f"a cell contains a list or an object; {_EXPECTED}")
    return value
