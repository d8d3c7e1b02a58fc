"""A table on paper: its head stands on every page, no row is split, and each page can be closed with its own sum."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.printed.write_paper import LEAST, Paper

__all__ = ["Column", "Table"]

_BETWEEN = 1.6  # free space right of a cell (mm)
_ABOVE = 0.5  # free space above and below the lines of a row (mm)
_SHADE = 232  # of the head: light enough for a copier


@dataclass(frozen=True)
class Column:
    """A column: its title, its width (mm), where its text stands, and how many lines a cell may have (0: any)."""

    title: str
    width: float
    align: Literal["L", "R"] = "L"
    lines: int = 0


class Table:
    """Rows below a head, from the current position of the paper.

    `foot`: called at the end of each page, and by `close`, for the cells of a last row there.
    """

    def __init__(
        self,
        paper: Paper,
        columns: Sequence[Column],
        *,
        size: float = LEAST,
        foot: Callable[[], Sequence[str]] | None = None,
    ) -> None:
        self._paper, self._columns, self._size, self._foot = paper, columns, size, foot
        self._high = paper.line_height(size)
        self._foot_high = 2 * self._high + 2 * _ABOVE if foot else 0.0
        titles = self._broken([column.title for column in columns])
        paper.keep(self._height(titles) + 3 * self._high + self._foot_high)
        self._titles = titles
        self._head()

    def row(self, texts: Sequence[str], *, bold: bool = False, with_next: int = 0) -> None:
        """A row; `with_next`: so many lines of type must stand below it on its page.

        A row higher than a whole page, and only such a one, goes on on the next.
        """
        cells = self._broken(texts)
        wanted = self._height(cells) + with_next * (self._high + 2 * _ABOVE)
        if wanted > self._room:
            self._turn()
        while self._height(cells) > self._room:
            most = max(1, int((self._room - 2 * _ABOVE) / self._high))
            self._draw([cell[:most] for cell in cells], bold)
            cells = [cell[most:] for cell in cells]
            self._turn()
        self._draw(cells, bold)

    def close(self) -> None:
        """End the table: the last row of its last page."""
        if self._foot is not None:
            self._draw(self._broken(self._foot()), bold=True)
        self._paper.ln(1)

    @property
    def _room(self) -> float:
        return self._paper.room - self._foot_high

    def _turn(self) -> None:
        if self._foot is not None:
            self._draw(self._broken(self._foot()), bold=True)
        self._paper.add_page()
        self._head()

    def _head(self) -> None:
        paper = self._paper
        paper.set_fill_color(_SHADE)
        wide = sum(column.width for column in self._columns)
        paper.rect(paper.l_margin, paper.y, wide, self._height(self._titles), style="F")
        self._draw(self._titles, bold=True)

    def _broken(self, texts: Sequence[str]) -> list[list[str]]:
        return [
            self._paper.lines_of(text, self._size, column.width - _BETWEEN, column.lines)
            for text, column in zip(texts, self._columns, strict=True)
        ]

    def _height(self, cells: Sequence[Sequence[str]]) -> float:
        return max(map(len, cells)) * self._high + 2 * _ABOVE

    def _draw(self, cells: Sequence[Sequence[str]], bold: bool) -> None:
        """Draw a row, cell by cell, and a rule below it."""
        paper, x = self._paper, self._paper.l_margin
        top = paper.y + _ABOVE
        for column, lines in zip(self._columns, cells, strict=True):
            paper.set_xy(x + 0.4, top)
            paper.write_lines(lines, self._size, column.width - _BETWEEN, bold=bold, align=column.align)
            x += column.width
        paper.set_xy(paper.l_margin, top - _ABOVE + self._height(cells))
        paper.set_line_width(0.1)
        paper.set_draw_color(150)
        paper.line(paper.l_margin, paper.y, x, paper.y)
        paper.set_draw_color(0)
