"""Tells scanned from typed text: by its form; by time only to be more careful. Pure.

A scanner types very fast and ends with Enter, Tab or a line feed. That ending may complete a tag; it never
pressed_by_hand a write.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from inventory.labels.codes import CarSideCode, read_code

__all__ = ["BURST_GAP_S", "ENTER_GAP_S", "KeyTimes", "ScannedTag", "is_repeat", "pressed_by_hand", "tag_in_answer"]

#: Characters at most this far apart (s) came from a scanner; even fast typing is slower.
BURST_GAP_S = 0.03
#: An Enter this soon (s) after the last character came from the scanner and does not confirm anything.
ENTER_GAP_S = 0.05

_TAG_LENGTHS = (7, 6)
_CAR_SIDE_LENGTH = 9


@dataclass(frozen=True)
class ScannedTag:
    """A tag scanned into an answer: the answer without it, and the tag."""

    answer: str
    tag: str


class KeyTimes:
    """The times of the characters typed at the end of the line."""

    def __init__(self) -> None:
        self.times: list[float] = []

    def typed(self, at: float, count: int = 1) -> None:
        """Characters were added at the end of the line."""
        self.times.extend([at] * count)

    def forget(self) -> None:
        """The line was emptied or edited in the middle: its text is not a scan."""
        self.times.clear()

    @property
    def last(self) -> float | None:
        """The time of the last character."""
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


def pressed_by_hand(last_character: float | None, enter: float) -> bool:
    """Whether Enter was pressed by hand: at least 50 ms after the last character."""
    return last_character is None or enter - last_character >= ENTER_GAP_S


def is_repeat(previous_ending: float | None, ending: float) -> bool:
    """Whether an ending belongs to the one before: of Enter and line feed, the second is ignored."""
    return previous_ending is not None and ending - previous_ending < ENTER_GAP_S


def tag_in_answer(text: str, strokes: KeyTimes, is_tag: Callable[[str], bool]) -> ScannedTag | None:
    """The tag scanned after the start of an answer, or None. A tag typed slowly and a car-side label stay text."""
    if isinstance(read_code(text[-_CAR_SIDE_LENGTH:]), CarSideCode):
        return None
    burst = min(strokes.burst, len(text))
    for length in _TAG_LENGTHS:
        if length <= burst and length < len(text) and is_tag(text[-length:]):
            return ScannedTag(text[:-length], text[-length:])
    return None
