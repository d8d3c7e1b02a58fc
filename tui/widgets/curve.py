"""A measured curve drawn in dots, eight to a character cell, with its limit. Pure."""

from __future__ import annotations

from tui.desks.entries import Curve

__all__ = ["draw_curve"]

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_BLANK = 0x2800
_LABEL = 8


def draw_curve(curve: Curve, width: int, height: int = 7) -> list[str]:
    """Lines of text: the readings joined by a curve and marked `o`, the limit a dashed row, axes labelled."""
    columns = max(width - _LABEL - 3, 10)
    marks = [*curve.points, *((curve.limit,) if curve.limit else ())]
    last = max(time for time, _ in marks) or 1.0
    low, high = min(value for _, value in marks), max(value for _, value in marks)
    spare = (high - low) * 0.1 or abs(high) * 0.1 or 1.0
    low, high = low - spare, high + spare
    canvas = _Canvas(columns, height)

    def across(time: float) -> float:
        return time / last * (columns * 2 - 1)

    def down(value: float) -> float:
        return (high - value) / (high - low) * (height * 4 - 1)

    for (time, value), (after, then) in zip(curve.points, curve.points[1:], strict=False):
        canvas.join(across(time), down(value), across(after), down(then))
    if curve.limit:
        canvas.dashes(round(down(curve.limit[1])) // 4)
    for time, value in curve.points:
        canvas.mark(round(across(time)) // 2, round(down(value)) // 4)
    labels = _labels(curve, down)
    lines = [f"{labels.get(row, ''):>{_LABEL}} \N{BOX DRAWINGS LIGHT VERTICAL}{text}" for row, text in enumerate(canvas.rows())]
    return [*lines, _time_axis(last, columns, curve)]


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

    def mark(self, column: int, row: int) -> None:
        self._signs[column, row] = "o"

    def rows(self) -> list[str]:
        return [
            "".join(self._signs.get((column, row), chr(cell)) for column, cell in enumerate(cells)).replace(chr(_BLANK), " ")
            for row, cells in enumerate(self._cells)
        ]

    def _dot(self, x: int, y: int) -> None:
        row, column = y // 4, x // 2
        if 0 <= row < len(self._cells) and 0 <= column < len(self._cells[0]):
            self._cells[row][column] |= _DOTS[y % 4][x % 2]


def _labels(curve: Curve, down: object) -> dict[int, str]:
    assert callable(down)
    labels: dict[int, str] = {}
    if curve.limit:
        labels[round(down(curve.limit[1])) // 4] = f"needs {curve.limit[1]:g}"
    for _, value in (curve.points[-1], curve.points[0]):
        labels[round(down(value)) // 4] = f"{value:g}"
    return labels


def _time_axis(last: float, columns: int, curve: Curve) -> str:
    left, right = "0 s", f"{last:g} s"
    middle = f"{curve.unit}, o as read" + (", - - the limit" if curve.limit else "")
    inside = f"{left} {middle:^{max(columns - len(left) - len(right) - 2, 0)}} {right}"
    return f"{'':>{_LABEL}} \N{BOX DRAWINGS LIGHT UP AND RIGHT}{inside}"
