"""Pictures and papers of a part: what is attached, what is new in the folder of pictures; add, open, look."""

from __future__ import annotations

from pathlib import Path

from textual.app import ComposeResult, SuspendNotSupported
from textual.content import Content
from textual.widgets import Static

from tui.data import pictures as data
from tui.questions import Question, chosen
from tui.safe import plain, shown
from tui.sitting import Sitting
from tui.view import View
from tui.viewer import open_outside, print_picture, terminal_without_pictures
from tui.widgets.rows import Fixed, RowList
from tui.words import many, short_day

__all__ = ["Pictures"]


class Pictures(View):
    """The new pictures of the folder, then what is attached; typing a path adds a file, or chooses the folder."""

    DEFAULT_CSS = "Pictures > .heading { height: 1; padding: 0 1; text-style: bold; }"

    def __init__(self, sitting: Sitting, tag: str) -> None:
        super().__init__(sitting)
        self._tag = tag
        self._folder = data.kept_folder(sitting.record, sitting.by)
        self._papers = data.Papers(())
        self._adding: Path | None = None
        self._heading = Static(classes="heading")
        self._rows = RowList(_draw, choosable=lambda row: not isinstance(row, str))

    def compose(self) -> ComposeResult:
        """The folder, and the list."""
        yield self._heading
        yield self._rows

    def where(self) -> str:
        """The part."""
        return f"Pictures: {self._tag}"

    def middle(self) -> str:
        """How many are attached."""
        return f"{many(len(self._papers.attached), 'file')} attached"

    def question(self) -> Question:
        """Which file; then what it shows."""
        if self._adding is not None:
            return Question(f"{self._adding.name} shows", data.SHOWS, enter="whole")
        item = self._rows.item
        if isinstance(item, data.NewPicture):
            return Question("File or folder:", enter=f"adds {item.path.name}")
        does = "opens it" if isinstance(item, data.DocumentView) else ""
        return Question("File to add, or folder of pictures:", enter=does)

    def keys(self) -> tuple[str, ...]:
        """Right looks at the chosen one here."""
        return ("Enter", "Esc", "Up", "Down", "Right", "Space", "?")

    def help_text(self) -> tuple[str, ...]:
        """How to add and look."""
        return (
            "Enter on a new picture adds it, and you say what it shows; the file itself stays where it is. Or type the "
            "path of any picture or paper. Type the path of a folder once, and its new pictures are listed first, "
            "also after each part that you log in Strip.",
            "Enter on one that is attached opens a copy with the viewer of this machine. Right shows it here, if the "
            "terminal can draw pictures. By command: matchmark photos gives a whole folder to the parts whose labels "
            "it shows; matchmark document get writes a file.",
        )

    def part_tag(self) -> str | None:
        """This part."""
        return self._tag

    def opened(self) -> None:
        """Read what is attached, and the folder."""
        tag, folder = self._tag, self._folder
        self.read("papers", lambda session: data.papers_of(session, tag, folder), self._show)

    def take(self, text: str) -> None:
        """What it shows, a path, or the chosen row."""
        words = plain(text).strip()
        if self._adding is not None:
            self._take_shows(self._adding, words)
        elif words:
            self._take_path(words)
        elif isinstance(self._rows.item, data.NewPicture):
            self._adding = self._rows.item.path
        elif isinstance(self._rows.item, data.DocumentView):
            self._open(self._rows.item)

    def steer(self, key: str) -> None:
        """Choose a row; Right looks at it."""
        if key == "right" and isinstance(self._rows.item, (data.DocumentView, data.NewPicture)):
            self._look(self._rows.item)
        elif key == "left":
            self.host.back()
        elif self._adding is None:
            self._rows.steer(key)

    def back(self) -> bool:
        """From what it shows to the list."""
        if self._adding is None:
            return False
        self._adding = None
        return True

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap takes the row."""
        if event.again:
            self.take("")

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """The question names what Enter does."""
        event.stop()
        self.host.show_foot()

    def _take_path(self, words: str) -> None:
        path = (self._folder or self.sitting.folder) / Path(words).expanduser()
        if path.is_dir():
            data.keep_folder(self.sitting.record, self.sitting.by, path.resolve())
            self._folder = path.resolve()
            self.host.say(f"{self._folder} is now your folder of pictures.")
            self.opened()
        elif path.is_file():
            self._adding = path
        else:
            self.host.line.put(words)
            self.host.say(f"There is no file or folder {path}.")

    def _take_shows(self, path: Path, words: str) -> None:
        shows = chosen(words, data.SHOWS) if words else "whole"
        if shows is None:
            self.host.say(f'"{words}" is none of: {", ".join(data.SHOWS)}.')
            return
        self._adding = None
        by, tag = self.sitting.by, self._tag
        self.write(
            lambda session: data.attach_files(session, by, tag, [path], shows),
            lambda _: f"{tag}: {path.name} attached, shows {shows}. Ctrl+Z takes it back.",
            then=lambda _: self.opened(),
            files=[path],
        )

    def _open(self, document: data.DocumentView) -> None:
        self.read(
            "open",
            lambda session: open_outside(data.original(session, document), document.digest, document.media_type),
            lambda _: self.host.say(f"A copy of {document.file_name} is opened with the viewer of this machine."),
        )

    def _look(self, item: data.DocumentView | data.NewPicture) -> None:
        def show(held: bytes) -> None:
            problem: Exception | None = None
            try:
                with self.app.suspend():
                    try:
                        print_picture(held)
                    except Exception as caught:  # the browser comes back only if the block ends well
                        problem = caught
            except SuspendNotSupported:
                problem = terminal_without_pictures()
            if problem is not None:
                raise problem

        if isinstance(item, data.NewPicture):
            self.work("look", item.path.read_bytes, show)
        else:
            self.read("look", lambda session: data.original(session, item), show)

    def _show(self, papers: data.Papers) -> None:
        self._papers = papers
        lines: list[object] = []
        if papers.new:
            lines += ["New in the folder, not on record", *papers.new, ""]
        lines += ["Attached", *papers.attached] if papers.attached else ["No picture or paper on record."]
        self._rows.fill(Fixed(lines))
        none = "No folder of pictures chosen yet: type its path."
        self._heading.update(shown(papers.why_none or (str(self._folder) if self._folder else none)))
        self.host.show_foot()


def _draw(row: object, _: int) -> Content:
    if isinstance(row, data.NewPicture):
        return shown(f"{data.shown_time(row.at)}  {row.path.name}")
    if isinstance(row, data.DocumentView):
        return Content.assemble(
            shown(f"{short_day(row.on):<12} {row.shows:<13} "), shown(row.file_name), (f"  {row.short}", "$text-muted")
        )
    return shown(str(row), "bold")
