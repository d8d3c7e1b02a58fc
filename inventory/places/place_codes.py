"""The code of a place's label: a digit, a letter, three characters and a check character. Pure but for the drawing.

Same characters and same check (ISO 7064 MOD 37-2) as tags. A tag begins with a letter, so no text is both; and since
the check catches a swap of neighbours, no tag with its first two characters swapped is a place's code, nor the reverse.
A car-side code is longer.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection

from inventory.errors import Refused
from inventory.parts.tags import ALPHABET, LETTERS, check_character, printed

__all__ = ["is_place_code", "issue_place_code", "parse_place_code"]

_DIGITS = "0123456789"


def is_place_code(text: str) -> bool:
    """Whether a text has the form of a place's code and a right check character; it may contain blanks and a dash."""
    bare = _bare(text)
    return _has_form(bare) and check_character(bare[:-1]) == bare[-1]


def parse_place_code(text: str) -> str:
    """A typed or scanned code in its stored form (with a dash). Raises `Refused` if the text is none."""
    if not is_place_code(text):
        raise Refused(
            "not-a-place-label",
            f'"{text.strip()[:40]}" is no label of a place, or was misread',
            hint="scan it again, or type the name of the place",
        )
    return printed(_bare(text))


def issue_place_code(taken: Collection[str]) -> str:
    """A random code that no place has."""
    while True:
        body = secrets.choice(_DIGITS) + secrets.choice(LETTERS)
        body += "".join(secrets.choice(ALPHABET) for _ in range(3))
        code = printed(body + check_character(body))
        if code[-1] in ALPHABET and code not in taken:
            return code


def _bare(text: str) -> str:
    return text.strip().upper().replace("-", "").replace(" ", "")


def _has_form(bare: str) -> bool:
    return (
        len(bare) == 6
        and bare[0] in _DIGITS
        and bare[1] in LETTERS
        and all(character in ALPHABET for character in bare)
    )
