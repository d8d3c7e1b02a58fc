"""Draws the browser as an SVG picture for the README: `python -m tests.docs.picture`.

Words are drawn as text; lines, blocks and the dots of a curve as shapes. The file uses the viewer's own monospace font
and refers to no other file.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import NamedTuple
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.pilot import Pilot

from inventory.store.record import Record
from tui.app import Browser
from tui.screens import make_view

__all__ = ["picture"]

_ACROSS, _DOWN, _EDGE = 10, 20, 12
"""Pixels of a cell, and of the edge around all of them."""
_FONT = 'font-family="monospace" font-size="16"'
"""Slightly narrower than a cell in most monospace fonts; the text is stretched to its cells, so words never overlap."""
_WORDS = re.compile(r"[^\s\u2500-\u259f\u2800-\u28ff]+(?: [^\s\u2500-\u259f\u2800-\u28ff]+)*")
"""Words separated by single blanks: drawn as text."""
_BARS = {"─": (0, 9, 10, 1), "│": (5, 0, 1, 20), "└": (5, 0, 1, 10)}
"""Lines that are drawn as rectangles in a cell: left, top, width, height."""
_DOTS = ((2, 2), (2, 7), (2, 12), (7, 2), (7, 7), (7, 12), (2, 17), (7, 17))
"""Where the eight dots of a braille character stand in a cell, in the order of its bits."""


class _Run(NamedTuple):
    """Cells of one row with the same style: their first column, their text, their style."""

    column: int
    text: str
    colour: str
    ground: str
    bold: bool


def picture(record: Record, words: str, file: Path, *, by: str, size: tuple[int, int] = (100, 30)) -> None:
    """Write an SVG picture: Find with these words, the first part's card open at its second judgement."""
    asyncio.run(_take(record, words, file, by, size))


async def _take(record: Record, words: str, file: Path, by: str, size: tuple[int, int]) -> None:
    browser = Browser(record, by)
    async with browser.run_test(size=size) as pilot:
        browser.frame.open(make_view("find", browser.sitting, words))
        await _rest(browser, pilot)
        for key in ("enter", "down", "right"):
            await pilot.press(key)
            await _rest(browser, pilot)
        rows = [list(_runs(strip)) for strip in browser.screen._compositor.render_strips()]
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(_svg(rows, size), encoding="utf-8")


async def _rest(browser: Browser, pilot: Pilot[None]) -> None:
    """Wait until everything that is being read is shown."""
    for _ in range(3):
        await pilot.pause()
        await browser.workers.wait_for_complete()
    await pilot.pause()


def _runs(strip: Iterable[Segment]) -> Iterator[_Run]:
    """The cells of a row, grouped by style."""
    column = 0
    for look, alike in groupby(strip, key=lambda segment: _look(segment.style or Style())):
        text = "".join(segment.text for segment in alike)
        yield _Run(column, text, *look)
        column += cell_len(text)


def _look(style: Style) -> tuple[str, str, bool]:
    """Colour, background and whether bold; in a reversed cell the two colours are swapped."""
    colour, ground = _hex(style.color, "#e0e0e0"), _hex(style.bgcolor, "#121212")
    return (ground, colour, bool(style.bold)) if style.reverse else (colour, ground, bool(style.bold))


def _hex(colour: Color | None, otherwise: str) -> str:
    return otherwise if colour is None or colour.is_default else colour.get_truecolor().hex


def _svg(rows: list[list[_Run]], size: tuple[int, int]) -> str:
    width, height = size[0] * _ACROSS + 2 * _EDGE, size[1] * _DOWN + 2 * _EDGE
    ground = rows[0][0].ground
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" {_FONT}>',
        f'<rect x="0.5" y="0.5" width="{width - 1}" height="{height - 1}" fill="{ground}" stroke="#808080"/>',
    ]
    for number, row in enumerate(rows):
        for run in row:
            lines += _drawn(run, number, ground)
    return "\n".join([*lines, "</svg>", ""])


def _drawn(run: _Run, row: int, ground: str) -> Iterator[str]:
    """A rectangle if the background differs from the picture's, then shapes and words."""
    left, top = _EDGE + run.column * _ACROSS, _EDGE + row * _DOWN
    if run.ground != ground:
        yield _rectangle(left, top, cell_len(run.text) * _ACROSS, _DOWN, run.ground)
    for place, character in enumerate(run.text):
        for across, down, width, height in _shapes(character):
            x = left + cell_len(run.text[:place]) * _ACROSS + across
            yield _rectangle(x, top + down, width, height, run.colour)
    bold = ' font-weight="bold"' if run.bold else ""
    for words in _WORDS.finditer(run.text):
        start, wide = (cell_len(text) * _ACROSS for text in (run.text[: words.start()], words.group()))
        where = f'x="{left + start}" y="{top + 15}" textLength="{wide}"'
        yield f'<text {where} fill="{run.colour}"{bold}>{escape(words.group())}</text>'


def _shapes(character: str) -> list[tuple[int, int, int, int]]:
    """The rectangles of a character that is a line, a lower block or a braille pattern: left, top, width, height."""
    if character in _BARS:
        return [_BARS[character]]
    if "\u2581" <= character <= "\u2588":  # a block of so many eighths, from below
        high = (ord(character) - 0x2580) * _DOWN // 8
        return [(0, _DOWN - high, _ACROSS, high)]
    if "\u2800" <= character <= "\u28ff":
        bits = ord(character) - 0x2800
        return [(x, y, 2, 2) for bit, (x, y) in enumerate(_DOTS) if bits >> bit & 1]
    return []


def _rectangle(x: int, y: int, width: int, height: int, colour: str) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{colour}"/>'
