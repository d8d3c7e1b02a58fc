"""Which column each header of a sheet stands for: by spelling, by similarity, or because the user said so."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from inventory.sheets.columns.catalogue import (
    CRITICAL,
    LONGEST,
    NOT_READ,
    SHEETS,
    SheetKind,
    doubtful,
    header_key,
    spellings,
    words,
)
from inventory.store.words.text import clean

__all__ = [
    "KEPT",
    "Heading",
    "chosen",
    "doubtful_between",
    "doubts",
    "may_have_headers",
    "numbered",
    "read_headings",
    "recognised",
]

#: The target of a `--map` that keeps a column under its own name.
KEPT = "extra"
_EXACT = 100
#: Similarity (0 to 100) from which a header is taken for a column, and from which it might be one.
_SURE, _DOUBTFUL = 95, 80
#: Shorter headers must be spelled exactly.
_SHORT = 4
#: The sheet whose columns may have a unit, and a header that ends with one: "Readings [kOhm]".
_RUNS = "runs"
_WITH_UNIT = re.compile(r"(.*\w)\s*[\[(]\s*([^\[\]()\d\s][^\[\]()]{0,11}?)\s*[\])]\s*")


@dataclass(frozen=True)
class Heading:
    """A header as written, the column it stands for (None: kept under its own name), and the similarity (0 to 100).

    `currency`: one named in the header, or a sign that several share ("$"); `doubt`: a column that it might be, but is
    not similar enough to. `given`: no column of the file: its cells are what a title or an answer says. An empty header
    is a column of another table beside this one. `unit`: what stands in brackets behind the name of a column of runs.
    """

    header: str
    column: str | None = None
    score: int = 0
    currency: str | None = None
    doubt: str | None = None
    given: bool = False
    unit: str = ""


def read_headings(headers: Sequence[str], sheet: SheetKind, mapping: Mapping[str, str]) -> list[Heading]:
    """The headings of a sheet. `mapping` gives the user's own choice, header key to column; it goes first.

    The second of two headers of one name is chosen for as "Number (2)", see `chosen`.
    """
    mapping = chosen(headers, mapping)
    names = numbered(headers)
    units = [_unit_of(header[:LONGEST]) if sheet.name == _RUNS else (header[:LONGEST], "") for header in headers]
    plain = [_without_currency(header) for header, _ in units]
    offers = [
        (*offer, place)
        for place, (header, _) in enumerate(plain)
        for offer in _offers(names[place], headers[place], header, sheet, mapping)
    ]
    found = [
        Heading(_named(header, place), currency=plain[place][1], unit=units[place][1])
        for place, header in enumerate(headers)
    ]
    taken = {mapping[key] for key in map(header_key, names) if key in mapping} - {KEPT}
    for score, _, column, place in sorted(offers, key=lambda offer: (-offer[0], offer[1], offer[3])):
        heading = found[place]
        if heading.column is None and (column not in taken or header_key(names[place]) in mapping) and score >= _SURE:
            taken.add(column)
            found[place] = replace(heading, column=column, score=min(score, _EXACT), doubt=None)
    return [
        heading if header_key(names[place]) in mapping else _with_doubt(heading, place, offers, taken)
        for place, heading in enumerate(found)
    ]


def numbered(headers: Sequence[str]) -> list[str]:
    """The headers, each by a name of its own: the second "Number" is "Number (2)"."""
    names: dict[str, None] = {}
    for header in headers:
        name, count = header, 2
        while name in names:
            name, count = f"{header} ({count})", count + 1
        names[name] = None
    return list(names)


def chosen(headers: Sequence[str], mapping: Mapping[str, str]) -> dict[str, str]:
    """What the user chose for each of these headers, by the key of its numbered name.

    Two columns of one name are hardly one: what is said of the name is of the first, unless it is kept as it is.
    """
    found = {}
    for name, header in zip(numbered(headers), headers, strict=True):
        own, plain = header_key(name), header_key(header)
        if own in mapping:
            found[own] = mapping[own]
        elif mapping.get(plain) == KEPT:
            found[own] = KEPT
    return found


def _named(header: str, place: int) -> str:
    """A header, or a name for a column that has none."""
    return clean(header) or f"column {place + 1}"


def _offers(
    name: str, written: str, header: str, sheet: SheetKind, mapping: Mapping[str, str]
) -> list[tuple[int, int, str]]:
    """The columns that a header could stand for: (similarity, place among the spellings, column)."""
    own, whole, key = header_key(name), header_key(written), header_key(header)
    if own in mapping:
        return [] if mapping[own] == KEPT else [(_EXACT + 1, 0, mapping[own])]
    if not key or whole in NOT_READ:
        return []
    exact = _exact(sheet).get(key)
    if exact is None and key in _none_of_ours():
        return []
    return exact or ([] if len(key) < _SHORT else _near(key, sheet))


@cache
def _exact(sheet: SheetKind) -> dict[str, list[tuple[int, int, str]]]:
    """For each spelling of a sheet the columns that it stands for."""
    found: dict[str, list[tuple[int, int, str]]] = {}
    for column, keys in spellings(sheet).items():
        for place, key in enumerate(keys):
            found.setdefault(key, []).append((_EXACT, place, column))
    return found


@cache
def _none_of_ours() -> frozenset[str]:
    """Headers that are near a spelling of ours and mean something else, such as the number of an order."""
    return frozenset(map(header_key, words("none_of_ours")))


@lru_cache(maxsize=4096)
def _near(key: str, sheet: SheetKind) -> list[tuple[int, int, str]]:
    if _far(key):
        return []
    from rapidfuzz import fuzz, process  # about 15 ms, needed only where a header is not spelled as known

    found = []
    for column, keys in spellings(sheet).items():
        best = process.extractOne(key, keys, scorer=fuzz.ratio, score_cutoff=_DOUBTFUL)
        if best is not None:
            found.append((int(best[1]), int(best[2]), column))
    return found


@lru_cache(maxsize=4096)
def _far(key: str) -> bool:
    """Whether a text is not nearly a spelling of any column of any sheet; true of nearly all cells of data."""
    if key in _every_key():
        return False
    from rapidfuzz import fuzz, process

    return len(key) < _SHORT or (
        process.extractOne(key, _every_key(), scorer=fuzz.ratio, score_cutoff=_DOUBTFUL) is None
    )


@cache
def _every_key() -> dict[str, str]:
    """All spellings of all columns, as the library that compares them takes them."""
    return {key: key for sheet in SHEETS for key in _exact(sheet)}


def may_have_headers(cells: Sequence[str], mapping: Mapping[str, str], least: int) -> bool:
    """Whether at least so many of these cells may be the header of a known column of some sheet."""
    others = len(cells) - least
    for cell in cells:
        if not cell or (header_key(cell) not in mapping and _far(header_key(_without_currency(cell[:LONGEST])[0]))):
            others -= 1
        if others < 0:  # so that of a row of data only a few cells are compared
            return False
    return True


def _with_doubt(
    heading: Heading,
    place: int,
    offers: Sequence[tuple[int, int, str, int]],
    taken: set[str],
) -> Heading:
    if heading.column is not None:
        return heading
    near = [(score, column) for score, _, column, where in offers if where == place and column not in taken]
    listed = [(_DOUBTFUL, each) for each in doubtful().get(header_key(heading.header), ()) if each not in taken]
    if [column for _, column in listed] == ["own number"]:  # kept under its own name, or settled by what it contains
        listed = []
    open_to = [offer for offer in near if offer[0] < _EXACT] + listed
    open_to.sort(key=lambda offer: (offer[1] not in CRITICAL, -offer[0]))
    return replace(heading, doubt=open_to[0][1], score=open_to[0][0]) if open_to else heading


def recognised(headings: Sequence[Heading]) -> set[str]:
    """The columns that these headings stand for."""
    return {heading.column for heading in headings if heading.column is not None}


def doubts(headings: Sequence[Heading]) -> tuple[list[Heading], list[Heading]]:
    """The doubtful headings: first those that may be a column that identifies parts, then the others."""
    doubted = [heading for heading in headings if heading.doubt is not None]
    critical = [heading for heading in doubted if heading.doubt in CRITICAL]
    return critical, [heading for heading in doubted if heading not in critical]


def doubtful_between(heading: Heading) -> tuple[str, ...]:
    """The columns that a doubtful header could stand for, the likeliest first."""
    listed = doubtful().get(header_key(heading.header), ())
    return tuple(dict.fromkeys(each for each in (heading.doubt, *listed) if each is not None))


def _unit_of(header: str) -> tuple[str, str]:
    """A header without what stands in brackets behind it, and that."""
    found = _WITH_UNIT.fullmatch(header)
    return (found[1], found[2]) if found else (header, "")


@lru_cache(maxsize=4096)
def _without_currency(header: str) -> tuple[str, str | None]:
    """A header without the currency named in it, and the currency; or the sign, if several currencies share it."""
    shared = {sign: sign for sign in words("shared_signs") if not sign.isalpha()}
    for sign, code in (words("signs") | shared).items():
        if sign in header:
            return re.sub(rf"(?i)(?:(?<!\w)(?:in|en)\s+)?{re.escape(sign)}", " ", header), code
    codes = set(words("currencies"))
    for word in re.findall(r"[^\W\d_]+", header):
        if word.upper() in codes and header_key(header) != word.casefold():
            return re.sub(rf"(?i)(?<!\w)(?:in\s+)?{word}(?!\w)", " ", header, count=1), word.upper()
        if word.casefold() in words("shared_signs") and header_key(header) != word.casefold():
            return re.sub(rf"(?i)(?<!\w)(?:in\s+)?{word}(?!\w)", " ", header, count=1), word.casefold()
    return header, None
