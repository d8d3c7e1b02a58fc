"""Tags, the workshop's own identifiers: a letter, four characters and a check character.

The characters exclude look-alikes and those that a scanner set for another keyboard changes. The check is ISO 7064
MOD 37-2; a tag is issued only if its check character is in the set, so `*` never occurs.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import islice

from inventory.errors import Refused

__all__ = ["ALPHABET", "LETTERS", "is_tag", "issue", "parse", "printed"]

ALPHABET = "0123456789CDEFHJKNPRTVX"
LETTERS = "CDEFHJKNPRTVX"
_LENGTH = 6
#: The characters of ISO 7064 MOD 37-2, in the order of their values.
_CHECKED = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
_DRAWN_AT_A_TIME = 64
_FAIR = 2**32


def check_character(body: str) -> str:
    """The ISO 7064 MOD 37-2 check character of a string of digits and capital letters."""
    check = 0
    for character in body:
        check = (check + _CHECKED.index(character)) * 2 % 37
    return _CHECKED[(38 - check) % 37]


def is_tag(text: str) -> bool:
    """Whether a text has the form of a tag and a right check character; it may contain blanks and a dash."""
    bare = _bare(text)
    return _has_form(bare) and check_character(bare[:-1]) == bare[-1]


def parse(text: str) -> str:
    """A typed or scanned tag in its stored form (with a dash). Raises `Refused` if the text is not a tag."""
    bare = _bare(text)
    if not _has_form(bare):
        raise Refused(
            "not-a-tag",
            f'"{text}" is not a tag: tags look like K4127-7',
        )
    if check_character(bare[:-1]) != bare[-1]:
        raise Refused(
            "tag-check",
            f"{printed(bare)} was misread: its check character does not match",
            hint="read the label again, or find the part by its number: matchmark part find NUMBER",
        )
    return printed(bare)


def printed(bare: str) -> str:
    """A tag with a dash before the check character."""
    return f"{bare[:-1]}-{bare[-1]}"


def issue(count: int, taken: Callable[[list[str]], Iterable[str]]) -> list[str]:
    """Return `count` unused tags. `taken` returns those of a list that are used.

    More tags are drawn than needed, so that one call of `taken` is almost always enough.
    """
    issued: dict[str, None] = {}
    random_tags = _random_tags()
    while len(issued) < count:
        missing = count - len(issued)
        drawn = dict.fromkeys(islice(random_tags, missing + missing // 8 + 2))
        wanted = [tag for tag in drawn if tag not in issued]
        used = set(taken(wanted))
        issued.update(dict.fromkeys([tag for tag in wanted if tag not in used][:missing]))
    return list(issued)


def _random_tags() -> Iterator[str]:
    """An endless sequence of random tags, all equally likely."""
    starts, ends = _halves()
    bodies = len(starts) * len(ends)
    while True:
        for number in memoryview(secrets.token_bytes(4 * _DRAWN_AT_A_TIME)).cast("I"):
            start, end = divmod(number % bodies, len(ends))
            check = _CHECKED[(38 - (starts[start][1] + ends[end][1]) % 37) % 37]
            if check in ALPHABET and number < _FAIR // bodies * bodies:
                yield printed(starts[start][0] + ends[end][0] + check)


@cache
def _halves() -> tuple[list[tuple[str, int]], list[tuple[str, int]]]:
    """All beginnings (three characters) and ends (two) of a body, each with its part of the check sum.

    The parts are added modulo 37; the weights of the five characters are 32, 16, 8, 4, 2.
    """
    values = {character: _CHECKED.index(character) for character in ALPHABET}
    starts = [
        (a + b + c, values[a] * 32 + values[b] * 16 + values[c] * 8)
        for a in LETTERS
        for b in ALPHABET
        for c in ALPHABET
    ]
    return starts, [(a + b, values[a] * 4 + values[b] * 2) for a in ALPHABET for b in ALPHABET]


def _bare(text: str) -> str:
    return text.strip().upper().replace("-", "").replace(" ", "")


def _has_form(bare: str) -> bool:
    return len(bare) == _LENGTH and bare[0] in LETTERS and all(character in ALPHABET for character in bare)
