"""What the views of papers that leave the house share: looked at, written to a file, given to somebody."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from inventory.papers.page import paper_named
from tui.data import leaving as data
from tui.questions import Question, chosen
from tui.safe import plain, shown
from tui.sitting import Sitting
from tui.view import View

if TYPE_CHECKING:
    from inventory.errors import Refused

__all__ = ["Leaving"]

_REPLACE = ("replace it", "another name")
#: What takes longer than this says that it is being done. Seconds.
_SILENT_S = 0.3
#: The shortest time between two displays of progress. Seconds.
_EVERY_S = 0.5


class Leaving(View):
    """One paper: a preview, then the file, then to whom it was given. `formats`: how the file may end, the first first.

    A paper of another sort says what it shows and asks before the file, and how it is written.
    """

    asks_what_settles = False
    formats: tuple[str, ...] = ("pdf",)
    DEFAULT_CSS = "Leaving > VerticalScroll { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }"

    class Progress(Message):
        """How far the writing is."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        #: The open question: one of the paper's own, or file, taken, given.
        self.at = ""
        self._path, self._over = Path(), False
        self._paper: data.Written | None = None
        self._given: tuple[str, ...] = ()
        self._busy = ""
        self._body = Static()
        self._scroll = VerticalScroll(can_focus=False)

    # What a paper of one sort says.

    def name_offered(self) -> str:
        """The name of the file that Enter alone takes."""
        raise NotImplementedError

    def preview(self) -> data.Said:
        """What is shown before it is written."""
        raise NotImplementedError

    def own_question(self) -> Question:
        """The question at one of the paper's own steps."""
        raise NotImplementedError

    def take_own(self, words: str) -> None:
        """The answer at one of the paper's own steps."""
        raise NotImplementedError

    def write_paper(self, path: Path, overwrite: bool) -> data.Written:
        """Write it; not in the thread of the screen."""
        raise NotImplementedError

    def back_own(self) -> bool:
        """One step back within the paper's own; False if there is none."""
        return False

    # The view.

    def compose(self) -> ComposeResult:
        """The paper."""
        with self._scroll:
            yield self._body

    def keys(self) -> tuple[str, ...]:
        """No Right: nothing can be unfolded."""
        return ("Enter", "Esc", "Up", "Down", "Space", "?")

    def question(self) -> Question:
        """The open question."""
        if self.at == "file":
            ends = f" ({', '.join(self.formats)})" if len(self.formats) > 1 else ""
            return Question(f"File name{ends}:", enter=self.name_offered())
        if self.at == "taken":
            return Question(f"{self._path.name} exists already.", _REPLACE)
        if self.at == "given":
            asked = ("Given to whom else?", "nobody else") if self._given else ("Given to whom?", "not yet")
            return Question(asked[0], enter=asked[1])
        return self.own_question()

    def on_resize(self) -> None:
        """Redraw at the new width."""
        self.call_after_refresh(self.redraw)

    def steer(self, key: str) -> None:
        """Scroll; Left goes back."""
        if key == "left":
            self.host.back()
        elif key in ("up", "down", "pageup", "pagedown"):
            step = max(self._scroll.size.height - 1, 1) if key.startswith("page") else 1
            self._scroll.scroll_relative(y=-step if key in ("up", "pageup") else step, animate=False)
        elif key in ("home", "end"):
            self._scroll.scroll_to(y=0 if key == "home" else self._scroll.max_scroll_y, animate=False)

    def back(self) -> bool:
        """From the file to the preview; what is written cannot be called back."""
        if self.at == "taken":
            self.at = "file"
        elif self.at == "file":
            self.at = "look"
            self.redraw()
        else:
            return self.at != "given" and self.back_own()
        return True

    def take(self, text: str) -> None:
        """An answer."""
        words = plain(text).strip()
        if self.at == "file":
            self._path = self.sitting.folder / Path(words or self.name_offered()).expanduser()
            self.at = "taken" if self._path.is_file() else self.at
            if self.at == "file":
                self._write(overwrite=False)
        elif self.at == "taken":
            picked = chosen(words, _REPLACE)
            if picked == _REPLACE[0]:
                self._write(overwrite=True)
            elif picked == _REPLACE[1]:
                self.at = "file"
        elif self.at == "given":
            self._give(words)
        else:
            self.take_own(words)
        self.host.show_foot()

    def write_now(self) -> None:
        """Write it to the file named last, after something more was decided."""
        self._write(overwrite=self._over)

    def _write(self, *, overwrite: bool) -> None:
        path, self._over = self._path, overwrite
        self.while_busy(f"Writing {path.name}")
        self.at = "file"
        self.host.write(self, lambda: self.write_paper(path, overwrite), self._message, then=self._is_written)

    def _message(self, paper: data.Written) -> str:
        self._busy = ""
        return f"{paper_named(paper.what, paper.number)} is written: {self._path.name}. It is not given out yet."

    def _is_written(self, paper: data.Written) -> None:
        self._paper, self.at = paper, "given"
        self.redraw()

    def _give(self, to: str) -> None:
        paper = self._paper
        assert paper is not None
        if not to:
            self.host.close()
            says = f"given to {', '.join(self._given)}" if self._given else "not given out yet"
            self.host.say(f"{paper_named(paper.what, paper.number)}: {self._path}, {says}.")
            return
        record, by = self.sitting.record, self.sitting.by

        def told(name: str) -> None:
            self._given = (*self._given, name)
            self.redraw()

        self.host.write(
            self,
            lambda: data.give(record, by, paper, to),
            lambda name: f"{paper_named(paper.what, paper.number)}: given to {name} today.",
            then=told,
        )

    # What the papers use.

    def while_busy(self, words: str) -> None:
        """Say what is being done, if it is not done soon."""
        self._busy = words
        self.set_timer(_SILENT_S, lambda: self.host.say(words) if self._busy == words else None)

    def progress(self, path: Path) -> Callable[[int, int], None]:
        """Reports how many items are drawn; called in the thread that writes, it tells the screen now and then."""
        begun = last = 0.0

        def report(done: int, total: int) -> None:
            nonlocal begun, last
            now = monotonic()
            begun = begun or now
            if now - begun > _SILENT_S and now - last > _EVERY_S:
                last, left = now, round((total - done) * (now - begun) / max(done, 1))
                words = f"Writing {path.name}: item {done:,} of {total:,}, about {max(left, 1)} s left"
                self.post_message(self.Progress(words))

        return report

    def on_leaving_progress(self, event: Progress) -> None:
        """Say how far it is."""
        event.stop()
        if self._busy:
            self.host.say(event.words)

    def done(self) -> None:
        """What was being done is done."""
        self._busy = ""
        self.host.say("")

    def was_refused(self, refused: Refused) -> None:
        """It was not done: nothing is being done any more."""
        self._busy = ""

    def redraw(self) -> None:
        """Show the paper: what was written, else the preview."""
        width = max(self.size.width - 4, 30)
        said = self._paper.says if self._paper is not None else self.preview()
        lines: list[Content] = []
        for heading, rest in said:
            lines += [Content("")] if lines else []
            lines += [part.stylize("bold") for part in shown(heading).wrap(width)]
            for line in rest:
                first, *more = shown(line).wrap(width - 4)
                lines += [Content("  ") + first, *(Content("    ") + part for part in more)]
        self._body.update(Content("\n").join(lines))
        self._scroll.scroll_home(animate=False)
        self.host.show_foot()
