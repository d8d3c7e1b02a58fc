"""A measured curve drawn in dots, eight to a character cell, with its limit. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from tui.data.entries import Curve, Line

__all__ = ["draw_curve"]

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800
_LABEL = 9


def draw_curve(curve: Curve, width: int, height: int = 7) -> list[str]:
    """Lines of text: the readings joined and marked `o`, the limit a dashed row with `x` at its time, axes labelled.

    If a band is known, `:` marks its values at the limit's time.

    Other lines are joined and marked by their own signs; the readings are drawn over them.
    """
    columns = max(width - _LABEL - 3, 10)
    limit = curve.limit
    ways = [*(line.points for line in curve.others), curve.points]
    marks = [*(point for way in ways for point in way), *((limit,) if limit else ())]
    last = max(time for time, _ in marks) or 1.0
    low, high = min(value for _, value in marks), max(value for _, value in marks)
    spare = (high - low) * 0.1 or abs(high) * 0.1 or 1.0
    scale = _Scale(last, low - spare, high + spare, columns, height)
    canvas = _Canvas(columns, height)
    for (time, value), (after, then) in (step for way in ways for step in pairwise(way)):
        canvas.join(scale.across(time), scale.down(value), scale.across(after), scale.down(then))
    labels: dict[int, str] = {}
    if limit and curve.band:
        lower, upper = (scale.row(min(max(value, scale.low), scale.high)) for value in curve.band)
        for row in range(upper, lower + 1):
            canvas.sign(scale.column(limit[0]), row, ":")
    if limit:
        row = scale.row(limit[1])
        canvas.dashes(row)
        canvas.sign(scale.column(limit[0]), row, "x")
        labels[row] = f"limit {limit[1]:g}"
    for line in (*curve.others, Line(curve.name, "o", curve.points)):
        for time, value in line.points:
            canvas.sign(scale.column(time), scale.row(value), line.sign)
    for _, value in (curve.points[-1], curve.points[0]):
        labels[scale.row(value)] = f"{value:g}"
    bar = "\N{BOX DRAWINGS LIGHT VERTICAL}"
    lines = [f"{labels.get(row, ''):>{_LABEL}} {bar}{text}" for row, text in enumerate(canvas.rows())]
    return [*lines, _time_axis(last, columns, curve)]


@dataclass(frozen=True)
class _Scale:
    """From seconds and values to dots and cells."""

    last: float
    low: float
    high: float
    columns: int
    height: int

    def across(self, time: float) -> float:
        return time / self.last * (self.columns * 2 - 1)

    def down(self, value: float) -> float:
        return (self.high - value) / (self.high - self.low) * (self.height * 4 - 1)

    def column(self, time: float) -> int:
        return round(self.across(time)) // 2

    def row(self, value: float) -> int:
        return round(self.down(value)) // 4


class _Canvas:
    """Cells of two by four dots."""

    def __init__(self, columns: int, rows: int) -> None:
        self._cells = [[_BLANK] * columns for _ in range(rows)]
        self._signs: dict[tuple[int, int], str] = {}

    def join(self, x: float, y: float, to_x: float, to_y: float) -> None:
        steps = max(round(abs(to_x - x)), round(abs(to_y - y)), 1)
        for step in range(steps + 1):
            self._dot(round(x + (to_x - x) * step / steps), round(y + (to_y - y) * step / steps))

    def dashes(self, row: int) -> None:
        for column in range(0, len(self._cells[row]), 2):
            self._signs[column, row] = "-"

    def sign(self, column: int, row: int, sign: str) -> None:
        self._signs[column, row] = sign

    def rows(self) -> list[str]:
        return [
            "".join(self._signs.get((column, row), chr(cell)) for column, cell in enumerate(cells)).replace(
                chr(_BLANK), " "
            )
            for row, cells in enumerate(self._cells)
        ]

    def _dot(self, x: int, y: int) -> None:
        row, column = y // 4, x // 2
        if 0 <= row < len(self._cells) and 0 <= column < len(self._cells[0]):
            self._cells[row][column] |= _DOTS[y % 4][x % 2]


def _time_axis(last: float, columns: int, curve: Curve) -> str:
    """The axis below the drawing: its ends, and a legend as far as there is room."""
    left, right = f"0 {curve.across}", f"{last:g} {curve.across}"
    room = columns - len(left) - len(right) - 2
    signs = [("o", curve.name), *((line.sign, line.name) for line in curve.others)]
    signs += [("x", "needed")] if curve.limit else []
    signs += [(":", "95 %")] if curve.limit and curve.band else []
    legend = "   ".join((curve.unit, *(f"{sign} {name}" for sign, name in signs)))
    middle = next((words for words in (legend, curve.unit, "") if len(words) <= room), "")
    return f"{'':>{_LABEL}} \N{BOX DRAWINGS LIGHT UP AND RIGHT}{left} {middle:^{max(room, 0)}} {right}"
