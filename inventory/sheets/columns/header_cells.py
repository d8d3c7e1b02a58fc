"""What the cells below a header say of it: a doubtful one over kinds is the kind, a "Tag" over days is no tag. Pure."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from inventory.errors import Refused
from inventory.parts import tags
from inventory.sheets.columns.catalogue import PARTS, header_key, word_meant
from inventory.sheets.columns.header_match import Heading, doubtful_between
from inventory.sheets.columns.sheet_layout import SheetLayout

__all__ = ["settled_by_cells"]

#: How many rows are looked at, and what share of the texts in them decides.
_ROWS, _SHARE = 200, 0.5
#: The similarity that a header settled by its cells is shown with.
_SETTLED = 95
_LIKE_A_DAY = re.compile(r"\d{1,4}([./-])\d{1,2}\1\d{2,4}( .*)?")


def settled_by_cells(sheet: SheetLayout, mapping: Mapping[str, str], kinds: Collection[str]) -> SheetLayout:
    """A sheet of parts whose headers are settled by the cells below them, as far as nobody said what they are.

    `mapping`: header keys to columns, as the user said. `kinds`: the names of the kinds of parts.
    """
    if sheet.kind is not PARTS:
        return sheet
    headings = list(sheet.headings)
    free = [place for place, each in enumerate(headings) if header_key(each.header) not in mapping]
    if "kind" not in sheet.columns:
        open_to = [place for place in free if "kind" in doubtful_between(headings[place])]
        shares = {place: _share_of_kinds(_texts(sheet, place), kinds) for place in open_to if headings[place].doubt}
        if shares and shares[best := max(shares, key=lambda place: shares[place])] >= _SHARE:
            headings[best] = replace(headings[best], column="kind", score=_SETTLED, doubt=None)
    for place in free:
        if headings[place].column == "tag" and _are_days(_texts(sheet, place)):
            headings[place] = Heading(headings[place].header, score=headings[place].score, doubt="acquired on")
    return sheet if headings == sheet.headings else replace(sheet, headings=headings)


def _texts(sheet: SheetLayout, place: int) -> list[str]:
    """The distinct texts of a column in the first rows."""
    cells = (row.cells[place].strip() for row in sheet.rows[:_ROWS] if place < len(row.cells))
    return list(dict.fromkeys(text for text in cells if text))


def _share_of_kinds(texts: Sequence[str], kinds: Collection[str]) -> float:
    known = sum(1 for text in texts if word_meant("kind", text) != text or text.casefold() in kinds)
    return known / len(texts) if texts else 0.0


def _are_days(texts: Sequence[str]) -> bool:
    days = sum(1 for text in texts if _LIKE_A_DAY.fullmatch(text))
    return bool(texts) and days >= _SHARE * len(texts) and not any(map(_is_tag, texts))


def _is_tag(text: str) -> bool:
    try:
        return bool(tags.parse(text))
    except Refused:
        return False
