"""The sheets and columns that the program knows, and their other spellings."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib.resources import files
from itertools import chain
from typing import Any

from inventory.declared import DECLARED
from inventory.facts.declare import FactKind, Sheet, Value
from inventory.store.words.names import nearest

__all__ = [
    "ABOUT",
    "COMMENTS",
    "CRITICAL",
    "EXAMPLE_ROW",
    "FROM_ROW",
    "FROM_SHEET",
    "LISTS",
    "LONGEST",
    "MARKS",
    "NOT_READ",
    "OURS",
    "PARTS",
    "QUANTITY",
    "SHEETS",
    "WRONG",
    "SheetKind",
    "amounts_of",
    "doubtful",
    "first_words",
    "header_key",
    "language_of",
    "like_a_word",
    "meanings",
    "spellings",
    "word_meant",
    "words",
    "words_near",
]


@dataclass(frozen=True, eq=False)
class SheetKind:
    """A sheet: its name, its columns in the order of writing, and the columns by which it is recognised.

    `values`: the declared value of each column. `amounts`: the columns of amounts, each with its currency's column;
    `days`: the columns of days. `fact`: the kind of fact of its rows; None for the sheets of parts, positions and fits.
    `things`: the columns that say what a row is about, each with the table of such things. `if_empty`, `looked`: as in
    `facts.declare.Sheet`. `own`: it is recognised only by our own name and headers, see `columns.own_sheets`; `told`:
    it is written for people and never read.
    """

    name: str
    columns: tuple[str, ...]
    needs: frozenset[str] = frozenset()
    values: Mapping[str, Value] = field(default_factory=dict)
    amounts: Mapping[str, str] = field(default_factory=dict)
    days: tuple[str, ...] = ("on", "seen on")
    fact: FactKind | None = None
    things: Mapping[str, str] = field(default_factory=lambda: {"tag": "part"})
    if_empty: Mapping[str, str] = field(default_factory=dict)
    looked: str = "seen"
    own: bool = False
    told: bool = False


#: Headers of the last columns of a workbook of refused rows: where each row was at first, and what is wrong with it.
FROM_SHEET, FROM_ROW, WRONG = "from sheet", "from row", "what is wrong"
#: Columns added to a table that is read: what colours and strikes of its cells say, and the comments of cells.
MARKS, COMMENTS = "marks in the sheet", "comments of cells"
#: In the column `tag`: the row is an example and is not read.
EXAMPLE_ROW = "example"
#: How many characters of a header are compared; all of it is kept.
LONGEST = 120
#: Columns that identify a part: a header that might be one of these is never guessed.
CRITICAL = frozenset({"tag", "own number", "kind", "part number", "serial", "match code"})

#: Similarity (0 to 100) from which a text may be a misspelt word.
_ALIKE = 80
#: How many parts a row is; other sheets have quantities of their own, so it tells none from another.
QUANTITY = "quantity"
#: Pages of the template that are not read.
ABOUT, LISTS = "what each column means", "lists"

_MARKED = ("kind", "maker", "part number", "serial", "date code", "match code", "match code read from")
_WHERE = ("car", "position", "place")
_OWNED = ("whose", "acquired on", "acquired from", "price", "price currency")
_LOOKED = ("seen by", "seen on")
_VALUED = ("value", "value currency", "value basis", "value on")
PARTS = SheetKind(
    "parts",
    (
        "tag",
        "own number",
        *_MARKED,
        "seal",
        "seal state",
        "condition",
        *_WHERE,
        *_OWNED,
        *_VALUED,
        "notes",
        "marks",
        "seen by",
        "seen on",
    ),
    values={
        column: DECLARED.called(word).value(name, {})
        for column, word, name in (
            ("kind", "marking", "kind"),
            ("own number", "own number", "number"),
            ("match code read from", "marking", "match code read from"),
            ("seal state", "seal", "state"),
            ("whose", "provenance", "whose"),
            ("price currency", "provenance", "currency"),
            ("value currency", "value", "currency"),
            ("value basis", "value", "basis"),
        )
    },
    amounts={"price": "price currency", "value": "value currency"},
    days=("acquired on", "value on", "seen on"),
)
#: The first sheets of facts, in this order; the others follow in the order of declaration.
_FIRST = ("runs", "seals", "provenance", "values")
_NAMED = ("fact", "tag", "maker", "part number", "serial")


def _about_parts() -> list[SheetKind]:
    """The sheets of facts about parts, from the declarations of their kinds."""
    found = [_of_facts(kind, kind.sheet) for kind in DECLARED.facts if kind.sheet is not None and "part" in kind.about]
    return sorted(found, key=lambda sheet: _FIRST.index(sheet.name) if sheet.name in _FIRST else len(_FIRST))


def _of_facts(kind: FactKind, sheet: Sheet) -> SheetKind:
    cars = {"car": "car"} if "car" in kind.about else {}
    return SheetKind(
        sheet.name,
        (*_NAMED, *cars, *sheet.columns),
        sheet.recognised_by,
        _values(kind),
        amounts=amounts_of(kind),
        fact=kind,
        things={"tag": "part", **cars},
        if_empty=sheet.if_empty,
        looked=sheet.looked,
    )


def amounts_of(kind: FactKind) -> dict[str, str]:
    """The amounts of a kind of fact, each with the value that is its currency."""
    return {value.beside: value.name for value in kind.values if value.beside}


def _values(kind: FactKind) -> dict[str, Value]:
    return {value.name: value for value in kind.values}


SHEETS: tuple[SheetKind, ...] = (
    PARTS,
    *_about_parts(),
    SheetKind(
        "fits",
        ("fact", "sensor part number", "unit part number", "fits", "on"),
        frozenset({"sensor part number", "unit part number"}),
        _values(DECLARED.called("fit")),
    ),
    SheetKind(
        "hardware",
        ("fact", "place", "spec", "count", "batch", "cured", "on"),
        frozenset({"place", "spec", "count"}),
        _values(DECLARED.called("hardware stock")),
    ),
    SheetKind(
        "positions",
        (
            *("fact", "car", "area", "order", "position", "kind", "maker", "part number", "numbers"),
            *("axis", "fasteners", "connections", "mounts", "behind", "on"),
        ),
        frozenset({"car", "position"}),
        _values(DECLARED.called("listing")),
    ),
    SheetKind(
        "rates",
        ("fact", "from currency", "to currency", "rate", "source", "on"),
        frozenset({"from currency", "to currency", "rate"}),
        _values(DECLARED.called("rate")),
    ),
)
#: Columns that are read and never written: one currency for all amounts of a row; how many parts a row is.
_READ_ONLY = {"parts": ("currency", QUANTITY)}


@cache
def _data() -> dict[str, dict[str, Any]]:
    return tomllib.loads((files("inventory.sheets.columns") / "synonyms.toml").read_text(encoding="utf-8"))


def header_key(header: str) -> str:
    """A header as it is compared: without case, accents, blanks, dots, dashes and brackets; "#" counts as "no"."""
    return _key(header[:LONGEST])


@lru_cache(maxsize=4096)
def _key(header: str) -> str:
    plain = unicodedata.normalize("NFKD", header.casefold().replace("#", " no ").replace("°", "o"))
    return re.sub(r"[\W_]+", "", plain)


#: The keys of headers of our own that are not read.
NOT_READ = frozenset(map(header_key, (FROM_SHEET, FROM_ROW, WRONG)))
#: The keys of headers that are not the owner's: of the columns that we add, and of those without a header.
OURS = frozenset({"", *NOT_READ, header_key(MARKS), header_key(COMMENTS)})


@cache
def spellings(sheet: SheetKind) -> dict[str, tuple[str, ...]]:
    """For each column of a sheet, the keys of its spellings: its own name first, then the others in order."""
    lists = _data()
    found: dict[str, tuple[str, ...]] = {}
    for column in (*sheet.columns, *_READ_ONLY.get(sheet.name, ())):
        others = lists["parts"].get(column, {})
        if sheet is not PARTS:
            others = lists["facts"].get(column, others)
        declared = sheet.values[column].headings if column in sheet.values else ()
        every = (column, *chain.from_iterable(others.values()), *declared)
        found[column] = tuple(dict.fromkeys(map(header_key, every)))
    return found


@cache
def _spoken(sheets: str) -> dict[str, set[str]]:
    """The languages that have a header, by the header's key."""
    found: dict[str, set[str]] = {}
    for languages in _data()[sheets].values():
        for language, headers in languages.items():
            for header in headers:
                found.setdefault(header_key(header), set()).add(language)
    return found


