"""How far a long read is: what is told while it goes on, and the sentence people see. It knows no clock of its own."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["CELLS", "PLANNING", "READING", "WRITING", "Tell", "how_far", "silent"]

#: Told of what is being done, how much of it is done, and how much there is (None: not known yet).
Tell = Callable[[str, int, int | None], None]
READING, CELLS = "reading the file", "reading the cells"
PLANNING, WRITING = "comparing with the record", "writing"


def silent(_what: str, _done: int, _total: int | None) -> None:
    """Tells nobody."""


def how_far(what: str, done: int, total: int | None, seconds: float) -> str:
    """What is being done; of what can be counted how much, how fast (rows a second), and the time left.

    `seconds`: since it was begun. Nothing is foretold of the first moment.
    """
    if total is None:
        return what
    told = f"{what}: {done:,} of {total:,} rows"
    if done <= 0 or seconds <= 0:
        return told
    rate = done / seconds
    return f"{told}, {rate:,.0f} a second, {_left((total - done) / rate)} left"


def _left(seconds: float) -> str:
    whole = max(1, round(seconds))
    return f"{whole} s" if whole < 100 else f"{round(whole / 60)} min"
