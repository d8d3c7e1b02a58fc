"""How the cells of an ods look, while it is streamed: styles of cells, rows and columns, and comments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from inventory.sheets.readers.looks import LONGEST_COMMENT, MOST_COMMENTS, NO_LOOK, Look, Looker, shortened
from inventory.sheets.readers.number_format import NumberFormat, currency_named
from inventory.sheets.readers.ods_styles import OdsStyles
from inventory.sheets.readers.tables import Table

__all__ = ["OdsLooks"]

_TABLE = "urn:oasis:names:tc:opendocument:xmlns:table:1.0 "
_CURRENCY = "urn:oasis:names:tc:opendocument:xmlns:office:1.0 currency"
_PARAGRAPH = "urn:oasis:names:tc:opendocument:xmlns:text:1.0 p"
_DEFAULT = _TABLE + "default-cell-style-name"
#: Columns of which styles are kept, and lines of a comment.
_COLUMNS, _LINES = 500, 200
_NUMBERS = ("float", "currency", "date", "percentage")


class OdsLooks:
    """What is seen of the cells of the table that is being read."""

    def __init__(self) -> None:
        self.styles = OdsStyles()
        self.remarks: list[str] = []
        self._looker = Looker()
        self._columns: list[str] = []
        self._row = ""
        self._looked = False
        self._comments: dict[tuple[int, int], str] = {}
        self._lines: list[str] | None = None
        self._count = 0

    def begin_style(self, name: str, given: Mapping[str, str]) -> None:
        """An element of a style begins; its attributes are known by their local names."""
        self.styles.begin(name.rpartition(" ")[2], {key.rpartition(" ")[2]: value for key, value in given.items()})

    def begin_part(self, names: list[str], given: dict[str, str]) -> None:
        """An element of the part of styles begins."""
        self.begin_style(names[-1], given)

    def end_part(self, names: list[str], text: str) -> None:
        """An element of the part of styles ends."""
        self.styles.add_text(text)
        self.styles.end(names[-1])

    def begin_table(self) -> None:
        """A table begins."""
        self._columns, self._comments, self._looked = [], {}, False

    def begin_column(self, given: Mapping[str, str], times: int) -> None:
        """Some columns of a table."""
        self._columns += [given.get(_DEFAULT, "")] * min(times, _COLUMNS - len(self._columns))

    def begin_row(self, given: Mapping[str, str]) -> None:
        """A row begins."""
        self._row = given.get(_DEFAULT, "")

    def look(self, given: Mapping[str, str], place: int) -> Look:
        """How a cell looks: by its own style, that of its row, that of its column; its currency goes first."""
        style = given.get(_TABLE + "style-name") or self._row
        look = self.styles.look(style or (self._columns[place] if place < len(self._columns) else ""))
        if (currency := given.get(_CURRENCY)) and currency != look.number.currency:
            look = replace(look, number=NumberFormat(currency_named(currency)))
        return look

    def looked(self, text: str, look: Look, kind: str, place: int) -> str:
        """The text of a cell with its look. `kind`: the type of its value."""
        if look is NO_LOOK or place >= _COLUMNS:
            return text
        self._looked = True
        return self._looker.looked(text, look, number=kind in _NUMBERS)

    def begin_comment(self) -> None:
        """A comment of a cell begins."""
        if self._count < MOST_COMMENTS:
            self._lines = []

    def begin_in_comment(self, name: str) -> None:
        """An element in what is not text of a cell begins."""
        if self._lines is not None and name == _PARAGRAPH and len(self._lines) < _LINES:
            self._lines.append("")

    def add_text(self, text: str) -> None:
        """Some text of a comment."""
        if self._lines and len(self._lines[-1]) < LONGEST_COMMENT:
            self._lines[-1] += text

    def end_comment(self, row: int, column: int) -> None:
        """A comment ends, if one was begun; it is put on its cell when the table ends."""
        if self._lines is not None and (says := "\n".join(self._lines).strip()):
            self._count += 1
            self._comments[row, column] = shortened(says)
        self._lines = None

    def end_table(self, table: Table) -> Table:
        """The table with the comments on its cells."""
        self.remarks += self._looker.with_comments(table, self._comments)
        return replace(table, looked=self._looked or bool(self._comments))
