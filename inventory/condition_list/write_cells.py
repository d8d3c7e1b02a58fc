"""Writes the cells of a workbook: text as text, days as days, amounts as numbers with their currency's decimals."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from inventory.condition_list.cells import Column, Money, as_text, disarmed
from inventory.condition_list.write_front import Formula
from inventory.money import minor_digits
from inventory.store.words.text import fit_cell

__all__ = ["Formats", "height", "put", "safe"]

#: Digits that a cell can hold of a number; a longer amount is written as text, so that it stays exact.
_MOST_DIGITS = 15
#: Not allowed in XML 1.0, and not among the control characters that are removed on input.
_NO_XML = re.compile("[\ufffe\uffff]")
#: XlsxWriter takes a text with this start as its own markup and does not escape it.
_ITS_MARKUP = "<r>"
_AS_TEXT = frozenset({"Tag", "Part number", "Serial", "Date code", "Match code", "Maker and number"})
_ON_THE_RIGHT = frozenset({"Value", "Value [not added]", "Amount"})
#: A column's width is counted in digits of this size; lines of whole words end about this much before its edge.
_USUAL_SIZE, _RAGGED = 11, 2
#: The line height in font sizes, and the highest row that spreadsheets allow, in points.
_LINE_HEIGHT, _HIGHEST = 1.3, 409
_TOP = {"valign": "top", "align": "left", "text_wrap": True}
_RIGHT = {"valign": "top", "align": "right", "indent": 1, "text_wrap": True}
_LINE = {"bottom": 7, "bottom_color": "#999999"}
_GROUP = {"left": 1, "left_color": "#999999"}
_GREYS = ("#E7E6E0", "#D5D9DE")


class Formats:
    """The formats of cells with one size of type (points), each made once. `plain`: one that says nothing."""

    def __init__(self, book: Workbook, size: float) -> None:
        self.size = size
        self._make = book.add_format
        self._known: dict[tuple[object, ...], Any] = {}
        self.plain = self._once(("plain",), {"font_size": size})

    def head(self, column: Column, other: bool) -> Any:
        """The format of a title; `other`: with the other grey."""
        style = _RIGHT if column.title in _ON_THE_RIGHT else _TOP
        more = {"bold": True, "font_size": self.size, "bg_color": _GREYS[other], **(_GROUP if column.begins else {})}
        return self._once(("head", style is _RIGHT, other, column.begins), {**style, **more})

    def of(self, column: Column, value: Any, digits: int) -> Any:
        """The format of a cell of a table; an amount has `digits` decimals."""
        armed = isinstance(value, str) and disarmed(value) != value
        unit = (
            (value.currency, value.added)
            if isinstance(value, Money)
            else digits
            if isinstance(value, Decimal)
            else None
        )
        key = column.title in _AS_TEXT, column.begins, type(value), unit, armed
        if key in self._known:
            return self._known[key]
        style = {**_style(value, digits), **_LINE, "font_size": self.size, **(_GROUP if column.begins else {})}
        if column.title in _AS_TEXT:
            style["num_format"] = "@"
        if armed:
            style["quote_prefix"] = True  # it stays text even when somebody edits the cell
        return self._once(key, style)

    def of_line(self, value: Any, *, bold: bool) -> Any:
        """The format of a cell on a page of text, where a heading is bold and not broken."""
        armed = isinstance(value, str) and disarmed(value) != value
        key = "line", bold, armed, getattr(value, "currency", None)
        style = {**_style(value, 0), "align": "left", "bold": bold, "font_size": self.size, "text_wrap": not bold}
        return self._once(key, {**style, "quote_prefix": armed})

    def _once(self, key: tuple[object, ...], style: dict[str, Any]) -> Any:
        if key not in self._known:
            self._known[key] = self._make(style)
        return self._known[key]


def _style(value: Any, digits: int) -> dict[str, Any]:
    if isinstance(value, Money | Formula):
        amount, added = _amount_format(minor_digits(value.currency)), isinstance(value, Formula) or value.added
        shown = f'{amount} "{value.currency}"' if added else f'"["{amount} "{value.currency}]"'
        return {**_RIGHT, "num_format": shown}
    if isinstance(value, Decimal):
        return {**_RIGHT, "num_format": _amount_format(digits)}
    return {**_TOP, "num_format": "yyyy-mm-dd"} if isinstance(value, date) else dict(_TOP)


def _amount_format(digits: int) -> str:
    return f"#,##0.{'0' * digits}" if digits else "#,##0"


def height(cells: Sequence[Any], widths: Sequence[float], size: float) -> float:
    """The height that the longest cell of a row needs; not every program computes it when it opens the file."""
    lines = 1
    for value, width in zip(cells, widths, strict=False):
        if isinstance(value, str):
            per_line = width * _USUAL_SIZE / size - _RAGGED
            if len(value) > per_line:
                lines = max(lines, math.ceil(len(value) / per_line))
    return min(lines * size * _LINE_HEIGHT + 2, _HIGHEST)


def safe(value: Any) -> Any:
    """A value in a form that a cell can hold."""
    if isinstance(value, str):
        return fit_cell(value.strip() if value.isprintable() else _NO_XML.sub("", as_text(value)))
    long = isinstance(value, Decimal) and len(value.as_tuple().digits) > _MOST_DIGITS
    return str(value) if long else value


def put(sheet: Worksheet, row: int, column: int, value: Any, look: Any, plain: Any) -> None:
    """Write a cell: text as text, never as a formula; a day as a date; an amount as a number."""
    if isinstance(value, str):
        if value.startswith(_ITS_MARKUP):
            sheet.write_rich_string(row, column, plain, value[:1], plain, value[1:], look)
        elif value:
            sheet.write_string(row, column, value, look)
        else:
            sheet.write_blank(row, column, None, look)
    elif isinstance(value, Formula):
        sheet.write_formula(row, column, value.text, look, float(value.amount))
    elif isinstance(value, date):
        sheet.write_datetime(row, column, value, look)
    else:
        sheet.write_number(row, column, float(value) if isinstance(value, Decimal) else value, look)
