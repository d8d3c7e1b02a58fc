"""The workshop's own identifiers: a letter, four of a set without look-alikes, a check character.

The set leaves out what is misread by eye and what a scanner set for another keyboard moves. The check
is ISO 7064 MOD 37-2; a tag is issued only where it falls in the set, so `*` never occurs.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable

from inventory.errors import Refused

__all__ = ["ALPHABET", "LETTERS", "is_tag", "issue", "parse", "printed"]

ALPHABET = "0123456789CDEFHJKNPRTVX"
LETTERS = "CDEFHJKNPRTVX"
_LENGTH = 6
#: The characters of ISO 7064 MOD 37-2, in the order of their values.
_CHECKED = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_RANDOM = secrets.SystemRandom()


def check_character(body: str) -> str:
    """The ISO 7064 MOD 37-2 check character of a string of digits and capital letters."""
    check = 0
    for character in body:
        check = (check + _CHECKED.index(character)) * 2 % 37
    return _CHECKED[(38 - check) % 37]


def is_tag(text: str) -> bool:
    """Whether a text has the form of a tag and its check character is right; blanks and dash may stand in it."""
    bare = _bare(text)
    return _has_form(bare) and check_character(bare[:-1]) == bare[-1]


def parse(text: str) -> str:
    """A tag as it is stored (with its dash) from one as typed or scanned; refused where it cannot be one."""
    bare = _bare(text)
    if not _has_form(bare):
        raise Refused(
            "not-a-tag",
            f'"{text}" is no tag: a tag has a letter, four characters and a check, like K4127-7. Nothing was changed',
        )
    if check_character(bare[:-1]) != bare[-1]:
        raise Refused(
            "tag-check",
            f"{printed(bare)} is no tag: its last character does not fit the others, so one was misread. "
            "Nothing was changed",
            hint="read the label again, or find the part by number: matchmark part find",
        )
    return printed(bare)


def printed(bare: str) -> str:
    """A tag with its dash before the check character."""
    return f"{bare[:-1]}-{bare[-1]}"


def issue(count: int, taken: Callable[[list[str]], Iterable[str]]) -> list[str]:
    """`count` tags never used before; `taken` says which of a list already are."""
    issued: dict[str, None] = {}
    while len(issued) < count:
        wanted = [tag for tag in (_random_tag() for _ in range(count - len(issued))) if tag not in issued]
        used = set(taken(wanted))
        issued.update(dict.fromkeys(tag for tag in wanted if tag not in used))
    return list(issued)


def _random_tag() -> str:
    while True:
        body = _RANDOM.choice(LETTERS) + "".join(_RANDOM.choices(ALPHABET, k=_LENGTH - 2))
        check = check_character(body)
        if check in ALPHABET:
            return printed(body + check)


def _bare(text: str) -> str:
    return text.strip().upper().replace("-", "").replace(" ", "")


def _has_form(bare: str) -> bool:
    return len(bare) == _LENGTH and bare[0] in LETTERS and all(character in ALPHABET for character in bare)
