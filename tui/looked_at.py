"""Answers that only a look at the part gives: a seal, the serial, the condition. Pure.

Enter alone answers none of them, and a seal never takes a digit: a rhythm of keys must not write what nobody looked at.
"""

from __future__ import annotations

import re

from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import fold

__all__ = [
    "CONDITION",
    "NOT_LOOKED_AT",
    "SEALS",
    "SEAL_WORDS",
    "SERIAL",
    "SERIALS",
    "condition",
    "seal_state",
    "serial",
]

#: The states of a seal, each by its two letters.
SEALS = {
    "in": "intact",
    "di": "disturbed",
    "mi": "missing",
    "re": "renewed",
    "nf": "never fitted",
    "ns": "not seen",
}
NOT_LOOKED_AT = "not looked at"
#: Why there is no serial, each by its two letters.
SERIALS = {"il": "not legible", "no": "none on it", "nl": NOT_LOOKED_AT}
#: The states with their letters in capitals, short enough to stand before the line.
SEAL_WORDS = "INtact  DIsturbed  MIssing  REnewed  NF never fitted  NS not seen"
#: What is said to an answer that is none.
SERIAL = "Type the serial (one digit: serial 7), or: il not legible, no none on it, nl not looked at."
CONDITION = "First 0, 1, 2 or 3 (0 is the best), then the damage: 1 stud bent. nl: not looked at."
_CONDITION = re.compile(r"[0-3](?![^\s,;:])[\s,;:]*(.*)", re.DOTALL)


def seal_state(text: str) -> str | None:
    """The state of a seal that a text means: two letters, or the word. None if it is no answer."""
    return _by_letters(text, SEALS)


def serial(text: str) -> str | None:
    """The serial, or why there is none. None if the text is no answer, such as a word that may mean several things.

    One digit is none either, since it may be meant for another question: "serial 7" is 7.
    """
    if (state := _by_letters(text, SERIALS)) is not None:
        return state
    written = re.sub(r"\s*serial\s+(?=\S)", "", text, flags=re.IGNORECASE).strip()
    if len(text.strip()) == 1 and written.isdecimal():
        return None
    nothing = nothing_in(text)
    return {None: written or None, "not legible": "not legible", "none": "none on it"}.get(nothing)


def condition(text: str) -> str | None:
    """The condition, 0 to 3, and the damage in words; or that nobody looked. None if it is no answer."""
    if fold(text) in ("nl", fold(NOT_LOOKED_AT)):
        return NOT_LOOKED_AT
    return text.strip() if _CONDITION.fullmatch(text.strip()) else None


def _by_letters(text: str, states: dict[str, str]) -> str | None:
    typed = fold(text)
    return next((state for letters, state in states.items() if typed in (letters, fold(state))), None)
