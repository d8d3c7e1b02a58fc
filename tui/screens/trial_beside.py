"""In: beside a sheet's trial, its headers and what each stands for; and the rows of one line with all their cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from inventory.errors import Refused
from tui.data import trial as data
from tui.data.trial import Trial
from tui.data.trial_told import HeadLine
from tui.questions import Question, chosen
from tui.safe import hanging, plain
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.progress import progress_to
from tui.widgets.rows import Fixed, RowList
from tui.widgets.sheet_lines import detail_of, drawn, headers_of

__all__ = ["SheetHeaders", "SheetRows"]

_AS_IT_IS = "keep as it is"
_IN_FULL = 500


class SheetHeaders(View):
    """The headers; a change is an answer as any other, so the trial takes it back with Esc."""

    DEFAULT_CSS = "SheetHeaders > .examples { height: 2; padding: 0 1; }"

    def __init__(self, sitting: Sitting, of: tuple[Trial, Callable[[Trial], None]]) -> None:
        super().__init__(sitting)
        self._trial, self._took = of
        self._rows = RowList(drawn, choosable=lambda row: isinstance(row, HeadLine))
        self._examples = Static(classes="examples")

    def compose(self) -> ComposeResult:
        """The headers, and examples of the chosen one."""
        yield self._rows
        yield self._examples

    def where(self) -> str:
        """The file."""
        return f"In: {self._trial.seen.path.name}, its headers"

    def question(self) -> Question:
        """What the chosen header stands for."""
        item = self._rows.item
        if isinstance(item, HeadLine) and item.may_be:
            return Question(f'"{item.header}" stands for', (*item.may_be, _AS_IT_IS))
        return Question("Another column for this header:", enter="back to the trial")

    def keys(self) -> tuple[str, ...]:
        """Tab goes back."""
        return ("Enter", "Esc", "Up", "Down", "Tab", "Space", "?")

    def key_words(self) -> Mapping[str, str]:
        """What Tab does here."""
        return {"Tab": "trial"}

    def help_text(self) -> tuple[str, ...]:
        """The headers."""
        return (
            "Each header of the file, the similarity (100: spelled as known), and the column it stands for. To change "
            "one, choose it and type the name of the column, or extra to keep it under its own name. Below are the "
            "first rows, as they will be read. In the trial, Esc takes a change back.",
        )

    def opened(self) -> None:
        """Show the headers."""
        self._rows.fill(Fixed(headers_of(self._trial)), cursor=self._rows.cursor)
        self._draw_examples()
        self.host.show_foot()

    def steer(self, key: str) -> None:
        """Choose a header; Tab goes back to the trial."""
        if key in ("tab", "left"):
            self.host.back()
        else:
            self._rows.steer(key)

    def take(self, text: str) -> None:
        """Another column for the chosen header."""
        words, item = text.strip(), self._rows.item
        if not words or not isinstance(item, HeadLine):
            self.host.back()
            return
        choices = (*item.may_be, _AS_IT_IS) if item.may_be else ()
        picked = chosen(words, choices)
        try:
            column = data.KEPT if _AS_IT_IS in (picked, words.casefold()) else data.column_of(picked or words)
        except Refused as refused:
            self.host.line.put(text)
            self.host.say_refused(refused)
            return
        self._change(item.header, column)

    def tapped(self, event: RowList.Tapped) -> None:
        """A tap only chooses."""

    def on_row_list_moved(self, event: RowList.Moved) -> None:
        """Another header is chosen."""
        self._draw_examples()
        self.host.show_foot()

    def on_resize(self) -> None:
        """Wrap again."""
        self.call_after_refresh(self._draw_examples)

    def _change(self, header: str, column: str) -> None:
        record, path, report_progress = self.sitting.record, self._trial.seen.path, progress_to(self)
        steps = (*self._trial.steps, data.as_column(header, column))

        def then(trial: Trial) -> None:
            self._trial = trial
            self._took(trial)
            self.opened()
            self.host.say(f'"{header}" is {"kept as it is" if column == data.KEPT else f"read as {column}"}.')

        self.work("try", lambda: data.tried(record, path, steps, report_progress), then)

    def _draw_examples(self) -> None:
        item = self._rows.item
        says = item.examples if isinstance(item, HeadLine) else ""
        lines = hanging("For example: ", says, max(self.size.width - 4, 30)) if says else []
        self._examples.update(Content("\n").join(lines[:2]))


class SheetRows(View):
    """The rows that a line of the trial touches, with all their cells."""

    def __init__(self, sitting: Sitting, of: tuple[Trial, object]) -> None:
        super().__init__(sitting)
        self._trial, self._line = of
        self._scroll = VerticalScroll(can_focus=False)
        self._text = Static()

    def compose(self) -> ComposeResult:
        """One text."""
        with self._scroll:
            yield self._text

    def where(self) -> str:
        """The file."""
        return f"In: {plain(self._trial.seen.path.name)}, rows"

    def question(self) -> Question:
        """Nothing is asked."""
        return Question("", enter="back to the trial")

    def keys(self) -> tuple[str, ...]:
        """Up and Down scroll."""
        return ("Enter", "Esc", "Up", "Down", "Left", "?")

    def key_words(self) -> Mapping[str, str]:
        """What the keys do here."""
        return {"Down": "scroll", "Left": "back"}

    def help_text(self) -> tuple[str, ...]:
        """The rows."""
        return ("The rows of the file that this line is about, with all their cells, each under its header.",)

    def on_resize(self) -> None:
        """Wrap at the new width."""
        lines = detail_of(self._trial, self._line, _IN_FULL, max(self.size.width - 4, 20), 0, full=True)
        self._text.update(Content("\n").join(lines))

    def steer(self, key: str) -> None:
        """Scroll; Left goes back."""
        height = max(self._scroll.size.height - 1, 1)
        step = {"up": -1, "down": 1, "pageup": -height, "pagedown": height}.get(key)
        if key in ("left", "right"):
            self.host.back()
        elif step is not None:
            self._scroll.scroll_to(y=round(self._scroll.scroll_y) + step, animate=False)

    def take(self, text: str) -> None:
        """Back to the trial."""
        self.host.close()
