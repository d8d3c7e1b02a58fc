"""The looks that an xlsx declares: number formats, colours and strikes, by the number of a cell's style."""

from __future__ import annotations

import colorsys
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from xml.parsers import expat

from inventory.sheets.readers.limits import DAMAGED, MOST_CHARACTERS
from inventory.sheets.readers.looks import Look, ground, text_colour
from inventory.sheets.readers.number_format import BUILT_IN, number_format
from inventory.sheets.readers.tables import not_a_spreadsheet

__all__ = ["Styles", "Theme", "read_part"]

#: The longest tag of a part, and the most cell styles of a file (Microsoft, "Excel specifications": 65,490).
_LONGEST_TAG, _MOST = 2**20, 65_536
#: The colours of a theme in the order in which styles count them (ECMA-376 part 1, 18.8.3), and those of the usual one.
_THEME = ("lt1", "dk1", "lt2", "dk2", "accent1", "accent2", "accent3", "accent4", "accent5", "accent6")
_USUAL = ("FFFFFF", "000000", "E7E6E6", "44546A", "4472C4", "ED7D31", "A5A5A5", "FFC000", "5B9BD5", "70AD47")
#: The palette of colours by number from 8 on; 0 to 7 are the first eight again (ECMA-376 part 1, 18.8.27).
_PALETTE = (
    "000000FFFFFFFF000000FF000000FFFFFF00FF00FF00FFFF800000008000000080808000800080008080C0C0C0808080"
    "9999FF993366FFFFCCCCFFFF660066FF80800066CCCCCCFF000080FF00FFFFFF0000FFFF8000808000000080800000FF"
    "00CCFFCCFFFFCCFFCCFFFF9999CCFFFF99CCCC99FFFFCC993366FF33CCCC99CC00FFCC00FF9900FF6600666699969696"
    "003366339966003300333300993300993366333399333333"
)
#: Colours of the theme for links; they mark nothing.
_LINKS = ("10", "11")


def read_part(
    path: Path,
    pieces: Iterator[bytes],
    begin: Callable[[list[str], dict[str, str]], object],
    end: Callable[[list[str], str], object] = lambda _, __: None,
) -> None:
    """Stream through a small part: `begin` gets the names down to an element and its attributes, `end` those names and
    the text in it. Raises `Refused` if the part is damaged or defines entities.
    """
    names: list[str] = []
    texts: list[str] = []
    length = 0

    def add(text: str) -> None:
        nonlocal length
        length += len(text)
        if length <= MOST_CHARACTERS:
            texts.append(text)

    def start(name: str, given: dict[str, str]) -> None:
        nonlocal length
        names.append(name.rpartition(" ")[2])
        texts.clear()
        length = 0
        begin(names, given)

    def stop(_: str) -> None:
        nonlocal length
        end(names, "".join(texts))
        texts.clear()
        length = 0
        names.pop()

    def refuse(*_: object) -> None:
        raise not_a_spreadsheet(path, "it defines XML entities (a DTD), which no spreadsheet program does")

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler = start, stop
    parser.CharacterDataHandler, parser.StartDoctypeDeclHandler = add, refuse
    fed = 0
    try:
        for piece in pieces:
            for place in range(0, len(piece), 65_536):
                parser.Parse(piece[place : place + 65_536], False)
                fed += len(piece[place : place + 65_536])
                if fed - parser.CurrentByteIndex > _LONGEST_TAG or len(names) > 200:
                    raise not_a_spreadsheet(path, DAMAGED)
        parser.Parse(b"", True)
    except (expat.ExpatError, ValueError, OverflowError, LookupError):
        raise not_a_spreadsheet(path, DAMAGED) from None


class Theme:
    """The colours of a workbook's theme, as RRGGBB."""

    def __init__(self) -> None:
        self.colours = dict(zip(_THEME, _USUAL, strict=True))

    def begin(self, names: list[str], given: dict[str, str]) -> None:
        """An element of the theme begins."""
        if len(names) > 2 and names[-3] == "clrScheme" and names[-2] in self.colours:
            colour = given.get("lastClr") or given.get("val", "")
            if _is_colour(colour):
                self.colours[names[-2]] = colour.upper()


