"""The browser: the app that holds one frame. Only what concerns all views stands here."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from typing import Any, ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inventory.errors import Refused
from inventory.store.record import Record
from tui.frame import Frame
from tui.palette import Acts
from tui.sitting import Sitting, who_by_default

__all__ = ["Browser"]


class Browser(App[None]):
    """The terminal browser on one record."""

    TITLE = "matchmark"
    CSS_PATH = "frame.tcss"
    ENABLE_COMMAND_PALETTE = True
    COMMANDS = App.COMMANDS | {Acts}
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+q", "leave", "Leave", priority=True, show=False)]

    def __init__(self, record: Record, by: str | None = None) -> None:
        super().__init__()
        self.animation_level = "none"
        self.sitting = Sitting(record, by or who_by_default())
        self.frame = Frame(self.sitting)

    @property
    def stopped_by(self) -> Exception | None:
        """What broke the browser, where it did not leave by itself."""
        return self._exception

    def _fatal_error(self) -> None:
        """Leave without the library's own listing: it holds the values of variables, which are people's."""
        self._close_messages_no_wait()

    def get_default_screen(self) -> Screen[Any]:
        """The frame is the only screen."""
        return self.frame

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """What the palette offers beside the acts."""
        yield SystemCommand("Theme", "Other colours, for the light there is", self.action_change_theme)
        yield SystemCommand("Leave", "Close the browser; drafts stay", self.action_leave)

    def action_leave(self) -> None:
        """Leave; what was begun stays as a draft, and it is noted that it was left on purpose."""
        with suppress(Refused):  # one may leave, whatever the disk does
            self.sitting.drafts.leave()
        self.exit()
