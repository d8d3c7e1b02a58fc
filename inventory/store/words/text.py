"""How text is cleaned when it comes in and folded when it is compared."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from inventory.errors import Refused

__all__ = [
    "CELL",
    "CUT",
    "LOOK_ALIKES",
    "UNSHOWN",
    "alike",
    "clean",
    "clean_lines",
    "fit_cell",
    "fold",
    "opened",
    "printable",
    "short_enough",
    "squeeze",
]

#: Characters that a cell of a workbook may hold, in UTF-16 units (Microsoft, "Excel specifications and limits").
CELL = 32_767
#: Stands at the end of a text that was longer; a sheet that is read says nothing with such a cell.
CUT = " ... (cut here, whole in the json)"
#: A cut text ends at a blank, where there is one within so many characters.
_WORD = 200

#: What is looked up by an index may take so many bytes: PostgreSQL's index rows hold a third of a page (2,704 bytes).
_LONGEST = 2000
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
#: What no screen is given: controls (but tab and line feed), what has no width, what turns the direction of writing or
#: breaks a line, and tags. A name with any of them could look like another one, or like a line of the program's own.
UNSHOWN = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    r"\U000e0000-\U000e007f]"
)
#: Halves of a character, as an argument that is not UTF-8 brings them: no file and no database takes them.
_HALVES = re.compile("[\ud800-\udfff]")
#: Blanks, dots and dashes; and what shows nothing at all (joiners, marks of direction, controls), so that two
#: names which look the same are the same.
_SKIPPED = re.compile(
    r"[\s.\-\u00ad\u2010-\u2015\u2212\x00-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff]+"
)


#: Letters and digits that a worn stamp or a faded label turns into one another. Common practice, no source.
LOOK_ALIKES = ("O0Q", "I1L", "B8", "S5", "Z2", "G6")
_ONE_OF_ALIKE = str.maketrans({sign: group[1] for group in LOOK_ALIKES for sign in group.lower()})


def clean(text: str) -> str:
    """Remove C0 and C1 control characters (line feed and tab become a blank) and outer blanks."""
    if text.isprintable():  # nearly every text: no control character is, and no blank but the plain one
        return text.strip()
    plain = text.replace("\r\n", " ").replace("\n", " ").replace("\r", " ").replace("\t", " ")
    return _HALVES.sub("\ufffd", _CONTROLS.sub("", plain)).strip()


def clean_lines(text: str) -> str:
    """Text of several lines, each as `clean` has it, without empty lines at either end."""
    if text.isprintable():
        return text.strip()
    return "\n".join(map(clean, text.replace("\r\n", "\n").replace("\r", "\n").split("\n"))).strip()


def squeeze(text: str) -> str:
    """A part number or serial as it is compared: blanks, dots and dashes removed, case folded."""
    return fold(text)


def alike(text: str) -> str:
    """The comparison key of a serial, with look-alike characters merged."""
    return fold(text).translate(_ONE_OF_ALIKE)


def fold(text: str) -> str:
    """Text as it is searched: NFKC, casefold, then blanks, dots and dashes removed."""
    return _folded_once(text) if len(text) < _SHORT else _folded(text)


def _folded(text: str) -> str:
    if text.isascii():
        return _SKIPPED.sub("", text.lower())
    return _SKIPPED.sub("", unicodedata.normalize("NFKC", _HALVES.sub("\ufffd", text)).casefold())


#: The same names are folded again and again, most of all in a sheet; longer texts hardly ever come twice.
_folded_once = lru_cache(maxsize=8192)(_folded)
_SHORT = 64


def opened(text: str) -> str:
    """Text with a capital where it begins with a word; a file's name, a fact's id and a command keep theirs."""
    return text[:1].upper() + text[1:] if re.match(r"(?!matchmark )[a-z]+ ", text) else text


def printable(text: str) -> str:
    """Text as it may go to a terminal: lines stay; what no screen is given is left out."""
    return text if text.isascii() and text.isprintable() else UNSHOWN.sub("", text)


def fit_cell(text: str) -> str:
    """A text as a cell can hold it: a longer one is cut at a word, and says so."""
    if len(text) <= CELL // 2 or _units(text) <= CELL:
        return text
    room = CELL - len(CUT)
    kept = text[:room]
    while (over := _units(kept) - room) > 0:
        kept = kept[: len(kept) - (over + 1) // 2]
    at = kept.rfind(" ", len(kept) - _WORD)
    return f"{kept[:at] if at > 0 else kept}{CUT}"


def _units(text: str) -> int:
    return len(text.encode("utf-16-le", "replace")) // 2


def short_enough(what: str, text: str) -> str:
    """A name or number, cleaned, where it is not too long to be looked up by; refused otherwise."""
    cleaned = clean(text)
    if len(fold(cleaned).encode()) > _LONGEST:
        raise Refused(
            "too-long",
            f'The {what} "{cleaned[:40]}..." is too long: {len(cleaned)} characters',
            where=what,
            hint="give a shorter one, and write the rest as a note",
        )
    return cleaned
