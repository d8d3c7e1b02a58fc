"""Whether the rows of a table still stand as they were written: what "as above" means hangs on it. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.sheets.columns.catalogue import header_key
from inventory.sheets.columns.own_numbers import COLUMN, counts_rows
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout

__all__ = ["AS_ABOVE", "order_question", "sorted_since"]

AS_ABOVE = "as above"
#: From so many rows on their numbers tell an order.
_FEWEST = 3


def sorted_since(sheet: SheetLayout) -> str:
    """The header of the column that numbered the rows and is in no order any more; "" if the rows stand as written."""
    for place, heading in enumerate(sheet.headings):
        if heading.column == COLUMN or header_key(heading.header) in counts_rows():
            texts = [row.cells[place].strip().rstrip(".)") for row in sheet.rows if place < len(row.cells)]
            if _out_of_order([int(text) for text in texts if text.isdecimal() and len(text) < 10], len(texts)):
                return heading.header
    return ""


def _out_of_order(numbers: Sequence[int], rows: int) -> bool:
    """Whether numbers that once counted the rows, hardly any left out, go neither up nor down."""
    counted = _FEWEST <= len(numbers) == rows == len(set(numbers)) and max(numbers) - min(numbers) < 2 * rows
    return counted and list(numbers) not in (sorted(numbers), sorted(numbers, reverse=True))


def order_question(sheet: SheetLayout, numbered: str, rows: Sequence[int]) -> SheetQuestion:
    """What words for "as above" mean in these rows of a sorted table; `numbered`: what `sorted_since` found."""
    return SheetQuestion(
        key_of("sorted", sheet.name),
        f'words for "as above" in {sheet.name}, whose rows are not in the order of "{numbered}"',
        (Choice("left empty", "leave the cells empty"), Choice(AS_ABOVE, "what the row above says now")),
        tuple((sheet.name, number) for number in sorted(set(rows))),
        "left empty",
    )
