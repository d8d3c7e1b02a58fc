"""Scanned or typed: told by the form of what came, and by time only where that makes us more careful. Pure.

A scanner types very fast and ends with Enter, Tab or a line feed of its own. That ending may finish a
tag; it never confirms a write.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["BURST_GAP_S", "ENTER_GAP_S", "Strokes", "Taken", "confirms", "is_repeat", "tag_in_answer"]

#: Characters no further apart than this came from a scanner; a fast hand stays over it. Seconds.
BURST_GAP_S = 0.03
#: An Enter this soon after the last character is a scanner's own, and reads only. Seconds.
ENTER_GAP_S = 0.05

_TAG_LENGTHS = (7, 6)


@dataclass(frozen=True)
class Taken:
    """A tag that was scanned into an answer: the answer as it was before, and the tag."""

    answer: str
    tag: str


class Strokes:
    """When each character on the line came, as far as it was typed at its end."""

    def __init__(self) -> None:
        self.times: list[float] = []

    def typed(self, at: float, count: int = 1) -> None:
        """Characters were added at the end of the line."""
        self.times.extend([at] * count)

    def forget(self) -> None:
        """The line was emptied or changed in its middle: what stands there is no scan."""
        self.times.clear()

    @property
    def last(self) -> float | None:
        """When the last character came."""
        return self.times[-1] if self.times else None

    @property
    def burst(self) -> int:
        """How many characters at the end came in one burst."""
        if not self.times:
            return 0
        count = 1
        for before, after in zip(reversed(self.times[:-1]), reversed(self.times[1:]), strict=True):
            if after - before > BURST_GAP_S:
                break
            count += 1
        return count


def confirms(last_character: float | None, enter: float) -> bool:
    """Whether an Enter was pressed by a hand: not within 50 ms of the last character."""
    return last_character is None or enter - last_character >= ENTER_GAP_S


def is_repeat(previous_ending: float | None, ending: float) -> bool:
    """Whether an ending belongs to the one before: of Enter and line feed the second is dropped."""
    return previous_ending is not None and ending - previous_ending < ENTER_GAP_S


def tag_in_answer(text: str, strokes: Strokes, is_tag: Callable[[str], bool]) -> Taken | None:
    """The tag that was scanned behind the beginning of an answer, or None. A slow one stays text."""
    burst = min(strokes.burst, len(text))
    for length in _TAG_LENGTHS:
        if length <= burst and length < len(text) and is_tag(text[-length:]):
            return Taken(text[:-length], text[-length:])
    return None
