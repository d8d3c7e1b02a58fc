"""A table on paper: its head stands on every page, no row is split, and each page can be closed with its own sum."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from inventory.printed.lines import shared_widths
from inventory.printed.write_paper import LEAST, Paper

__all__ = ["Column", "Table", "columns_for", "labelled"]

_BETWEEN = 2.0  # free space right of a cell (mm)
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

    `foot`: called at the end of each page, and by `close`, for a last line there over all columns; `foot_lines`: of how
    many lines of type it is at most.
    """

    def __init__(
        self,
        paper: Paper,
        columns: Sequence[Column],
        *,
        size: float = LEAST,
        foot: Callable[[], str] | None = None,
        foot_lines: int = 1,
    ) -> None:
        self._paper, self._columns, self._size, self._foot = paper, columns, size, foot
        self._high = paper.line_height(size)
        self._wide = sum(column.width for column in columns)
        self._foot_high = foot_lines * self._high + 2 * _ABOVE if foot else 0.0
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
        if wanted > self._room and (wanted < self._paper.eph - 30 or self._room < 5 * self._high):
            self._turn()
        while self._height(cells) > self._room:
            most = max(1, int((self._room - 2 * _ABOVE) / self._high))
            self._draw([cell[:most] for cell in cells], bold)
            cells = [cell[most:] for cell in cells]
            self._turn()
        self._draw(cells, bold)

    def line(self, text: str, *, with_next: int = 2) -> None:
        """One bold text over all columns: the title of a group of rows, or its sum."""
        cell = self._paper.lines_of(text, self._size, self._wide - _BETWEEN)
        if self._height([cell]) + with_next * (self._high + 2 * _ABOVE) > self._room:
            self._turn()
        self._draw([cell], bold=True, wide=True)

    def close(self) -> None:
        """End the table: the last line of its last page."""
        self._draw_foot()
        self._paper.ln(1)

    @property
    def _room(self) -> float:
        return self._paper.room - self._foot_high

    def _turn(self) -> None:
        self._draw_foot()
        self._paper.add_page()
        self._head()

    def _draw_foot(self) -> None:
        if self._foot is not None:
            self._draw([self._paper.lines_of(self._foot(), self._size, self._wide - _BETWEEN)], bold=True, wide=True)

    def _head(self) -> None:
        paper = self._paper
        paper.set_fill_color(_SHADE)
        paper.rect(paper.l_margin, paper.y, self._wide, self._height(self._titles), style="F")
        self._draw(self._titles, bold=True)

    def _broken(self, texts: Sequence[str]) -> list[list[str]]:
        return [
            self._paper.lines_of(text, self._size, column.width - _BETWEEN, column.lines)
            for text, column in zip(texts, self._columns, strict=True)
        ]

    def _height(self, cells: Sequence[Sequence[str]]) -> float:
        return max(map(len, cells)) * self._high + 2 * _ABOVE

    def _draw(self, cells: Sequence[Sequence[str]], bold: bool, *, wide: bool = False) -> None:
        """Draw a row, cell by cell, or one cell as wide as the table, and a rule below it."""
        paper, x = self._paper, self._paper.l_margin
        top = paper.y + _ABOVE
        columns = (Column("", self._wide),) if wide else self._columns
        for column, lines in zip(columns, cells, strict=True):
            paper.set_xy(x + 0.4, top)
            paper.write_lines(lines, self._size, column.width - _BETWEEN, bold=bold, align=column.align)
            x += column.width
        paper.set_xy(paper.l_margin, top - _ABOVE + self._height(cells))
        paper.set_line_width(0.1)
        paper.set_draw_color(150)
        paper.line(paper.l_margin, paper.y, x, paper.y)
        paper.set_draw_color(0)


def columns_for(
    paper: Paper,
    titles: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Set[str] = frozenset(),
    firm: Set[str] = frozenset(),
    widest: float = 40.0,
    size: float = LEAST,
) -> list[Column]:
    """Columns over the width of the page for these rows, so that as few words as possible are broken.

    `right`: titles of those that are set to the right; `firm`: of those whose words (tags, days, amounts) are never
    broken. `widest`: the most (mm) that any other column takes because of one text.
    """
    least, wished = [], []
    for title, texts in zip(titles, zip(*rows, strict=True), strict=True):
        different = {title, *texts}
        most = 3 * widest if title in firm else widest
        word = max(paper.width(word, size) for word in {word for text in different for word in text.split(" ")})
        whole = max(paper.width(text, size) for text in different)
        one_line = title in firm and whole < 0.8 * widest
        least.append(min(whole if one_line else word, most) + _BETWEEN + 0.2)
        wished.append(min(whole, widest) + _BETWEEN + 0.2)
    widths = shared_widths(least, wished, paper.epw, [title in firm for title in titles])
    return [Column(title, wide, "R" if title in right else "L") for title, wide in zip(titles, widths, strict=True)]


def labelled(paper: Paper, pairs: Iterable[tuple[str, str]], label: float = 42, size: float = LEAST) -> None:
    """Texts with a label left of each, which takes `label` (mm); a pair goes to the next page as a whole."""
    for word, text in pairs:
        lines = paper.lines_of(text, size, paper.epw - label)
        paper.keep(len(lines) * paper.line_height(size))
        top = paper.y
        named = paper.words(word, size, width=label - _BETWEEN, lines=0, bold=True)
        paper.set_xy(paper.l_margin + label, top)
        written = paper.write_lines(lines, size, paper.epw - label)
        paper.set_xy(paper.l_margin, top + max(named, written) + _ABOVE)
