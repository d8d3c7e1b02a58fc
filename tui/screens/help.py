"""What `?` shows: an explanation of the view, its cautions in full, the keys."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.content import Content

from tui.acts import ACTS, KEYS
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["Help"]


class Help(View):
    """The explanation of a view."""

    def __init__(self, sitting: Sitting, of: View) -> None:
        super().__init__(sitting)
        self._of = of
        self._rows = RowList(lambda line, _: line if isinstance(line, Content) else Content(str(line)))
        self._rows.steered = False

    def compose(self) -> ComposeResult:
        """One column of text."""
        yield self._rows

    def where(self) -> str:
        """Which view is explained."""
        return f"Help: {self._of.where()}"

    def question(self) -> Question:
        """Nothing is asked."""
        return Question("Esc goes back:")

    def on_resize(self) -> None:
        """Wrap the text at the new width."""
        width = max(self.size.width - 4, 20)
        lines: list[Content] = []
        for paragraph in self._of.help_text():
            lines += [*shown(paragraph).wrap(width), Content("")]
        for care in self._of.cautions_in_full():
            lines += [*shown(care, "bold").wrap(width), Content("")]
        lines.append(Content("Keys, while the line is empty").stylize("bold"))
        lines += [line for use in KEYS for line in Content(f"{use.shown:<7}{use.explained}").wrap(width)]
        last = Content("Ctrl+Z takes back your last act. Ctrl+P opens the palette. Ctrl+Q leaves; drafts are kept.")
        lines += last.wrap(width)
        lines += [Content(""), Content("After Space").stylize("bold")]
        for act in ACTS:
            why = self._of.host.reason(act)
            lines.append(Content(f"{act.letter.upper():<7}{act.words}{f'  ({why})' if why else ''}"))
        self._rows.fill(Fixed(lines))

    def steer(self, key: str) -> None:
        """Scroll."""
        height = max(self._rows.size.height - 1, 1)
        step = {"up": -1, "down": 1, "pageup": -height, "pagedown": height}.get(key)
        if step is not None:
            self._rows.scroll_to(y=round(self._rows.scroll_y) + step, animate=False)

    def take(self, text: str) -> None:
        """Enter goes back too."""
        self.host.close()
