"""An owner's sheet as a text: what stands in each cell, where it must arrive, and what its owner answers.

`sheets/NAME.toml` has `file`, `form` (csv, xlsx, xls, ods), `decimal`, `answers` (question's key to choice), `maps`
(header to column) and a `[[tab]]` for each tab: `columns` (header to the column that its cells must arrive in) and `rows`,
one line each, with "|" between cells. The first cell says what the line is:

    (empty)          a row of data                       gone, new     a row that next month's version has no more, has first
    head             the header; head1 its first line, head2 the header of another table
    title, total, blank, left (of no part: another table, an old tab)
    kind=X, place=X  a section title: what it gives the rows below it

A cell is `text {style} => truth >> next month's cell`. Styles: yellow, struck, `# a comment`, `fmt` a number format, and
"sold" where the cell says that the part has left: it lies nowhere and is in no total. "#12" is a number, "@2019-03-02" a
day, anything else text. The truth is left out if the text arrives as it is in its column, else:

    nothing   not known: the column stays empty          kept    no value of ours: found word for word on the card
    none      there is none of it                        left    the row is not to be read
    X         the value in our words
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

__all__ = ["Cell", "Line", "Owner", "Tab", "all_owners", "load_owner"]

SHEETS = Path(__file__).parent / "sheets"
_STYLE = re.compile(r"\{([^}]*)\}")
#: The words in the first cell of a line that is data in this month's version, and in next month's.
_DATA = {False: ("", "gone"), True: ("", "new")}


@dataclass(frozen=True)
class Cell:
    """`shown`: the text as typed, without "#" and "@". `truth`: None if it arrives as it is."""

    typed: str
    truth: str | None = None
    comment: str = ""
    number_format: str = ""
    yellow: bool = False
    struck: bool = False
    sold: bool = False
    next: Cell | None = None

    @property
    def number(self) -> float | None:
        return float(self.typed[1:]) if self.typed.startswith("#") and len(self.typed) > 1 else None

    @property
    def day(self) -> str | None:
        return self.typed[1:] if self.typed.startswith("@") else None

    @property
    def shown(self) -> str:
        return self.typed[1:] if self.number is not None or self.day is not None else self.typed


@dataclass(frozen=True)
class Line:
    """A line of a tab; `number` is what a spreadsheet shows. `section`: what the titles above it give its part."""

    role: str
    cells: list[Cell]
    number: int
    section: dict[str, str] = field(default_factory=dict)

    @property
    def is_data(self) -> bool:
        return self.role in ("", "gone", "new") and not any(cell.truth == "left" for cell in self.cells)


@dataclass(frozen=True)
class Tab:
    name: str
    columns: dict[str, str]
    lines: list[Line]
    options: dict[str, Any]

    @property
    def targets(self) -> list[str]:
        """For each column of the file, the column that its cells must arrive in; "" if it has no header."""
        head = next(line for line in self.lines if line.role == "head")
        above = next((line for line in self.lines if line.role == "head1"), None)
        found: list[str] = []
        for place, cell in enumerate(head.cells):
            over = above.cells[place].typed if above and place < len(above.cells) else ""
            names = [f"{cell.typed} (2)"] if self.columns.get(cell.typed) in found else []
            names += [" ".join(filter(None, [over, cell.typed])), cell.typed]
            found.append(next((self.columns[name] for name in names if name in self.columns), ""))
        return found


@dataclass(frozen=True)
class Owner:
    name: str
    file: str
    form: str
    tabs: list[Tab]
    answers: dict[str, str]
    maps: dict[str, str]
    kinds: dict[str, str]
    options: dict[str, Any]

    @property
    def lines(self) -> list[Line]:
        """The lines of all tabs, of this month's version and the next."""
        return [line for tab in self.tabs for line in tab.lines]

    @property
    def parts_each(self) -> int:
        """How many parts a row stands for."""
        return 2 if any("pair" in tab.options for tab in self.tabs) else 1

    def version(self, *, next_month: bool = False) -> list[Tab]:
        """The tabs as they are this month or next month, their rows numbered."""
        return [replace(tab, lines=_numbered(tab.lines, next_month)) for tab in self.tabs]


def _numbered(lines: list[Line], next_month: bool) -> list[Line]:
    kept = [line for line in lines if line.role in _DATA[next_month] or line.role not in ("gone", "new")]
    if next_month:
        kept = [replace(line, cells=[cell.next or cell for cell in line.cells]) for line in kept]
    return [replace(line, number=number) for number, line in enumerate(kept, 1)]


def _cell(text: str) -> Cell:
    text, changed, after = text.partition(" >> ")
    text, told, truth = text.partition(" => ")
    if truth == "" and text.startswith("=> "):
        text, truth, told = "", text[3:], "told"
    styles = _STYLE.findall(f"{text} {truth}")
    typed = _STYLE.sub("", text).strip()
    return Cell(
        typed,
        _STYLE.sub("", truth).strip() if told else None,
        comment=next((style[1:].strip() for style in styles if style.startswith("#")), ""),
        number_format=next((style[4:] for style in styles if style.startswith("fmt ")), ""),
        yellow="yellow" in styles,
        struck="struck" in styles,
        sold="sold" in styles,
        next=_cell(after) if changed else None,
    )


def _lines(rows: str) -> list[Line]:
    found: list[Line] = []
    section: dict[str, str] = {}
    for number, text in enumerate(rows.strip("\n").splitlines(), 1):
        role, *cells = (each.strip() for each in text.split("|"))
        about, given, value = role.partition("=")
        if given:
            section = {**section, about: value} if about == "kind" else {about: value}
        found.append(Line("title" if given else role, [_cell(each) for each in cells], number, dict(section)))
    return found


def load_owner(path: Path) -> Owner:
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    tabs = [Tab(tab["name"], tab["columns"], _lines(tab["rows"]), tab) for tab in data["tab"]]
    kinds = {word.casefold(): kind for word, kind in data.get("kinds", {}).items()}
    return Owner(
        path.stem, data["file"], data["form"], tabs, data.get("answers", {}), data.get("maps", {}), kinds, data
    )


def all_owners() -> list[Owner]:
    return [load_owner(path) for path in sorted(SHEETS.glob("*.toml"))]