class Styles:
    """The styles of a workbook, read from its part `styles.xml`."""

    def __init__(self, theme: Theme) -> None:
        self._theme = [theme.colours[name] for name in _THEME]
        self._palette: list[str] = []
        self._codes: dict[str, str] = {}
        self._fills: list[str] = []
        self._fonts: list[tuple[str, bool]] = []
        self._styles: list[tuple[str, str, str]] = []
        self._solid = False

    def begin(self, names: list[str], given: dict[str, str]) -> None:
        """An element of the styles begins."""
        if len(names) < 3:
            return
        part, name = names[1], names[-1]
        if part == "numFmts" and name == "numFmt" and len(self._codes) < _MOST:
            self._codes[given.get("numFmtId", "")] = given.get("formatCode", "")
        elif part == "cellXfs" and name == "xf" and len(self._styles) < _MOST:
            self._styles.append((given.get("numFmtId", "0"), given.get("fontId", "0"), given.get("fillId", "0")))
        elif part == "fills":
            self._begin_fill(name, given)
        elif part == "fonts":
            self._begin_font(name, given)
        elif part == "colors" and name == "rgbColor" and len(self._palette) < _MOST:
            self._palette.append(given.get("rgb", ""))

    def _begin_fill(self, name: str, given: dict[str, str]) -> None:
        if name == "fill" and len(self._fills) < _MOST:
            self._fills.append("")
        elif name == "patternFill":
            self._solid = given.get("patternType") == "solid"
        elif self._fills and name == ("fgColor" if self._solid else "color"):
            self._fills[-1] = self._fills[-1] or self._colour(given)

    def _begin_font(self, name: str, given: dict[str, str]) -> None:
        if name == "font" and len(self._fonts) < _MOST:
            self._fonts.append(("", False))
        elif self._fonts and name == "color" and given.get("theme") not in _LINKS:
            self._fonts[-1] = (self._colour(given), self._fonts[-1][1])
        elif self._fonts and name == "strike":
            self._fonts[-1] = (self._fonts[-1][0], given.get("val", "1") not in ("0", "false"))

    def _colour(self, given: Mapping[str, str]) -> str:
        """A colour as RRGGBB; "" if it is left to the program."""
        colour = given.get("rgb", "")[-6:]
        if theme := given.get("theme"):
            colour = self._theme[int(theme)] if theme.isdecimal() and int(theme) < len(self._theme) else ""
        elif (indexed := given.get("indexed", "")).isdecimal() and len(indexed) < 3:
            place = int(indexed)
            own = self._palette[place][-6:] if place < len(self._palette) else ""
            first = 6 * (place - 8 if place >= 8 else place)
            colour = own or _PALETTE[first : first + 6]
        return _tinted(colour.upper(), given.get("tint", "0")) if _is_colour(colour) else ""

    def looks(self) -> list[Look]:
        """The look of each style of cells."""
        return [self._look(*each) for each in self._styles]

    def _look(self, number: str, font: str, fill: str) -> Look:
        code = self._codes.get(number) or (BUILT_IN.get(int(number), "") if number.isdecimal() else "")
        of_font, of_fill = _place(font, self._fonts), _place(fill, self._fills)
        ink, struck = self._fonts[of_font] if of_font is not None else ("", False)
        return Look(number_format(code), ground(self._fills[of_fill] if of_fill else ""), text_colour(ink), struck)


def _place(text: str, values: Sequence[object]) -> int | None:
    return int(text) if text.isdecimal() and int(text) < len(values) else None


def _is_colour(text: str) -> bool:
    return len(text) == 6 and all(sign in "0123456789abcdefABCDEF" for sign in text)


def _tinted(colour: str, tint: str) -> str:
    """A colour made lighter or darker by a share (ECMA-376 part 1, 18.8.19)."""
    share = max(-1.0, min(1.0, float(tint)))
    if not share:
        return colour
    hue, light, strong = colorsys.rgb_to_hls(*(int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4)))
    light = light * (1 + share) if share < 0 else light * (1 - share) + share
    return "".join(f"{round(255 * each):02X}" for each in colorsys.hls_to_rgb(hue, light, strong))
