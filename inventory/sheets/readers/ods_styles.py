"""The looks that an ods declares: its styles of cells and numbers (OpenDocument 1.3 part 3, 16)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from inventory.sheets.readers.looks import NO_LOOK, Look, ground, text_colour
from inventory.sheets.readers.number_format import number_format

__all__ = ["OdsStyles"]

_MOST = 65_536
_NUMBERS = frozenset({"number-style", "currency-style", "date-style", "time-style", "percentage-style", "text-style"})
#: The letters of a format code for parts of days and times.
_DAYS = {"year": "yyyy", "month": "mm", "day": "dd", "day-of-week": "ddd", "hours": "hh", "seconds": "ss", "era": "g"}
#: Parts of numbers that are not whole numbers, digit by digit.
_OTHERS = {"scientific-number": "0E+0", "fraction": "# ?/?", "boolean": "General", "text-content": "@"}
_DEEPEST = 10
_LONGEST = 200
#: How many texts between the digits of a number are kept.
_MOST_EMBEDDED = 20


@dataclass
class _Style:
    """A style of cells: the style of its numbers, its parent, and what it says itself; None: nothing."""

    number: str | None = None
    parent: str = ""
    fill: str | None = None
    ink: str | None = None
    struck: bool | None = None


class OdsStyles:
    """Collects the styles of a file; elements and attributes by their local names."""

    def __init__(self) -> None:
        self._codes: dict[str, list[str]] = {}
        self._styles: dict[str, _Style] = {}
        self._number: list[str] = []
        self._style = _Style()
        self._texts: list[str] = []
        self._sign = ""
        self._embedded: dict[int, str] = {}
        self._position = 0
        self._looks: dict[str, Look] = {}

    def begin(self, name: str, given: Mapping[str, str]) -> None:
        """An element begins."""
        self._texts.clear()
        if name in _NUMBERS:
            self._number = ["%"] if name == "percentage-style" else []
            if len(self._codes) < _MOST:
                self._codes[given.get("name", "")] = self._number
        elif name == "style":
            self._style = _Style(given.get("data-style-name"), given.get("parent-style-name", ""))
            if given.get("family") == "table-cell" and len(self._styles) < _MOST:
                self._styles[given.get("name", "")] = self._style
        elif name == "table-cell-properties" and "background-color" in given:
            self._style.fill = _colour(given["background-color"])
        elif name == "text-properties":
            self._style.ink = _colour(given["color"]) if "color" in given else self._style.ink
            if line := given.get("text-line-through-style") or given.get("text-line-through-type"):
                self._style.struck = line != "none"
        else:
            self._begin_in_number(name, given)

    def _begin_in_number(self, name: str, given: Mapping[str, str]) -> None:
        """An element of a style of numbers begins."""
        if name == "currency-symbol":
            self._sign = "-".join(filter(None, (given.get("language", ""), given.get("country", ""))))
        elif len(self._number) > _LONGEST:
            return
        elif name == "number":
            self._number.append(_places(given))
            self._embedded = {}
        elif name == "embedded-text":
            self._position = int(given.get("position", "0") or 0)
        elif name in _DAYS or name in _OTHERS or name == "minutes":
            self._number.append(_DAYS.get(name) or _OTHERS.get(name) or "[mm]")

    def add_text(self, text: str) -> None:
        """Some text in an element."""
        if sum(map(len, self._texts)) < _LONGEST:
            self._texts.append(text)

    def end(self, name: str) -> None:
        """An element ends."""
        text = "".join(self._texts)
        if name == "text" and text:
            self._number.append('"' + text.replace('"', "") + '"')
        elif name == "currency-symbol":
            self._number.append(f"[${text}-{self._sign}]" if self._sign else f"[${text}]")
        elif name == "embedded-text" and len(self._embedded) < _MOST_EMBEDDED:
            self._embedded[self._position] = text.replace('"', "")
        elif name == "number" and self._embedded and self._number:
            self._number[-1] = _with_texts(self._number[-1], self._embedded)
            self._embedded = {}
        if name in ("text", "currency-symbol", "embedded-text"):
            self._texts.clear()

    def look(self, name: str) -> Look:
        """The look of a style of cells."""
        if name not in self._styles:
            return NO_LOOK
        if name not in self._looks:
            self._looks[name] = self._made(name)
        return self._looks[name]

    def _made(self, name: str) -> Look:
        found = Look()
        chain: list[_Style] = []
        while name in self._styles and len(chain) < _DEEPEST:
            chain.append(self._styles[name])
            name = chain[-1].parent
        for style in reversed(chain):
            if style.number is not None:
                found = replace(found, number=number_format("".join(self._codes.get(style.number, ()))[:255]))
            if style.fill is not None:
                found = replace(found, fill=ground(style.fill))
            if style.ink is not None:
                found = replace(found, ink=text_colour(style.ink))
            if style.struck is not None:
                found = replace(found, struck=style.struck)
        return NO_LOOK if found == NO_LOOK else found


def _places(given: Mapping[str, str]) -> str:
    """The places of a number as a format code."""
    zeros = int(given.get("min-integer-digits", "1") or 1)
    decimals = int(given.get("decimal-places", "0") or 0)
    whole = "0" * min(max(zeros, 0), 30) or "#"
    return (
        ("#,##" if given.get("grouping") == "true" else "")
        + whole
        + ("." + "0" * min(decimals, 20) if decimals else "")
    )


def _with_texts(places: str, texts: Mapping[int, str]) -> str:
    """The places of a whole number with texts between them, each by how many digits follow it; others as they are."""
    if places.strip("0"):
        return places
    found = places
    for position, text in sorted(texts.items()):
        if 0 < position < len(places):
            cut = len(places) - position
            found = f'{found[:cut]}"{text}"{found[cut:]}'
    return found


def _colour(text: str) -> str:
    """A colour as RRGGBB; "" for none."""
    plain = text.removeprefix("#").upper()
    return plain if len(plain) == 6 and all(sign in "0123456789ABCDEF" for sign in plain) else ""
