"""In: choose a spreadsheet, check its headers, try it, read it in; Esc goes back one step."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from time import monotonic
from typing import Literal

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from inventory.errors import Refused
from inventory.money import checked_currency
from inventory.sheets.columns.layout import Answers
from inventory.sheets.progress import OnProgress, progress_line
from tui.data import sheets as data
from tui.questions import Question, chosen
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList
from tui.widgets.sheet_lines import counts_of, drawn
from tui.words import many

__all__ = ["ReadIn"]

_AS_IT_IS = "keep as it is"
_READ, _READ_GOOD, _HEADERS = "read it in", "read the good ones", "back to the headers"
_ROWS_SHOWN = 3
#: The shortest time between two displays of progress (s).
_EVERY_S = 0.2


class ReadIn(View):
    """Three steps: the file, its headers, the trial."""

    asks_what_settles = False

    DEFAULT_CSS = """
    ReadIn > .heading { height: auto; max-height: 3; text-style: bold; padding: 0 1; }
    ReadIn > .detail { height: auto; max-height: 7; padding: 0 1; scrollbar-size-vertical: 1; }
    """

    class Progress(Message):
        """The progress of the work in the background."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._step: Literal["file", "headers", "trial"] = "file"
        self._folder = sitting.folder
        self._entries: tuple[data.Entry, ...] = ()
        self._words = ""
        self._path = Path()
        self._answers: dict[Path, Answers] = {}
        self._seen: data.Preview | None = None
        self._report: data.Report | None = None
        self._heading = Static(classes="heading")
        self._rows = RowList(drawn, choosable=lambda row: not isinstance(row, str))
        self._detail = Static()

    def compose(self) -> ComposeResult:
        """A heading, a list, and the chosen line in full."""
        yield self._heading
        yield self._rows
        with VerticalScroll(classes="detail", can_focus=False):
            yield self._detail

    def where(self) -> str:
        """The step."""
        return {"file": "In: which file?", "headers": "In: its headers", "trial": "In: what would change"}[self._step]

    def middle(self) -> str:
        """The file."""
        return self._path.name if self._step != "file" else ""

    def question(self) -> Question:
        """What is asked at this step."""
        if self._step == "file":
            item = self._rows.item
            does = "opens the folder" if isinstance(item, data.Entry) and item.folder else "opens the file"
            return Question("File or folder:", enter=does if isinstance(item, data.Entry) else "")
        if self._step == "headers":
            return self._asked_of_header()
        enter = "reads it in" if self._report and not self._report.refused else ""
        return Question("Row, or what to do:" if not self._choices() else "", self._choices(), enter=enter)

    def keys(self) -> tuple[str, ...]:
        """No Right or Left: the chosen line is shown in full below the list."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """The three steps."""
        return (
            "First the file: type a part of its name, or a whole path. It may be xlsx, xls, ods, csv or json. The file "
            "itself is not changed.",
            "Then its headers: the column that each stands for, and the similarity (100: spelled the same). You are "
            "asked about doubtful ones. To change another, choose it and type the column's name, or extra to keep it.",
            "Then the trial: what each row would add or change, old and new, and which rows cannot be read. Nothing is "
            "recorded before you agree. Rows that cannot be read go into a workbook beside the file; correct them "
            "there and read it. Ctrl+Z takes the whole read back.",
        )

    def opened(self) -> None:
        """List the folder."""
        if self._step == "file":
            self._look_into(self._folder)

    def line_changed(self, text: str) -> None:
        """Narrow the list of files."""
        self._words = text.strip()
        if self._step == "file":
            self._list_files()

    def take(self, text: str) -> None:
        """Take the typed text, or the chosen line."""
        words, self._words = text.strip(), ""
        try:
            if self._step == "file":
                self._take_file(words)
            elif self._step == "headers":
                self._take_header(words)
            else:
                self._take_trial(words)
        except Refused as refused:
            self.host.line.put(text)
            self.host.say_refused(refused)

    def steer(self, key: str) -> None:
        """Choose a line; Right opens it."""
        if key == "right" and self._step == "file":
            self.take("")
        elif key == "left":
            self.host.back()
        else:
            self._rows.steer(key)

    def back(self) -> bool:
        """From the trial to the headers, from the headers to the file; answers are kept."""
        if self._step == "trial":
            self._show_headers()
            return True
        if self._step == "headers":
            self._step = "file"
            self._look_into(self._folder)
            return True
        return False

    def was_refused(self, refused: Refused) -> None:
        """The file was refused: it stays chosen."""
        self._heading.update(shown(self._heading_now()))

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Show the chosen line in full."""
        self._draw_detail()
        self.host.show_foot()

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap opens the line."""
        if event.again:
            self.take("")

    def on_read_in_progress(self, event: Progress) -> None:
        """Show the progress."""
        event.stop()
        self._heading.update(shown(event.words))

    @property
    def _given(self) -> Answers:
        """The answers for this file; they are kept while another file is chosen."""
        return self._answers.get(self._path, Answers())

    # The file.

    def _look_into(self, folder: Path) -> None:
        def show(entries: tuple[data.Entry, ...]) -> None:
            self._folder = self.sitting.folder = folder
            self._entries = entries
            self._heading.update(shown(self._heading_now()))
            self._list_files()

        self.work("folder", lambda: data.entries_of(folder), show)

    def _list_files(self) -> None:
        words = self._words.casefold()
        fitting = [each for each in self._entries if words in each.name.casefold()]
        self._rows.fill(Fixed(fitting if fitting or words else ["No spreadsheet and no folder here."]))
        self._draw_detail()
        self.host.show_foot()

    def _take_file(self, words: str) -> None:
        path = (self._folder / Path(words).expanduser()) if words else None
        item = self._rows.item
        if path is not None and path.is_dir():
            self._look_into(path.resolve())
        elif path is not None and path.is_file():
            self._look_at(path)
        elif isinstance(item, data.Entry):
            if item.folder:
                self._look_into(item.path.resolve())
            else:
                self._look_at(item.path)
        elif words:
            self.host.line.put(words)
            self.host.say(f'No file or folder here has "{words}" in its name.')

    def _look_at(self, path: Path) -> None:
        self._path = path
        record, said = self.sitting.record, self._given
        self._heading.update(shown(f"Reading {path.name}"))
        self.work("look", lambda: data.previewed(record, path, said), self._show_look)

    def _show_look(self, seen: data.Preview) -> None:
        self._seen = seen
        self._show_headers()
        if seen.remarks:
            self.host.say(f"{seen.remarks[-1]}.")

    # Its headers.

    def _show_headers(self) -> None:
        assert self._seen is not None
        self._step = "headers"
        lines: list[object] = list(data.head_lines(self._seen))
        for sheet in self._seen.sheets:
            lines += ["", f"First rows of {sheet.name}, as they will be read:"]
            for row in sheet.rows[:_ROWS_SHOWN]:
                cells = ", ".join(
                    f"{name} {text}" for name, text in (sheet.values(row.cells) | sheet.own_values(row.cells)).items()
                )
                lines.append(f"  {row.number}: {cells}")
        self._rows.fill(Fixed(lines))
        self._heading.update(shown(self._heading_now()))
        self._draw_detail()
        self.host.show_foot()

    def _doubted(self) -> data.HeadLine | None:
        """The chosen header if it is doubtful, else the first doubtful one."""
        item = self._rows.item
        if isinstance(item, data.HeadLine) and item.may_be:
            return item
        if self._seen is None:
            return None
        return next((line for line in data.head_lines(self._seen) if line.may_be), None)

    def _asked_of_header(self) -> Question:
        if (doubted := self._doubted()) is not None:
            return Question(f'"{doubted.header}" stands for', (*doubted.may_be, _AS_IT_IS))
        return Question("Another column for this header:", enter="tries the file")

    def _take_header(self, words: str) -> None:
        doubted, item = self._doubted(), self._rows.item
        if not words:
            if doubted is not None:
                self.host.say(f'First say what "{doubted.header}" is: type a number, or the name of a column.')
            else:
                self._try()
            return
        if doubted is not None:
            picked = chosen(words, (*doubted.may_be, _AS_IT_IS))
            column = data.KEPT if picked == _AS_IT_IS else picked or data.column_of(words)
            self._answer(doubted.header, column)
        elif isinstance(item, data.HeadLine):
            column = data.KEPT if chosen(words, (_AS_IT_IS,)) and len(words) > 1 else data.column_of(words)
            self._answer(item.header, column)

    def _answer(self, header: str, column: str) -> None:
        self._answers[self._path] = data.with_column(self._given, header, column)
        kept = "is kept as it is" if column == data.KEPT else f"is read as {column}"
        self.host.say(f'"{header}" {kept}.')
        self._look_at(self._path)

    # The trial.

    def _try(self) -> None:
        seen, record = self._seen, self.sitting.record
        assert seen is not None
        self._heading.update(shown("Comparing with the record"))
        report_progress = self._progress_reporter()
        self.work("try", lambda: data.try_file(record, seen, report_progress), self._show_trial)

    def _show_trial(self, report: data.Report) -> None:
        self._report, self._step = report, "trial"
        self._rows.fill(Fixed(data.row_lines(report)))
        self._heading.update(shown(self._heading_now()))
        self._draw_detail()
        self.host.show_foot()

    def _choices(self) -> tuple[str, ...]:
        if self._report is None:
            return ()
        if not self._report.refused:
            return ()
        good = self._report.added + self._report.changed
        read = (f"{_READ_GOOD}, {self._report.refused} to a workbook",) if good else ()
        return (*data.needed(self._report), *read, _HEADERS)

    def _take_trial(self, words: str) -> None:
        report = self._report
        assert report is not None
        picked = chosen(words, self._choices())
        if not words and not report.refused:
            self._take_in(None)
        elif not words:
            self.host.say("Type a number to choose what to do. Nothing is recorded yet.")
        elif picked == _HEADERS:
            self._show_headers()
        elif picked is not None and picked.startswith(_READ_GOOD):
            self._take_in(data.rejects_for(self._path))
        elif picked is not None:
            self._again(data.with_choice(self._given, picked))
        elif data.wants_currency(report):
            self._again(replace(self._given, currency=checked_currency(words)))
        else:
            self.host.line.put(words)
            self.host.say("That is not one of the numbers below. Esc goes back to the headers.")

    def _again(self, said: Answers) -> None:
        """Preview the file again with another answer, and try it at once."""
        self._answers[self._path] = said
        record, path = self.sitting.record, self._path

        def then(seen: data.Preview) -> None:
            self._seen = seen
            self._try()

        self.work("look", lambda: data.previewed(record, path, said), then)

    def _take_in(self, rejects: Path | None) -> None:
        seen, report, sitting = self._seen, self._report, self.sitting
        assert seen is not None
        assert report is not None
        keep = self._given != Answers()
        report_progress = self._progress_reporter()

        def message(now: data.Report) -> str:
            parts = [f"{count:,} {word}" for count, word in counts_of(now) if count]
            says = f"{', '.join(parts) or 'no rows'}".capitalize() + "."
            if rejects is not None and now.refused:
                says += f" {many(now.refused, 'row')} to correct in {rejects.name}."
            if (now.added, now.changed) != (report.added, report.changed):
                says += " The record changed after the trial."
            return says + (" Ctrl+Z takes it back." if now.added or now.changed else "")

        self.host.write(
            self,
            lambda: data.read_file(sitting.record, seen, sitting.by, rejects, keep, report_progress),
            message,
            then=lambda _: self.host.close(),
        )

    def _progress_reporter(self) -> OnProgress:
        began: dict[str, float] = {}
        last = [0.0]

        def report_progress(what: str, done: int, total: int | None) -> None:
            now = monotonic()
            began.setdefault(what, now)
            if now - last[0] >= _EVERY_S:
                last[0] = now
                self.post_message(self.Progress(progress_line(what, done, total, now - began[what])))

        return report_progress

    # What is drawn.

    def _heading_now(self) -> str:
        if self._step == "file":
            return f"{self._folder}"
        if self._step == "headers" and self._seen is not None:
            rows = sum(len(sheet.rows) for sheet in self._seen.sheets)
            kept = "".join(f" With the answers of {each.by}, {each.on}." for each in self._seen.saved[:1])
            held = f"{many(rows, 'row')} in {many(len(self._seen.sheets), 'sheet')}."
            return f"{held} Header, similarity (of 100), column.{kept}"
        if self._report is None:
            return ""
        counts = ", ".join(f"{count:,} {word}" for count, word in counts_of(self._report) if count)
        cannot = f"; {self._report.refused:,} cannot be read" if self._report.refused else ""
        nothing = "" if self._report.added or self._report.changed else " There is nothing new in it."
        return (
            f"{many(self._report.rows_read, 'row')}: {counts or 'none good'}{cannot}.{nothing} Nothing is recorded yet."
        )

    def _draw_detail(self) -> None:
        item = self._rows.item
        width = max(self.size.width - 4, 30)
        lines: tuple[str, ...] = ()
        if self._step == "trial" and isinstance(item, data.RowLine):
            lines = data.detail_of(item)
        elif isinstance(item, data.HeadLine):
            lines = (f"For example: {item.examples}" if item.examples else "This column is empty.",)
        self._detail.update(
            Content("\n").join(part for line in lines for part in shown(line, "$text-muted").wrap(width))
        )
