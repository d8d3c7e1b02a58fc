"""In: choose a spreadsheet; its trial opens at once."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from textual.app import ComposeResult
from textual.widgets import Static

from inventory.errors import Refused
from tui.data import sheets as data
from tui.data.trial import HIDDEN_TOO, Step, Trial, draft_key, steps_of, tried
from tui.data.trial_told import said_for_people
from tui.questions import Question
from tui.safe import shown
from tui.screens import make_view
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.progress import Progress, progress_to
from tui.widgets.rows import Fixed, RowList
from tui.widgets.sheet_lines import drawn
from tui.words import many

__all__ = ["ReadIn"]

#: What helps at the keys, by the code of a refusal.
_HINTS = {
    "no-known-columns": "Space, then O, writes an empty workbook with the headers that are known",
    "only-hidden-sheets": "",
}


class ReadIn(View):
    """The files of a folder; `path`: one that is tried at once."""

    DEFAULT_CSS = "ReadIn > .heading { height: auto; max-height: 3; text-style: bold; padding: 0 1; }"

    def __init__(self, sitting: Sitting, path: Path | None = None) -> None:
        super().__init__(sitting)
        self._folder = sitting.folder
        self._path = path
        self._tried: Path | None = None
        self._entries: tuple[data.Entry, ...] = ()
        self._words = ""
        self._heading = Static(classes="heading")
        self._rows = RowList(drawn, choosable=lambda row: isinstance(row, data.Entry))

    def compose(self) -> ComposeResult:
        """The folder and what is in it."""
        yield self._heading
        yield self._rows

    def where(self) -> str:
        """The view."""
        return "In: which file?"

    def question(self) -> Question:
        """Which file."""
        item = self._rows.item
        does = "opens the folder" if isinstance(item, data.Entry) and item.folder else "tries the file"
        return Question("File or folder:", enter=does if isinstance(item, data.Entry) else "")

    def keys(self) -> tuple[str, ...]:
        """Nothing can be unfolded."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """Which files can be read."""
        return (
            "Type a part of the file's name, or a whole path. It may be xlsx, xls, ods, csv or json. The file itself "
            "is not changed, and nothing is recorded yet: first you see what would be read, and what is asked.",
        )

    def opened(self) -> None:
        """List the folder, and try the file that was named."""
        path, self._path = self._path, None
        if path is not None:
            self._try(path)
        else:
            self._look_into(self._folder)

    def line_changed(self, text: str) -> None:
        """Narrow the list."""
        self._words = text.strip()
        self._list_files()

    def take(self, text: str) -> None:
        """Open what is typed, or the chosen line."""
        words, self._words = text.strip(), ""
        path = (self._folder / Path(words).expanduser()) if words else None
        item = self._rows.item
        if path is not None and path.is_dir():
            self._look_into(path.resolve())
        elif path is not None and path.is_file():
            self._try(path)
        elif isinstance(item, data.Entry):
            self._look_into(item.path.resolve()) if item.folder else self._try(item.path)
        elif words:
            self.host.line.put(words)
            self.host.say(f'No file or folder here has "{words}" in its name.')

    def steer(self, key: str) -> None:
        """Choose a line; Right opens it."""
        if key == "right":
            self.take("")
        elif key == "left":
            self.host.back()
        else:
            self._rows.steer(key)

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap opens the line."""
        if event.again:
            self.take("")

    def was_refused(self, refused: Refused) -> None:
        """Stay here; a hint that names an option or a command is of no use at the keys, so what helps is asked."""
        self._look_into(self._folder)
        hint = _HINTS.get(refused.code, said_for_people(refused.hint or ""))
        self.host.say_refused(Refused(refused.code, refused.message, hint=hint or None))
        if refused.code == "only-hidden-sheets" and self._tried is not None:
            path = self._tried
            self.host.ask(
                Question("They are hidden.", ("read them", "choose another file")), partial(self._read_hidden, path)
            )

    def _read_hidden(self, path: Path, answer: str) -> None:
        if answer == "read them":
            self._try(path, (HIDDEN_TOO,))

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Another line is chosen: Enter may do something else."""
        self.host.show_foot()

    def on_progress(self, event: Progress) -> None:
        """Show the progress."""
        event.stop()
        self._heading.update(shown(event.words))

    def _look_into(self, folder: Path) -> None:
        def show(entries: tuple[data.Entry, ...]) -> None:
            self._folder = self.sitting.folder = folder
            self._entries = entries
            self._heading.update(shown(f"{folder}"))
            self._list_files()

        self.work("folder", lambda: data.entries_of(folder), show)

    def _list_files(self) -> None:
        words = self._words.casefold()
        fitting = [each for each in self._entries if words in each.name.casefold()]
        fitting.sort(key=lambda each: not each.name.casefold().startswith(words))
        self._rows.fill(Fixed(fitting if fitting or words else ["No spreadsheet and no folder here."]))
        self.host.show_foot()

    def _try(self, path: Path, steps: tuple[Step, ...] = ()) -> None:
        self._tried, record, report_progress = path, self.sitting.record, progress_to(self)
        begun = steps or steps_of(self.host.draft(draft_key(path)))

        def show(trial: Trial) -> None:
            self.host.replace(make_view("trial", self.sitting, trial))
            if begun:
                self.host.say(f"{many(len(begun), 'answer')} of before. Esc takes the last one back.")

        self._heading.update(shown(f"Reading {path.name}"))
        self.work("try", lambda: tried(record, path, begun, report_progress), show)