def language_of(sheet: SheetKind, headers: Iterable[str]) -> str:
    """The language (de, en, fr, it) of most headers that one language alone has; "" if there is none."""
    found: Counter[str] = Counter()
    known = _spoken("parts") if sheet is PARTS else {**_spoken("parts"), **_spoken("facts")}
    for spoken in (known.get(header_key(each), set()) for each in headers):
        found.update(spoken if len(spoken) == 1 else ())
    (first, most), (_, next_) = [*found.most_common(2), ("", 0), ("", 0)][:2]
    return first if most > next_ else ""


@cache
def doubtful() -> dict[str, tuple[str, ...]]:
    """Header keys that could be one of several columns."""
    return {header_key(word): tuple(columns) for word, columns in _data()["doubtful"].items()}


def words(name: str) -> Any:
    """A word list by its name: totals, yes, no, currencies, signs."""
    return _data()["words"][name]


@cache
def _cell_words(column: str) -> dict[str, str]:
    return {header_key(each): word for word, spelled in _spelled_in_cells(column) for each in spelled}


@cache
def _spelled_in_cells(column: str) -> list[tuple[str, list[str]]]:
    lists = tomllib.loads((files("inventory.sheets.columns") / "cell_words.toml").read_text(encoding="utf-8"))
    return [(word, [word, *chain(*languages.values())]) for word, languages in lists.get(column, {}).items()]


@cache
def first_words(column: str) -> tuple[str, ...]:
    """How what people write in a column begins: in small letters, without accents too, a long word without its end."""
    firsts = (each.split()[0].casefold() for _, several in _spelled_in_cells(column) for each in several)
    spelled = (each[:-1] if len(each) > 5 else each for each in firsts)
    every = {form for each in spelled for form in (each, _without_accents(each))}
    return tuple(sorted(each for each in every if not any(other in each for other in every - {each})))


def _without_accents(text: str) -> str:
    return "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))


def meanings(column: str) -> frozenset[str]:
    """The program's words for a column that people have other words for."""
    return frozenset(_cell_words(column).values())


def like_a_word(column: str, text: str) -> bool:
    """Whether a text is, or nearly is, a word of a column in any language."""
    from rapidfuzz import fuzz, process  # about 15 ms, needed for few sheets

    return (
        process.extractOne(header_key(text), list(_cell_words(column)), scorer=fuzz.ratio, score_cutoff=80) is not None
    )


def words_near(column: str, text: str) -> list[str]:
    """The program's words for a column that have a spelling similar to a text, in any language; nearest first."""
    spelled = _cell_words(column)
    return list(dict.fromkeys(spelled[key] for key in nearest(header_key(text), list(spelled))))


def word_meant(column: str, text: str) -> str:
    """The program's word for what people write in a column, in six languages; the text itself if there is none."""
    return _cell_words(column).get(header_key(text), text)
