"""Progress of a long read: what is reported while it runs, and the line that people see. It reads no clock itself."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["CELLS", "PLANNING", "READING", "WRITING", "OnProgress", "ignore_progress", "progress_line"]

#: Called with the step, how much of it is done, and how much there is (None: not known yet).
OnProgress = Callable[[str, int, int | None], None]
READING, CELLS = "reading the file", "reading the cells"
PLANNING, WRITING = "comparing with the record", "writing"


def ignore_progress(_step: str, _done: int, _total: int | None) -> None:
    """Reports nothing."""


def progress_line(step: str, done: int, total: int | None, seconds: float, counted: str = "rows") -> str:
    """The step, how much of it is done, rows (or what is `counted`) a second, and the time left.

    `seconds`: since the step began. Rate and time left are missing until something is done.
    """
    if total is None:
        return step
    line = f"{step}: {done:,} of {total:,} {counted}"
    if done <= 0 or seconds <= 0:
        return line
    rate = done / seconds
    return f"{line}, {rate:,.0f} a second, {_time_left((total - done) / rate)} left"


def _time_left(seconds: float) -> str:
    whole = max(1, round(seconds))
    return f"{whole} s" if whole < 100 else f"{round(whole / 60)} min"
