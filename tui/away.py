"""The record is away (a server, a disk or share): since when, what waits meanwhile, and that it is back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.message import Message

from inventory.errors import Refused
from inventory.store.connection.readonly import fetch_all
from inventory.store.days.clock import now
from tui.words import many

if TYPE_CHECKING:
    from textual.screen import Screen
    from textual.timer import Timer

    from inventory.store.record import Record

__all__ = ["Away", "LookedFor", "Waiting", "not_connected"]

#: Refusals that say that the record is not there at the moment; what they refused was not written.
_NOT_CONNECTED = ("server-away", "server-full", "unknown-host", "record-away")
_LOOK_EVERY_S = 4.0


def not_connected(problem: object) -> bool:
    """Whether something was refused because the record is not there at the moment."""
    return isinstance(problem, Refused) and problem.code in _NOT_CONNECTED


@dataclass(frozen=True)
class Waiting:
    """What waits in a view whose questions go on while the record is away. `answers`: how many.

    `confirmed`: the last Enter was pressed, so all of it is written when the record is back.
    """

    answers: int
    confirmed: bool = False


class LookedFor(Message):
    """The record was looked for in a thread: whether it is there."""

    def __init__(self, there: bool) -> None:
        super().__init__()
        self.there = there


class Away:
    """Whether the record is away. `since`: the time of the day at which that was noticed, "" while it is there."""

    def __init__(self, screen: Screen[None], record: Record) -> None:
        self.since = ""
        self._screen = screen
        self._record = record
        self._timer: Timer | None = None
        self._looking = False

    def begin(self) -> None:
        """Note that the record is away, and look for it now and then."""
        if not self.since:
            self.since = f"{now().astimezone():%H:%M}"
            self._timer = self._screen.set_interval(_LOOK_EVERY_S, self.look)

    def end(self) -> None:
        """Note that the record is there."""
        self.since = ""
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def look(self) -> None:
        """Look in a thread whether the record is there; the screen gets `LookedFor`. One look at a time."""
        if self._looking or not self.since:
            return
        self._looking = True

        def run() -> None:
            try:
                self._screen.post_message(LookedFor(_is_there(self._record)))
            finally:
                self._looking = False

        self._screen.run_worker(run, thread=True, exit_on_error=True, group="look for the record")

    def says(self, waiting: Waiting | None, *, kept: bool) -> str:
        """Since when, and what waits where; None: some answers. `kept`: they are a draft on this machine."""
        says = f"Not connected to the workshop record since {self.since}."
        where = "on this machine" if kept else "on this screen only"
        stay = "" if kept else " Leave this screen open."
        if waiting is None:
            or_later = ", here or from Today" if kept else ""
            return f"{says} Your answers so far are kept {where}: go on when it is back{or_later}.{stay}"
        if waiting.confirmed:
            return f"{says} The part waits {where}. It is logged when the record is back, and you are told.{stay}"
        if not waiting.answers:
            return f"{says} You can go on with a label that is printed: scan it or type it."
        wait, them = ("waits", "it") if waiting.answers == 1 else ("wait", "them")
        told = f"You are told when it is back; the last Enter logs {them}."
        return f"{says} You can go on; {many(waiting.answers, 'answer')} {wait} {where}. {told}{stay}"


def _is_there(record: Record) -> bool:
    try:
        with record.readonly() as source:
            fetch_all(source, "SELECT version_num FROM alembic_version")
    except Refused as refused:
        return not not_connected(refused)
    return True
