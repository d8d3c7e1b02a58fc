"""Match codes: whether one was clearly read, whether two are equal, whether they look alike. Pure.

A code is never corrected and two codes are never merged. Look-alikes are pointed out, to be read again. A set of codes
("O or Q", "O/Q", "OQ?") says that the mark is one of them: it rules out all others and confirms none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.contradictions.looks import FROM_THE_PART
from inventory.pairing.candidate import Candidate
from inventory.store.words.letters import alike_letters, in_doubt, letters_in

__all__ = [
    "Comparison",
    "Reading",
    "ReadingState",
    "compare",
    "look_alikes",
    "reading",
    "reading_of",
    "written",
]

Comparison = Literal["equal", "different", "missing"]
ReadingState = Literal[
    "clear", "one of several", "doubtful", "by others", "unreadable", "label gone", "never fitted", "not looked at"
]


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
    may_be, noted = letters_in(part.match_code), part.match_code
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
    if (part.match_code_read_from or "part") not in FROM_THE_PART:
        return Reading("by others", may_be, f"{noted} only by the {part.match_code_read_from}, not read from the part")
    if in_doubt(noted):
        if len(may_be) > 1:
            return Reading("one of several", may_be, f"one of several, noted as {noted}")
        return Reading("doubtful", may_be, f"not clearly read, noted as {noted}")
    if not may_be:
        return Reading("doubtful", (), f"{noted} is noted, which is not a code")
    return Reading("clear", may_be)


def reading_of(code: str) -> Reading:
    """How a code that a paper names counts: clear, unless the paper leaves a doubt."""
    may_be = letters_in(code)
    if len(may_be) > 1:
        return Reading("one of several", may_be, f"one of several on the paper, noted as {code}")
    if in_doubt(code) or not may_be:
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
    return apart and any(alike_letters(a, b) for a in ours.may_be for b in theirs.may_be)
