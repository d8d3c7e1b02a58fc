"""Small schematic pictures for the invented workshop, drawn here from sheets/pictures.csv.

Each is 320 x 240, carries what is marked on the part and a scale bar, and comes out the same on every run.
Drawings of nothing real: shapes are made up.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from demo_db.sources import Row, table

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

__all__ = ["SIZE", "draw_all"]

SIZE = (320, 240)
"""Width and height of every picture, in pixels."""

_BENCH, _INK, _PAPER = "#c9c2b2", "#26241f", "#efe9da"
_STEEL, _LIGHT, _DARK = "#9aa0a3", "#c6cbcd", "#6c7275"
_RUBBER, _BRASS, _BLACK = "#3a3833", "#b79b56", "#2e3033"


def draw_all(folder: Path) -> list[Path]:
    """Draw every picture of the sheet into a folder that exists; the files, in the sheet's order."""
    from PIL import Image, ImageDraw  # about 60 ms, needed only where the demo is built

    drawn = []
    for row in table("pictures"):
        image = Image.new("RGB", SIZE, _BENCH)
        brush = ImageDraw.Draw(image)
        millimetres = _VIEWS[row["view"]](brush, row)
        _scale_bar(brush, millimetres)
        _caption(brush, row)
        path = folder / row["file"]
        image.save(path)
        drawn.append(path)
    return drawn


def _text(brush: ImageDraw, at: tuple[float, float], text: str, size: int, fill: str = _INK) -> None:
    from PIL import ImageFont  # the font comes with Pillow, so that no system font is needed

    brush.text(at, text, fill=fill, font=ImageFont.load_default(size), anchor="mm")


def _scale_bar(brush: ImageDraw, millimetres: int) -> None:
    """A bar of 60 pixels in alternating halves, with the length it stands for."""
    brush.rectangle((12, 204, 42, 210), fill=_INK)
    brush.rectangle((42, 204, 72, 210), fill=_PAPER, outline=_INK)
    _text(brush, (94, 207), f"{millimetres} mm", 11)


def _caption(brush: ImageDraw, row: Row) -> None:
    """The strip at the foot: what is seen, and the day it was taken."""
    brush.rectangle((0, 218, 320, 240), fill=_PAPER)
    what = f"{row['part number']} {row['serial']}".strip() or row["car"]
    _text(brush, (160, 229), f"{what}   {row['taken on']}", 12)


def _sensor(brush: ImageDraw, row: Row) -> int:
    """A can with flange, port and plug, seen from the side."""
    brush.rounded_rectangle((92, 60, 228, 168), 18, fill=_STEEL, outline=_INK, width=2)
    brush.rectangle((104, 66, 118, 162), fill=_LIGHT)
    brush.rectangle((80, 100, 240, 114), fill=_DARK, outline=_INK)
    for x in (66, 160, 254):
        brush.ellipse((x - 16, 160, x + 16, 184), fill=_RUBBER, outline=_INK)
        brush.rectangle((x - 4, 150, x + 4, 166), fill=_BRASS, outline=_INK)
    brush.line((66, 150, 92, 130), fill=_INK, width=4)
    brush.line((254, 150, 228, 130), fill=_INK, width=4)
    brush.rectangle((148, 22, 172, 60), fill=_BRASS, outline=_INK)
    brush.rounded_rectangle((228, 72, 276, 98), 5, fill=_BLACK, outline=_INK)
    _text(brush, (170, 84), row["part number"], 13)
    _text(brush, (153, 138), row["serial"], 13)
    _stamp(brush, (208, 138), row["marking"])
    return 40


def _stamp(brush: ImageDraw, at: tuple[int, int], letter: str) -> None:
    x, y = at
    brush.ellipse((x - 11, y - 11, x + 11, y + 11), outline=_INK, width=2)
    _text(brush, at, letter, 15)


def _case(brush: ImageDraw, row: Row) -> int:
    """The marked face of a case, close."""
    brush.rounded_rectangle((30, 24, 290, 188), 22, fill=_STEEL, outline=_INK, width=3)
    brush.rounded_rectangle((44, 38, 276, 174), 14, outline=_DARK, width=2)
    _text(brush, (160, 64), row["maker"].upper(), 20)
    _text(brush, (160, 100), row["part number"], 26)
    _text(brush, (112, 148), row["serial"], 20)
    brush.ellipse((206, 120, 262, 176), fill=_LIGHT, outline=_INK, width=3)
    _text(brush, (234, 148), row["marking"], 40)
    return 20


def _cap(brush: ImageDraw, row: Row) -> int:
    """The adjuster's place from above: a cap in its ring of sealant, or the open bore."""
    brush.ellipse((70, 14, 250, 194), fill=_STEEL, outline=_INK, width=3)
    if row["marking"] == "missing":
        brush.ellipse((112, 56, 208, 152), fill=_DARK, outline=_INK, width=2)
        brush.ellipse((130, 74, 190, 134), fill=_BRASS, outline=_INK, width=2)
        brush.line((136, 104, 184, 104), fill=_INK, width=6)
        _text(brush, (160, 172), "no cap", 14)
        return 10
    brush.ellipse((100, 44, 220, 164), fill="#8c3b2e", outline=_INK)
    brush.ellipse((110, 54, 210, 154), fill=_LIGHT, outline=_INK, width=2)
    brush.arc((122, 66, 198, 142), 200, 290, fill="white", width=4)
    _text(brush, (160, 104), "cap", 16)
    _text(brush, (160, 178), "sealant whole", 13)
    return 10


