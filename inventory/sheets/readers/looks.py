"""How cells look: what a person sees of them besides their text. Readers keep it with the text of the cell. Pure.

Only cells that look like something have a `Look`; they carry it wherever their text goes, until the columns of their
table are known (`columns.looks`).
"""

from __future__ import annotations

import colorsys
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from inventory.sheets.readers.cell_text import MOST_KEPT, Figure
from inventory.sheets.readers.number_format import NumberFormat
from inventory.sheets.readers.tables import Table

__all__ = [
    "LONGEST_COMMENT",
    "MOST_COMMENTS",
    "NO_LOOK",
    "Look",
    "Looked",
    "LookedFigure",
    "Looker",
    "cell_name",
    "colour_name",
    "ground",
    "look_of",
    "shortened",
    "text_colour",
    "without_author",
]

#: Comments of a file that are kept, and characters of one.
MOST_COMMENTS, LONGEST_COMMENT = 20_000, 4000
#: The first lines of a comment that stands for a thread in programs that know none.
_STAND_IN = "[Threaded comment]"
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
PLAIN = NumberFormat()


@dataclass(frozen=True, slots=True)
class Look:
    """The look of a cell: its number format, the colours of its ground and of its text as RRGGBB ("" for none),
    whether it is struck through, and its comment.
    """

    number: NumberFormat = PLAIN
    fill: str = ""
    ink: str = ""
    struck: bool = False
    comment: str = ""


NO_LOOK = Look()


class Looked(str):
    """The text of a cell with its look."""

    __slots__ = ("look",)
    look: Look


class LookedFigure(Figure):
    """A number with a fraction, with the look of its cell."""

    __slots__ = ("look",)
    look: Look


def look_of(cell: str) -> Look:
    """The look of a cell."""
    return cell.look if isinstance(cell, Looked | LookedFigure) else NO_LOOK


class Looker:
    """Gives cells of a table their looks. Equal texts that look alike are one object, for some thousands at a time."""

    def __init__(self) -> None:
        self._made: dict[tuple[str, type, Look], str] = {}

    def looked(self, text: str, look: Look, *, number: bool) -> str:
        """The text of a cell with its look. `number`: it is a number in the file, so its number format counts.

        A day whose format shows a month or a year alone is told as one.
        """
        if not number and look.number != PLAIN:
            look = replace(look, number=PLAIN)
        elif look.number.grain and _DAY.fullmatch(text):
            text = text[: 7 if look.number.grain == "month" else 4]
        if look == NO_LOOK:
            return text
        key = text, type(text), look
        if key not in self._made:
            if len(self._made) >= MOST_KEPT:
                self._made.clear()
            made: Looked | LookedFigure = LookedFigure(text) if isinstance(text, Figure) else Looked(text)
            made.look = look
            self._made[key] = made
        return self._made[key]

    def with_comments(self, table: Table, comments: Mapping[tuple[int, int], str]) -> list[str]:
        """Put comments on the cells of a table, by row and column (from 0). Remarks: which of them are not read."""
        lost: list[str] = []
        by_number = {row.number: row.cells for row in table.rows}
        width = max((len(row.cells) for row in table.rows), default=0)
        for (number, column), comment in comments.items():
            cells = by_number.get(number)
            if not cells:
                lost.append(cell_name(number, column))
                continue
            place = min(column, width - 1)
            cells += [""] * (place + 1 - len(cells))
            before = look_of(cells[place])
            both = f"{before.comment}; {comment}" if before.comment else comment
            cells[place] = self.looked(cells[place], replace(before, comment=both), number=True)
        found = []
        if lost:
            names = ", ".join(lost[:5]) + (f" and {len(lost) - 5} more" if lost[5:] else "")
            found.append(f"{table.name}: comments on empty rows were not read ({names})")
        if len(comments) >= MOST_COMMENTS:
            found.append(f"{table.name}: more than {MOST_COMMENTS} comments, so some were not read")
        return found


def shortened(comment: str) -> str:
    """A comment, cut if it is very long."""
    return comment if len(comment) <= LONGEST_COMMENT else f"{comment[:LONGEST_COMMENT]} (cut)"


def without_author(text: str, author: str) -> str:
    """A comment without the name that programs put before it; one that is nothing but the name stays."""
    if text.startswith(_STAND_IN):
        return text.partition("Comment:")[2].strip() or text
    return text.removeprefix(f"{author}:").strip() or text if author else text


def cell_name(row: int, column: int) -> str:
    """The name of a cell as a spreadsheet shows it: row from 1, column from 0."""
    letters, left = "", column + 1
    while left:
        left, place = divmod(left - 1, 26)
        letters = chr(65 + place) + letters
    return f"{letters}{row}"


#: The hue (0 to 360) up to which a colour has a name.
_HUES = (
    (14, "red"), (42, "orange"), (68, "yellow"), (160, "green"), (195, "turquoise"), (258, "blue"), (292, "purple"),
    (342, "pink"), (361, "red"),
)  # fmt: skip
_LIGHT, _DARK, _GREY = 0.78, 0.3, 0.13


def colour_name(colour: str) -> str:
    """A plain name for RRGGBB: one of twelve, light or dark if it is."""
    red, green, blue = (int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4))
    hue, light, _ = colorsys.rgb_to_hls(red, green, blue)
    if max(red, green, blue) - min(red, green, blue) < _GREY * (0.4 if light > _LIGHT else 1):
        return "white" if light > 0.97 else "black" if light < 0.08 else _shaded("grey", light)
    name = next(each for most, each in _HUES if hue * 360 < most)
    if name == "orange" and light < 0.38:
        return "brown"
    return _shaded(name, light)


def _shaded(name: str, light: float) -> str:
    return f"light {name}" if light > _LIGHT else f"dark {name}" if light < _DARK else name


def ground(colour: str) -> str:
    """The colour of a cell's ground; white is none."""
    return "" if colour and colour_name(colour) == "white" else colour


def text_colour(colour: str) -> str:
    """The colour of a cell's text; black, white and what is nearly so are none."""
    return "" if colour and colour_name(colour) in ("black", "white", "dark grey") else colour
