"""Out: what can be written to a file: papers that leave the house, and sheets of the record."""

from __future__ import annotations

from pathlib import Path

from textual.app import ComposeResult
from textual.content import Content

from tui.data import sheets as data
from tui.questions import Question, chosen
from tui.safe import shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["PAPER_TITLES", "WriteOut"]

#: The papers, by the name of their sort; how they are made is imported only when one is chosen.
PAPER_TITLES = {
    "claim": "Claim after a loss: what was on a car or at a place",
    "passport": "Passport of a part: its history, for the next owner",
    "sale": "Sale sheet of a part: one page for a buyer",
    "setting": "Setting paper of a sensor, for its control unit",
    "after": "For those who come after: one page for the family",
}
#: What can be written: its name, what it is, and the file offered for it; papers have a view of their own.
_WHAT: tuple[tuple[str, str, str], ...] = (
    ("insurer", "Condition list for an insurer: premises and roles, no shelves and no names", ""),
    ("owner", "Condition list for the owner: all of it", ""),
    *((name, title, "") for name, title in PAPER_TITLES.items()),
    ("all", "Every sheet: parts, runs, seals, values, fits, hardware, positions", "all.xlsx"),
    ("parts", "The parts alone", "parts.csv"),
    ("template", "An empty workbook to fill in", "template.xlsx"),
)
_LISTS = ("insurer", "owner")
_REPLACE = ("replace it", "another name")


class WriteOut(View):
    """What to write, then the file."""

    def __init__(self, sitting: Sitting, tag: str = "") -> None:
        super().__init__(sitting)
        self._tag = tag
        self._what: tuple[str, str, str] | None = None
        self._taken: Path | None = None
        self._rows = RowList(_draw)

    def compose(self) -> ComposeResult:
        """What can be written."""
        yield self._rows

    def where(self) -> str:
        """The view."""
        return "Out: write a file"

    def question(self) -> Question:
        """What to write, then the file."""
        if self._what is None:
            return Question("Which?", enter="the chosen one")
        if self._taken is not None:
            return Question(f"{self._taken.name} exists already.", _REPLACE)
        return Question("File name (xlsx, ods, csv, json):", enter=f"{self._what[2]} in {self.sitting.folder}")

    def keys(self) -> tuple[str, ...]:
        """No Right or Left: nothing can be unfolded."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """What is written."""
        return (
            "A file with every sheet can be read in again without changing anything. The end of the file name decides "
            "the format: xlsx, ods, csv (one sheet only) or json.",
            "A condition list and the papers leave the house: you see each first, and say to whom it is given. The "
            "part whose card is in front is offered for them.",
        )

    def opened(self) -> None:
        """Show what can be written."""
        self._rows.fill(Fixed(_WHAT))

    def steer(self, key: str) -> None:
        """Choose."""
        if key == "left":
            self.host.back()
        elif self._what is None:
            self._rows.steer(key)

    def back(self) -> bool:
        """Go back to the choice of what to write."""
        if self._taken is not None:
            self._taken = None
            return True
        if self._what is not None:
            self._what = None
            return True
        return False

    def take(self, text: str) -> None:
        """Take what to write, the file name, and whether an existing file is replaced."""
        words = text.strip()
        if self._what is None:
            self._choose(words)
        elif self._taken is not None:
            picked = chosen(words, _REPLACE)
            if picked == _REPLACE[0]:
                self._write(self._taken, overwrite=True)
            elif picked == _REPLACE[1]:
                self._taken = None
        else:
            path = self.sitting.folder / Path(words or self._what[2]).expanduser()
            if path.is_file():
                self._taken = path
            else:
                self._write(path, overwrite=False)
        self.host.show_foot()

    def _choose(self, words: str) -> None:
        item = self._rows.item
        if words.isdecimal() and 1 <= int(words) <= len(_WHAT):
            item = _WHAT[int(words) - 1]
        elif words or not isinstance(item, tuple):
            self.host.say("Type a number, or press Enter for the chosen line.")
            return
        if item[0] in _LISTS:
            self.host.open(make_view("list out", self.sitting, item[0]))
        elif item[0] in PAPER_TITLES:
            self.host.open(make_view("paper out", self.sitting, (item[0], self._tag)))
        else:
            self._what = item

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap picks the line."""
        if event.again:
            self.take("")

    def _write(self, path: Path, *, overwrite: bool) -> None:
        assert self._what is not None
        what, record = self._what[0], self.sitting.record

        def done(message: str) -> None:
            self.host.close()
            self.host.say(message)

        self.host.say(f"Writing {path.name}")
        self.work("out", lambda: data.write_file(record, what, path, overwrite), done)


def _draw(row: object, _: int) -> Content:
    if not isinstance(row, tuple):
        return Content("")
    return shown(f"{_WHAT.index(row) + 1:>2} {row[1]}")