def _stud(brush: ImageDraw, row: Row) -> int:
    """Two studs beside each other: a straight one, and the one that is not."""
    brush.rectangle((40, 150, 280, 190), fill=_STEEL, outline=_INK, width=2)
    for y in range(60, 150, 8):
        brush.rectangle((92, y, 116, y + 8), fill=_BRASS, outline=_DARK)
        lean = (150 - y) // 3
        brush.rectangle((196 + lean, y, 220 + lean, y + 8), fill=_BRASS, outline=_DARK)
    brush.line((208, 40, 208, 150), fill=_INK, width=1)
    _text(brush, (104, 40), "straight", 13)
    _text(brush, (262, 40), row["marking"], 13)
    return 20


def _label(brush: ImageDraw, row: Row) -> int:
    """The lid of a control unit with its label: readable, worn, or gone but for the glue."""
    brush.rectangle((14, 14, 306, 194), fill=_LIGHT, outline=_INK, width=3)
    for corner in ((28, 28), (292, 28), (28, 180), (292, 180)):
        x, y = corner
        brush.ellipse((x - 7, y - 7, x + 7, y + 7), fill=_DARK, outline=_INK)
        brush.line((x - 5, y, x + 5, y), fill=_INK, width=2)
    if row["marking"] == "gone":
        brush.rectangle((52, 46, 268, 162), fill="#b8b4a4")
        brush.polygon(((52, 46), (104, 46), (72, 66), (52, 92)), fill=_PAPER, outline=_DARK)
        _text(brush, (164, 116), "glue, no print", 14, _DARK)
        return 30
    brush.rectangle((52, 46, 268, 162), fill=_PAPER, outline=_INK, width=2)
    _text(brush, (160, 66), row["maker"].upper(), 16)
    _text(brush, (130, 100), row["part number"], 20)
    _text(brush, (130, 136), row["serial"], 18)
    brush.rectangle((214, 92, 258, 150), outline=_INK, width=2)
    if row["marking"] == "worn":
        brush.ellipse((222, 102, 250, 138), outline=_DARK, width=4)
        brush.ellipse((237, 126, 255, 146), fill=_PAPER)
        brush.line((240, 128, 243, 131), fill="#b9b39f", width=2)
    else:
        _text(brush, (236, 121), row["marking"], 36)
    return 30


def _paper(brush: ImageDraw, row: Row) -> int:
    """A report on one page: its number, what it is about, lines of writing, a signature."""
    brush.rectangle((66, 10, 254, 198), fill=_PAPER, outline=_INK, width=2)
    _text(brush, (160, 32), f"Report {row['marking']}", 18)
    _text(brush, (160, 56), f"{row['part number']}   {row['serial']}", 12)
    for line, width in enumerate((150, 144, 150, 120, 148, 90)):
        brush.line((84, 80 + line * 13, 84 + width, 80 + line * 13), fill=_DARK, width=2)
    brush.line((176, 180, 188, 168, 196, 184, 208, 166, 216, 182, 236, 172), fill=_INK, width=2)
    return 70


def _bay(brush: ImageDraw, row: Row) -> int:
    """A strip of the engine bay from above: wing, lamp, sensor, relays, manifold with its six branches."""
    brush.rectangle((0, 0, 320, 200), fill="#5d6b58")
    brush.rectangle((0, 0, 320, 46), fill="#47604a", outline=_INK)
    brush.ellipse((8, 54, 68, 114), fill=_LIGHT, outline=_INK, width=3)
    brush.rounded_rectangle((78, 54, 124, 92), 8, fill=_STEEL, outline=_INK, width=2)
    brush.line((101, 92, 101, 150, 130, 150), fill=_RUBBER, width=4)
    for number in range(4):
        brush.rectangle((166 + number * 34, 54, 190 + number * 34, 84), fill=_BLACK, outline=_INK)
    brush.rounded_rectangle((130, 134, 310, 164), 10, fill=_STEEL, outline=_INK, width=2)
    for number in range(6):
        brush.rectangle((138 + number * 29, 164, 152 + number * 29, 198), fill=_LIGHT, outline=_INK)
    for at, words in (((38, 84), "lamp"), ((101, 73), "sensor"), ((230, 96), "relays"), ((220, 149), "manifold")):
        _text(brush, at, words, 12)
    _text(brush, (160, 23), row["car"], 15, _PAPER)
    return 200


_VIEWS: dict[str, Callable[[ImageDraw, Row], int]] = {
    "sensor": _sensor,
    "case": _case,
    "cap": _cap,
    "stud": _stud,
    "label": _label,
    "paper": _paper,
    "bay": _bay,
}
"""Each view draws the part and gives the millimetres that the scale bar stands for."""
