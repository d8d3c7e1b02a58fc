"""The browser: the app with its one screen, the frame."""

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
        """The error that stopped the browser; None if the user left it."""
        return self._exception

    def _fatal_error(self) -> None:
        """Leave without the library's traceback: it shows the values of variables, which may be private."""
        self._close_messages_no_wait()

    def get_default_screen(self) -> Screen[Any]:
        """The frame is the only screen."""
        return self.frame

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """The palette's entries besides the acts."""
        yield SystemCommand("Theme", "Other colours, for bright or dim light", self.action_change_theme)
        yield SystemCommand("Leave", "Close the browser; drafts are kept", self.action_leave)

    def on_unmount(self) -> None:
        """Let another browser have the drafts."""
        self.sitting.end()

    def action_leave(self) -> None:
        """Leave the browser; mark the drafts as left on purpose."""
        with suppress(Refused):  # a full disk must not keep anybody from leaving
            self.sitting.drafts.leave()
        self.exit()
