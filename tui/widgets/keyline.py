"""The keys at the foot, word by word; each word can be tapped in place of its key."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import events
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Static

from tui.acts import KeyUse

if TYPE_CHECKING:
    from tui.frame import Frame

__all__ = ["KeyLine"]


class _Word(Static):
    """One key and what it does."""

    ALLOW_SELECT = False

    def __init__(self, use: KeyUse) -> None:
        words = f" {use.words}" if use.words else ""
        super().__init__(Content.assemble((use.shown, "bold"), words))
        self._key = use.key

    def on_click(self, event: events.Click) -> None:
        """Press the key."""
        event.stop()
        cast("Frame", self.screen).press(self._key)


class KeyLine(Horizontal):
    """The row of keys. It is filled anew only when the words change."""

    def __init__(self) -> None:
        super().__init__(id="keys")
        self._uses: tuple[KeyUse, ...] = ()

    def put(self, uses: tuple[KeyUse, ...]) -> None:
        """Show these keys."""
        if uses == self._uses or not self.is_attached:
            return
        self._uses = uses
        self.query(_Word).remove()
        self.mount_all(_Word(use) for use in uses)
