"""Who is working: the name that stands under everything written from here on."""

from __future__ import annotations

from textual.app import ComposeResult

from inventory.store.text import clean
from tui.data.acts import hands
from tui.questions import Question
from tui.safe import shown
from tui.sitting import Sitting
from tui.view import View
from tui.widgets.rows import Fixed, RowList

__all__ = ["HandOver"]


class HandOver(View):
    """The people who have written in this record; another name can be typed."""

    def __init__(self, sitting: Sitting) -> None:
        super().__init__(sitting)
        self._names: list[str] = []
        self._rows = RowList(lambda name, _: shown(name))

    def compose(self) -> ComposeResult:
        """The names."""
        yield self._rows

    def where(self) -> str:
        """The view's name."""
        return "Hand over"

    def question(self) -> Question:
        """Who works from here on."""
        return Question("Who is working?", enter=f"stays {self.sitting.by}" if not self._chosen() else "takes the name")

    def explains(self) -> tuple[str, ...]:
        """What the name is for."""
        return (
            "Everything written carries the name in row 1. When somebody else takes over this machine, put their name "
            "there: choose it, or type a new one. What was written before keeps its name; each person has drafts of "
            "their own.",
        )

    def opened(self) -> None:
        """Read the names."""
        self.read("names", hands, self._show)

    def steer(self, key: str) -> None:
        """Choose a name."""
        self._rows.steer(key)

    def take(self, text: str) -> None:
        """Take the name typed, or the one chosen."""
        name = clean(text) or self._chosen() or self.sitting.by
        self.sitting.by = name
        self.host.close()
        self.host.say(f"{name} is working now.")

    def tapped(self, event: RowList.Tapped) -> None:
        """A second tap takes the name."""
        if event.again:
            self.take("")

    def _chosen(self) -> str:
        return str(self._rows.item or "")

    def _show(self, names: list[str]) -> None:
        ordered = [self.sitting.by, *(name for name in names if name != self.sitting.by)]
        self._rows.fill(Fixed(ordered))
