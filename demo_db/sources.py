"""The sheets of the invented workshop. These functions return the files' contents as text.

The files are found through the package, so that an installed wheel reads them as a checkout does.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from contextlib import AbstractContextManager
from importlib.resources import as_file, files
from pathlib import Path

from demo_db.notebook import strip_down

__all__ = [
    "SHEETS",
    "SHELF_HEADINGS",
    "Row",
    "all_parts",
    "sheet_file",
    "shelf",
    "table",
]

Row = dict[str, str]
"""One row of a sheet, column to text; an empty cell is an empty text."""

SHEETS = (
    "cars",
    "contacts",
    "fits",
    "letters",
    "parts",
    "pictures",
    "places",
    "positions",
    "provenance",
    "removals",
    "seals",
    "shelf",
    "values",
    "work",
)

SHELF_HEADINGS = {
    "Type": "kind",
    "Make": "maker",
    "Part no": "part number",
    "Serial": "serial",
    "Date code": "date code",
    "Letter": "match code",
    "Letter read from": "match code read from",
    "Seal": "seal",
    "Seal state": "seal state",
    "Cond": "condition",
    "Shelf": "place",
    "Owner": "whose",
    "Bought on": "acquired on",
    "Bought from": "acquired from",
    "Price EUR": "price",
    "Value EUR": "value",
    "Value basis": "value basis",
    "Valued on": "value on",
    "Remarks": "notes",
    "Seen by": "seen by",
    "Seen on": "seen on",
}
"""The headings of the shelf sheet that have a canonical column; "Plug" is the workshop's own."""


def sheet_file(name: str) -> AbstractContextManager[Path]:
    """A sheet ("parts", "shelf") as a file on disk, for as long as the context is open."""
    return as_file(files("demo_db") / "sheets" / f"{name}.csv")


def table(name: str) -> list[Row]:
    """The rows of a sheet under its own headings."""
    text = (files("demo_db") / "sheets" / f"{name}.csv").read_text(encoding="utf-8")
    delimiter = ";" if name == "shelf" else ","
    return list(csv.DictReader(io.StringIO(text), delimiter=delimiter, strict=True))


def shelf() -> list[Row]:
    """The shelf sheet under canonical columns. Its prices and values are in EUR, as its headings say."""
    rows = []
    for written in table("shelf"):
        row = {canonical: written[heading] for heading, canonical in SHELF_HEADINGS.items()}
        row |= {f"{amount} currency": "EUR" for amount in ("price", "value") if row[amount]}
        rows.append(row)
    return rows


def all_parts() -> list[Row]:
    """Every part of the workshop under canonical columns, wherever it is written down; absent columns are left out."""
    return [*shelf(), *table("parts"), *table("removals"), *_strip_rows()]


def _strip_rows() -> Iterator[Row]:
    day = strip_down()
    for line in day.lines:
        if not line.stays:
            yield {
                "kind": line.kind,
                "maker": line.maker,
                "part number": line.part_number,
                "serial": line.serial,
                "date code": line.date_code,
                "match code": line.match_code,
                "condition": str(line.condition),
                "car": day.car,
                "position": line.position,
                "place": day.place,
                "whose": day.whose,
            }
