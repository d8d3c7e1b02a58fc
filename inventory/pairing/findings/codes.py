"""Match codes: whether one was clearly read, whether two are equal, whether they look alike. Pure.

A code is never corrected and two codes are never merged. Look-alikes are pointed out, to be read again. A set of codes
("O or Q", "O/Q", "OQ?") says that the mark is one of them: it rules out all others and confirms none.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from inventory.pairing.candidate import Candidate
from inventory.store.words.nothing import nothing_in
from inventory.store.words.text import LOOK_ALIKES, squeeze

__all__ = [
    "Comparison",
    "Reading",
    "ReadingState",
    "compare",
    "look_alikes",
    "mistaken_for",
    "reading",
    "reading_of",
    "written",
]

Comparison = Literal["equal", "different", "missing"]
ReadingState = Literal[
    "clear", "one of several", "doubtful", "by others", "unreadable", "label gone", "never fitted", "not looked at"
]

#: Between the codes of a set, in English, German, French and Italian; and the sign of a doubt.
_DOUBT = re.compile(r"\s+(?:(?i:or|oder|ou|oppure)|o)\s+|[?/,|]+")
#: Two characters and a question mark: either of them, or both as one code. More only if all look alike.
_RUN_TOGETHER = re.compile(r"(\w{2,})\s*\?+")
_FROM_THE_PART = ("", "part", "dated picture")
_GROUP = {sign: group for group in LOOK_ALIKES for sign in group}


@dataclass(frozen=True)
class Reading:
    """One code. A clear one confirms and rules out; one of several only rules out.

    `may_be` holds the folded codes that the record allows ("O or Q": two; nothing noted: none), also if they do not
    count. `says` is the sentence for a code that is not clear.
    """

    state: ReadingState
    may_be: tuple[str, ...]
    says: str = ""

    @property
    def clear(self) -> bool:
        """Whether it was read from the part or a dated picture, without doubt."""
        return self.state == "clear"

    @property
    def rules_out(self) -> bool:
        """Whether it was read well enough to rule out all codes that it cannot be."""
        return self.state in ("clear", "one of several")


def reading(part: Candidate) -> Reading:
    """How the code of one part counts."""
    may_be, noted = _may_be(part.match_code), part.match_code
    match part.match_code_state:
        case "unreadable":
            return Reading("unreadable", may_be, f"cannot be read{f', perhaps {noted}' if may_be else ''}")
        case "label gone":
            return Reading("label gone", may_be, f"its label is gone{f', once noted as {noted}' if may_be else ''}")
        case "never fitted":
            return Reading("never fitted", may_be, "it never had one")
        case "not looked at":
            return Reading("not looked at", may_be, "not looked at")
    if not noted:
        return Reading("not looked at", (), "not looked at")
    if part.match_code_read_from not in _FROM_THE_PART:
        return Reading("by others", may_be, f"{noted} only by the {part.match_code_read_from}, not read from the part")
    if _DOUBT.search(noted):
        if len(may_be) > 1:
            return Reading("one of several", may_be, f"one of several, noted as {noted}")
        return Reading("doubtful", may_be, f"not clearly read, noted as {noted}")
    if not may_be:
        return Reading("doubtful", (), f"{noted} is noted, which is not a code")
    return Reading("clear", may_be)


def reading_of(code: str) -> Reading:
    """How a code that a paper names counts: clear, unless the paper leaves a doubt."""
    may_be = _may_be(code)
    if len(may_be) > 1:
        return Reading("one of several", may_be, f"one of several on the paper, noted as {code}")
    if _DOUBT.search(code) or not may_be:
        return Reading("doubtful", may_be, f"not clear on the paper, noted as {code}")
    return Reading("clear", may_be)


def compare(ours: Reading, theirs: Reading) -> Comparison:
    """Whether two codes are equal or different; "missing" if either does not count or leaves the other possible."""
    if not (ours.rules_out and theirs.rules_out):
        return "missing"
    if not set(ours.may_be) & set(theirs.may_be):
        return "different"
    return "equal" if ours.clear and theirs.clear else "missing"


def written(code: str, read: Reading) -> str:
    """A code in a sentence: as noted, or "one of O, Q"."""
    return f"one of {', '.join(read.may_be)}" if read.state == "one of several" else code


def look_alikes(ours: Reading, theirs: Reading) -> bool:
    """Whether two readings share no code, yet a code of one could be a code of the other misread."""
    apart = not set(ours.may_be) & set(theirs.may_be)
    return apart and any(_alike(a, b) for a in ours.may_be for b in theirs.may_be)


def mistaken_for(code: str) -> tuple[str, ...]:
    """The characters that look like those of a folded code when worn."""
    return tuple(dict.fromkeys(other for sign in code for other in _GROUP.get(sign, sign) if other != sign))


def _may_be(noted: str) -> tuple[str, ...]:
    if nothing_in(noted):
        return ()
    together = _RUN_TOGETHER.fullmatch(noted.strip())
    signs = squeeze(together[1]).upper() if together is not None and not nothing_in(together[1]) else ""
    if len(signs) == 2 or (signs and all(_alike(signs[0], sign) for sign in signs)):
        return tuple(dict.fromkeys((*signs, signs)))
    words = (squeeze(word).upper() for word in _DOUBT.split(noted) if not nothing_in(word))
    return tuple(dict.fromkeys(word for word in words if word))


def _alike(ours: str, theirs: str) -> bool:
    """Whether two codes have the same length and the same or look-alike characters in each place."""
    return len(ours) == len(theirs) and all(a in _GROUP.get(b, b) for a, b in zip(ours, theirs, strict=True))
