"""How text is cleaned when it comes in and folded when it is compared."""

from __future__ import annotations

import re
import unicodedata

__all__ = ["clean", "fold", "squeeze"]

_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_SKIPPED = re.compile(r"[\s.\-\u00ad\u2010-\u2015\u2212]+")


def clean(text: str) -> str:
    """Remove C0 and C1 control characters (line feed and tab become a blank) and outer blanks."""
    return _CONTROLS.sub("", text.replace("\r\n", " ").replace("\n", " ").replace("\r", " ").replace("\t", " ")).strip()


def squeeze(text: str) -> str:
    """A part number or serial as it is compared: blanks, dots and dashes removed, case folded."""
    return fold(text)


def fold(text: str) -> str:
    """Text as it is searched: NFKC, casefold, then blanks, dots and dashes removed."""
    return _SKIPPED.sub("", unicodedata.normalize("NFKC", text).casefold())
