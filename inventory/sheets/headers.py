"""Which column of ours each header of a sheet stands for: by spelling, by closeness, or by what the person said."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from inventory.sheets.columns import CRITICAL, LONGEST, WRONG, SheetKind, doubtful, header_key, spellings, words
from inventory.store.text import clean

__all__ = ["KEPT", "Heading", "doubtful_between", "doubts", "read_headings", "recognised"]

#: The target of a `--map` that keeps a column among the part's own fields.
KEPT = "extra"
_EXACT = 100
#: Closeness (0 to 100) from which a header is taken for a column, and from which it might be one.
_SURE, _DOUBTFUL = 95, 80
#: Headers shorter than this are taken as spelled or not at all.
_SHORT = 4


@dataclass(frozen=True)
class Heading:
    """A header as written, the column it stands for (None: kept as it is), how near it is (0 to 100).

    `currency` is one named in the header; `doubt` a column it might be but is not near enough to.
    """

    header: str
    column: str | None = None
    score: int = 0
    currency: str | None = None
    doubt: str | None = None


def read_headings(headers: Sequence[str], sheet: SheetKind, said: Mapping[str, str]) -> list[Heading]:
    """The headings of a sheet. `said` maps header keys to columns by the person's own word, which goes first."""
    plain = [_without_currency(header[:LONGEST]) for header in headers]
    offers = [
        (*offer, place)
        for place, (header, _) in enumerate(plain)
        for offer in _offers(headers[place], header, sheet, said)
    ]
    found = [Heading(_named(header, place), currency=plain[place][1]) for place, header in enumerate(headers)]
    taken = {heading for heading in said.values() if heading != KEPT} & _given(headers, said)
    for score, _, column, place in sorted(offers, key=lambda offer: (-offer[0], offer[1], offer[3])):
        heading = found[place]
        by_word = header_key(headers[place]) in said
        if heading.column is None and (column not in taken or by_word) and score >= _SURE:
            taken.add(column)
            found[place] = replace(heading, column=column, score=min(score, _EXACT), doubt=None)
    return [_with_doubt(heading, place, offers, taken, said) for place, heading in enumerate(found)]


def _given(headers: Sequence[str], said: Mapping[str, str]) -> set[str]:
    """The columns that the person gave to a header of this sheet."""
    return {said[key] for key in map(header_key, headers) if key in said}


def _named(header: str, place: int) -> str:
    """A header, or a name for a column that has none."""
    return clean(header) or f"column {place + 1}"


def _offers(written: str, header: str, sheet: SheetKind, said: Mapping[str, str]) -> list[tuple[int, int, str]]:
    """The columns a header could stand for: (closeness, place among the spellings, column)."""
    whole, key = header_key(written), header_key(header)
    if whole in said:
        return [] if said[whole] == KEPT else [(_EXACT + 1, 0, said[whole])]
    if not key or whole == header_key(WRONG):
        return []
    exact = [(_EXACT, keys.index(key), column) for column, keys in spellings(sheet).items() if key in keys]
    return exact or ([] if len(key) < _SHORT else _near(key, sheet))


@lru_cache(maxsize=4096)
def _near(key: str, sheet: SheetKind) -> list[tuple[int, int, str]]:
    from rapidfuzz import fuzz, process  # about 15 ms, needed only where a header is not spelled as known

    found = []
    for column, keys in spellings(sheet).items():
        best = process.extractOne(key, keys, scorer=fuzz.ratio, score_cutoff=_DOUBTFUL)
        if best is not None:
            found.append((int(best[1]), int(best[2]), column))
    return found


def _with_doubt(
    heading: Heading,
    place: int,
    offers: Sequence[tuple[int, int, str, int]],
    taken: set[str],
    said: Mapping[str, str],
) -> Heading:
    if heading.column is not None or header_key(heading.header) in said:
        return heading
    near = [(score, column) for score, _, column, where in offers if where == place and column not in taken]
    listed = [(_DOUBTFUL, each) for each in doubtful().get(header_key(heading.header), ()) if each not in taken]
    open_to = [offer for offer in near if offer[0] < _EXACT] + listed
    open_to.sort(key=lambda offer: (offer[1] not in CRITICAL, -offer[0]))
    return replace(heading, doubt=open_to[0][1], score=open_to[0][0]) if open_to else heading


def recognised(headings: Sequence[Heading]) -> set[str]:
    """The columns that these headings stand for."""
    return {heading.column for heading in headings if heading.column is not None}


def doubts(headings: Sequence[Heading]) -> tuple[list[Heading], list[Heading]]:
    """The doubtful headings: those that could be a column by which parts are told apart, and the others."""
    doubted = [heading for heading in headings if heading.doubt is not None]
    critical = [heading for heading in doubted if heading.doubt in CRITICAL]
    return critical, [heading for heading in doubted if heading not in critical]


def doubtful_between(heading: Heading) -> tuple[str, ...]:
    """The columns that a doubtful header could stand for, the likeliest first."""
    listed = doubtful().get(header_key(heading.header), ())
    return tuple(dict.fromkeys(each for each in (heading.doubt, *listed) if each is not None))


@lru_cache(maxsize=4096)
def _without_currency(header: str) -> tuple[str, str | None]:
    """A header without the currency named in it, and the currency."""
    for sign, code in words("signs").items():
        if sign in header:
            return header.replace(sign, " "), code
    codes = set(words("currencies"))
    for word in re.findall(r"[^\W\d_]+", header):
        if word.upper() in codes and header_key(header) != word.casefold():
            return re.sub(rf"(?i)(?<!\w)(?:in\s+)?{word}(?!\w)", " ", header, count=1), word.upper()
    return header, None
