"""The letters that a noted match code allows: one, several ("O or Q", "O/Q", "OQ?"), or none. Pure."""

from __future__ import annotations

import re

from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import LOOK_ALIKES, squeeze

__all__ = ["alike_letters", "in_doubt", "letters_in", "mistaken_for"]

#: Between the codes of a set, in English, German, French and Italian; and the sign of a doubt.
_DOUBT = re.compile(r"\s+(?:(?i:or|oder|ou|oppure)|o)\s+|[?/,|]+")
#: Two characters and a question mark: either of them, or both as one code. More only if all look alike.
_RUN_TOGETHER = re.compile(r"(\w{2,})\s*\?+")
#: Characters of a noted code that are looked at.
_LONGEST = 200
_GROUP = {sign: group for group in LOOK_ALIKES for sign in group}


def in_doubt(noted: str) -> bool:
    """Whether a noted code names several letters, or has the sign of a doubt."""
    return _DOUBT.search(" ".join(noted.split())) is not None


def letters_in(noted: str) -> tuple[str, ...]:
    """The folded codes that a noted one allows: several for a set, none if it says nothing."""
    if nothing_in(noted):
        return ()
    noted = " ".join(noted.split())[:_LONGEST]  # a run of thousands of blanks would be searched from each of them
    together = _RUN_TOGETHER.fullmatch(noted)
    signs = squeeze(together[1]).upper() if together is not None and not nothing_in(together[1]) else ""
    if len(signs) == 2 or (signs and all(alike_letters(signs[0], sign) for sign in signs)):
        return tuple(dict.fromkeys((*signs, signs)))
    words = (squeeze(word).upper() for word in _DOUBT.split(noted) if not nothing_in(word))
    return tuple(dict.fromkeys(word for word in words if word))


def alike_letters(one: str, other: str) -> bool:
    """Whether two codes have the same length and the same or look-alike characters in each place."""
    return len(one) == len(other) and all(a in _GROUP.get(b, b) for a, b in zip(one, other, strict=True))


def mistaken_for(code: str) -> tuple[str, ...]:
    """The characters that look like those of a folded code when worn."""
    return tuple(dict.fromkeys(other for sign in code for other in _GROUP.get(sign, sign) if other != sign))
