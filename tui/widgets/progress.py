"""The progress of work in the background, as a message to the view that waits for it."""

from __future__ import annotations

from time import monotonic

from textual.message import Message
from textual.widget import Widget

from inventory.sheets.progress import OnProgress, progress_line

__all__ = ["Progress", "progress_to"]

#: The shortest time between two displays (s).
_EVERY_S = 0.2


class Progress(Message):
    """How far the work is."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


def progress_to(view: Widget) -> OnProgress:
    """Reports progress to a view, now and then."""
    began: dict[str, float] = {}
    last = [monotonic()]

    def report_progress(what: str, done: int, total: int | None) -> None:
        now = monotonic()
        began.setdefault(what, now)
        if now - last[0] >= _EVERY_S:
            last[0] = now
            view.post_message(Progress(progress_line(what, done, total, now - began[what])))

    return report_progress
