"""What work on a part could have mended, from its words and what is on record of the same day.

Pure. Which words mean which sort of mending, and what each sort needs, is data. A word alone mends nothing that needs a
paper.
"""

from __future__ import annotations

from inventory.evidence.inputs import SPECIALIST
from inventory.reference.modes import FailureData, words_of

__all__ = ["REPORT", "is_specialist", "mendings_of"]

REPORT = "report"
_RANK = ("", REPORT, SPECIALIST)


def mendings_of(text: str, shown: str, data: FailureData, *, outside: bool = False) -> frozenset[str]:
    """The sorts of mending that work with these words was.

    `shown` is the best that is on record of that day: nothing, "report" or "specialist's paper". `outside`: the work
    was not on the unit itself.
    """
    words = _words(text)
    if any(f" {denied} " in words for denied in data.mending_denied):
        return frozenset()
    at_hand = _RANK.index(shown)
    return frozenset(
        sort.name
        for sort in data.mendings
        if (sort.outside or not outside)
        and _RANK.index(sort.needs) <= at_hand
        and any(f" {phrase} " in words for phrase in sort.phrases)
    )


def is_specialist(text: str, data: FailureData) -> bool:
    """Whether the words say that a specialist did it."""
    return not data.specialist_words.isdisjoint(_words(text).split())


def _words(text: str) -> str:
    return f" {words_of(text)} "
