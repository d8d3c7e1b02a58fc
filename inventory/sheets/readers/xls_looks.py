"""The looks of the cells of an xls, as xlrd tells them."""

from __future__ import annotations

from typing import Any

from inventory.sheets.readers.looks import NO_LOOK, Look, ground, shortened, text_colour, without_author
from inventory.sheets.readers.number_format import number_format

__all__ = ["comment_of", "xls_looks"]

_SOLID = 1


def xls_looks(book: Any) -> dict[int, Look]:
    """The looks of a book by the number of a cell's style; styles that say nothing left out."""
    found: dict[int, Look] = {}
    for place, style in enumerate(book.xf_list):
        declared = book.format_map.get(style.format_key)
        font = book.font_list[style.font_index] if style.font_index < len(book.font_list) else None
        solid = style.background.fill_pattern == _SOLID
        look = Look(
            number_format(declared.format_str if declared is not None else ""),
            ground(_colour(book, style.background.pattern_colour_index)) if solid else "",
            text_colour(_colour(book, font.colour_index)) if font is not None else "",
            bool(font is not None and font.struck_out),
        )
        if look != NO_LOOK:
            found[place] = look
    return found


def _colour(book: Any, index: int) -> str:
    """A colour of the book's palette as RRGGBB; "" for one that is left to the program."""
    rgb = book.colour_map.get(index)
    return "".join(f"{each:02X}" for each in rgb) if rgb else ""


def comment_of(note: Any) -> str:
    """The text of a comment, without its author."""
    return shortened(without_author(note.text or "", note.author or ""))
