"""Draws labels: on A4 to cut out, on A4 sheets of stickers, or on a roll, one label a page."""

from __future__ import annotations

import re
from collections.abc import Sequence

from inventory.errors import Misused
from inventory.labels.codes import CarSideCode
from inventory.labels.label import WHERE_TO_STICK, Label
from inventory.printed.write_paper import LEAST, MARGIN, Paper

__all__ = ["on_paper", "on_roll", "on_stickers", "size_of"]

#: A label to be cut out (mm), how many columns of them, and how many rows.
_CUT, _COLUMNS, _ROWS = (60.0, 30.0), 3, 8
_A4 = (210.0, 297.0)
_TOP = 26.0
_PAD = 2.0
#: What few printers reach at the edge of a sheet.
_EDGE = 5.0
_SMALL, _SMALLEST = 6.0, 4.0
_LINE_OF = 0.3528 * 1.35  # mm of height for each point of type
_SHORTEST = 10.0
_SIZE = re.compile(r"\s*(\d+(?:[.,]\d+)?)(?:\s*mm)?\s*[x×*]\s*(\d+(?:[.,]\d+)?)(?:\s*mm)?\s*", re.IGNORECASE)


def size_of(text: str, option: str) -> tuple[float, float]:
    """Width and height in mm, typed as 50x25. Raises `Misused`."""
    found = _SIZE.fullmatch(text)
    width, height = (float(side.replace(",", ".")) for side in found.groups()) if found else (0.0, 0.0)
    if not (2 * _SHORTEST <= width <= _A4[0] and _SHORTEST <= height <= _A4[1]):
        raise Misused(
            "size-of-label",
            f'"{text}" is no size of a label: width x height in mm, from 20x10 to 210x297',
            where=option,
            hint=f"for example: {option} 50x25",
        )
    return width, height


def on_paper(labels: Sequence[Label], title: str, day: str) -> Paper:
    """On plain A4, to cut out: a head, where to stick them, 24 labels, and a ruler."""
    paper = Paper(title, day)
    for place, label in enumerate(labels):
        on_page = place % (_COLUMNS * _ROWS)
        if on_page == 0:
            paper.add_page()
            paper.words(WHERE_TO_STICK, LEAST)
            _ruler(paper, MARGIN, _TOP + _ROWS * _CUT[1] + 8, 100)
        row, column = divmod(on_page, _COLUMNS)
        x, y = MARGIN + column * _CUT[0], _TOP + row * _CUT[1]
        paper.set_draw_color(150)
        paper.set_line_width(0.1)
        paper.rect(x, y, *_CUT)
        paper.set_draw_color(0)
        _label(paper, label, x, y, *_CUT)
    return paper


def on_stickers(labels: Sequence[Label], title: str, day: str, size: tuple[float, float]) -> Paper:
    """On A4 sheets of stickers without gaps, from the middle outwards; first a page with a ruler, for plain paper."""
    width, height = size
    columns, rows = int(_A4[0] // width), int(_A4[1] // height)
    left, top = (_A4[0] - columns * width) / 2, (_A4[1] - rows * height) / 2
    paper = Paper(title, day, size=_A4)
    paper.add_page()
    paper.set_xy(MARGIN, MARGIN)
    for words in (title, "Print this page first, on plain paper.", WHERE_TO_STICK):
        paper.set_x(MARGIN)
        paper.words(words, 11, width=_A4[0] - 2 * MARGIN, lines=0)
    _ruler(paper, MARGIN, 50, 100)
    for place, label in enumerate(labels):
        on_page = place % (columns * rows)
        if on_page == 0:
            paper.add_page()
        row, column = divmod(on_page, columns)
        _label(paper, label, left + column * width, top + row * height, width, height, sheet=_A4)
    return paper


def on_roll(labels: Sequence[Label], title: str, size: tuple[float, float]) -> Paper:
    """On a roll: one label on each page, and a first one with a ruler."""
    paper = Paper(title, size=size)
    width, height = size
    paper.add_page()
    _ruler(paper, _PAD + 1, _PAD + 1, int((width - 2 * _PAD - 2) // 10) * 10)
    paper.set_xy(_PAD, _PAD + 8)
    room = int((height - _PAD - 10) / (_SMALL * _LINE_OF))
    if room > 0:
        paper.words(f"{title}. {WHERE_TO_STICK}", _SMALL, width=width - 2 * _PAD, lines=room)
    for label in labels:
        paper.add_page()
        _label(paper, label, 0, 0, width, height)
    return paper


def _label(
    paper: Paper, label: Label, x: float, y: float, width: float, height: float, *, sheet: tuple[float, float] = (0, 0)
) -> None:
    """One label within a box: the code at the left, at its right what is read by eye."""
    left, top, right, bottom = x + _PAD, y + _PAD, x + width - _PAD, y + height - _PAD
    if sheet[0]:
        left, top = max(left, _EDGE), max(top, _EDGE)
        right, bottom = min(right, sheet[0] - _EDGE), min(bottom, sheet[1] - _EDGE)
    if isinstance(label.code, CarSideCode):  # a form of its own: a thick frame
        paper.set_line_width(0.8)
        paper.rect(left - 0.8, top - 0.8, right - left + 1.6, bottom - top + 1.6)
    side = min(bottom - top, 0.38 * (right - left))
    paper.qr(label.code.coded, left, top + (bottom - top - side) / 2, side)
    left += side
    size = _largest(paper, label.big, right - left, 0.3 * (bottom - top))
    paper.set_xy(left, top)
    used = paper.words(label.big, size, bold=True, width=right - left)
    small = _SMALL * _LINE_OF if bottom - top - used > _SMALL * _LINE_OF else 0
    room = int((bottom - top - used - small) / (LEAST * _LINE_OF))
    for line in label.lines:
        if room > 0 and line:
            paper.set_x(left)
            most = 2 if line == label.lines[0] and room > 2 else 1
            room -= round(paper.words(line, LEAST, width=right - left, lines=most) / (LEAST * _LINE_OF))
    if small and label.small:
        paper.set_xy(left, bottom - small)
        paper.words(label.small, _SMALL, width=right - left)


def _largest(paper: Paper, text: str, width: float, height: float) -> float:
    """The largest size of type (points) in which a text fits into a box; a low label may need it smaller than 9."""
    size = max(LEAST, height / _LINE_OF)
    while size > _SMALLEST and not paper.fits(text, size * 1.03, width):
        size -= 0.5
    return size


def _ruler(paper: Paper, x: float, y: float, length: int) -> None:
    """A line to measure: whether the printer kept to the size."""
    paper.set_line_width(0.2)
    paper.line(x, y, x + length, y)
    for at in range(0, length + 1, 10):
        paper.line(x + at, y - 1.5, x + at, y)
    paper.set_xy(x, y + 0.5)
    if length < 60:
        paper.words(f"{length} mm", _SMALL, width=length)
    else:
        says = f"{length} mm. Measure it: if it is not, print at 100 %, not fitted to the page."
        paper.words(says, LEAST, width=160)
