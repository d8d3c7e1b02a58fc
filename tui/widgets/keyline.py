"""The key line at the foot; each word can be tapped instead of its key."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.widgets import Static

from tui.acts import KeyUse
from tui.host import host_of

__all__ = ["KeyLine"]


class KeyLine(Static):
    """The key line as one widget: one widget for each word would be a third of the first screen's layout."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__(id="keys")
        self._shown: tuple[tuple[KeyUse, ...], int] = ((), 0)
        self._ends: list[int] = []

    def put(self, uses: tuple[KeyUse, ...], gap: int) -> None:
        """Show these keys, with `gap` blanks between them."""
        if (uses, gap) == self._shown:
            return
        self._shown = uses, gap
        self._ends = []
        row = Content("")
        for use in uses:
            row += Content.assemble((use.shown, "bold"), f" {use.words}" if use.words else "", " " * gap)
            self._ends.append(row.cell_length)
        self.update(row, layout=False)

    def on_click(self, event: events.Click) -> None:
        """Press the tapped key."""
        event.stop()
        uses, gap = self._shown
        for use, end in zip(uses, self._ends, strict=True):
            if event.x < end - gap:
                host_of(self.screen).press(use.key)
                return
            if event.x < end:
                return
