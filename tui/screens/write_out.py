"""Out: a file written of what is on record: every sheet, one of them, or an empty workbook to fill in."""

from __future__ import annotations

from pathlib import Path

from textual.app import ComposeResult
from textual.content import Content

from tui.data import sheets as desk
from tui.questions import Question, chosen
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["WriteOut"]

_WHAT: tuple[tuple[str, str, str], ...] = (
    ("all", "Every sheet: parts, runs, seals, provenance, values, fits, positions", "all.xlsx"),
    ("parts", "The parts alone", "parts.csv"),
    ("template", "An empty workbook that shows what can be read", "template.xlsx"),
)
_REPLACE = ("replace it", "another name")


class WriteOut(View):
    """What to write, then where to."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
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
        """What to write, then where to."""
        if self._what is None:
            return Question("Which?", enter="the chosen one")
        if self._taken is not None:
            return Question(f"{self._taken.name} is there already.", _REPLACE)
        return Question("File name (xlsx, ods, csv, json):", enter=f"{self._what[2]} in {self.sitting.folder}")

    def keys(self) -> tuple[str, ...]:
        """There is nothing to unfold here."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def explains(self) -> tuple[str, ...]:
        """What is written."""
        return (
            "A workbook of every sheet can be read in again and changes nothing. The end of the name says how it is "
            "written: xlsx, ods, csv (one sheet only) or json. A condition list for the insurer is written by command: "
            "matchmark condition-list.",
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
        """To what is written."""
        if self._taken is not None:
            self._taken = None
            return True
        if self._what is not None:
            self._what = None
            return True
        return False

    def take(self, text: str) -> None:
        """What, where to, and whether a file there may go."""
        words = text.strip()
        if self._what is None:
            item = self._rows.item
            if words.isdecimal() and 1 <= int(words) <= len(_WHAT):
                self._what = _WHAT[int(words) - 1]
            elif not words and isinstance(item, tuple):
                self._what = item
            else:
                self.host.say("A number, or Enter for the chosen one.")
        elif self._taken is not None:
            picked = chosen(words, _REPLACE)
            if picked == _REPLACE[0]:
                self._write(self._taken, over=True)
            elif picked == _REPLACE[1]:
                self._taken = None
        else:
            path = self.sitting.folder / Path(words or self._what[2]).expanduser()
            if path.is_file():
                self._taken = path
            else:
                self._write(path, over=False)
        self.host.show_foot()

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap takes it."""
        if event.again:
            self.take("")

    def _write(self, path: Path, *, over: bool) -> None:
        assert self._what is not None
        what, record = self._what[0], self.sitting.record

        def done(told: str) -> None:
            self.host.close()
            self.host.say(told)

        self.host.say(f"Writing {path.name}")
        self.work("out", lambda: desk.written(record, what, path, over), done)


def _draw(row: object, _: int) -> Content:
    if not isinstance(row, tuple):
        return Content("")
    return shown(f"{_WHAT.index(row) + 1:>2} {row[1]}")
