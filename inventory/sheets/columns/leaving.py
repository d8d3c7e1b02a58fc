"""Cells that say how a part left: "SOLD 2023", "verkauft 3/2022", "vendu", and columns headed so. Pure.

Only a cell that says nothing else, or begins so, is understood; where the word stands elsewhere in a cell, it is asked.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from inventory.contradictions.whereabouts import LEFT
from inventory.errors import Refused
from inventory.sheets.columns.catalogue import PARTS, first_words, word_meant, words
from inventory.sheets.columns.cells import cleaned, day_of
from inventory.sheets.columns.questions import Choice, SheetQuestion, key_of
from inventory.sheets.columns.sheet_layout import SheetLayout
from inventory.sheets.readers.tables import Row
from inventory.store.days.dates import When
from inventory.store.words.nothing import nothing_in

__all__ = ["Leaving", "Leavings", "leaving_of", "leavings_in"]

#: Columns in which such words are looked for. A part that left has no place; what stands in the others is kept as said.
_CLEARED = ("place", "condition", "seal state", "whose")
_READ = (*_CLEARED, "notes")
_FIRST_WORDS = re.compile(r"\W*([^\W\d_]+(?:['’ ]+[^\W\d_]+){0,3})")
_WORD = re.compile(r"[^\W\d_]+")
#: What may stand between such a word and its day.
_LINKS = r"(?:am|im|in|on|le|en|il|nel|the|vom|du|del|since|seit)\s+"
_DATE = re.compile(
    rf"[\s:,;(–-]*(?:{_LINKS})?"
    r"(\d{4}-\d\d(?:-\d\d)?|\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{1,2}[./-]\d{4}|\d{4}|[^\W\d_]{3,9}\.? \d{4})(?!\d)",
    re.IGNORECASE,
)
_YEAR = re.compile(r"(?<!\d)\d{4}(?!\d)")
#: What may follow such a word without a day: nothing, a sign, or to whom.
_REST = re.compile(
    r"\s*(?:$|[:,;.!()*\d–/-]|(?:to|an|à|au|aux|a|ad|al|for|für|pour|per|via|bei|chez)\b)", re.IGNORECASE
)
_NOT = frozenset({"not", "never", "nicht", "nie", "pas", "non", "jamais", "mai", "be", "if", "wenn", "si", "se"})
#: Ways of leaving that are asked about where the word stands among others; "lost" is more often said of a cap.
_ASKED = frozenset({"sold", "scrapped"})
_HEADERS = "leaving header"


@dataclass(frozen=True, slots=True)
class Leaving:
    """How a part left, and on which day if the cell says so; `text`: the cell as written."""

    how: str
    when: When | None
    text: str

    @property
    def says(self) -> str:
        """In a few words: "sold 2023"."""
        return " ".join(filter(None, (self.how, self.when.edtf if self.when else "")))


@dataclass
class Leavings:
    """What the cells of a sheet say of leaving: by the index of a row; its rows without what is no place or state."""

    rows: list[Row]
    found: dict[int, Leaving] = field(default_factory=dict)
    questions: list[SheetQuestion] = field(default_factory=list)


def leaving_of(text: str, today: date) -> Leaving | None:
    """How a part left, as a text says that says nothing else or begins so; None for any other text."""
    how, rest = _first_words(text)
    if not how:
        return None
    to_whom = text[: len(text) - len(rest)].casefold().endswith((" to", " à"))
    if not (to_whom or _DATE.match(rest) or _REST.match(rest)):
        return None
    return Leaving(how, _first_day(rest, today), text)


def _speaking_of_leaving(texts: set[str]) -> set[str]:
    """The texts with the beginning of a word for leaving. Nearly none has; so all are searched as one, word by word."""
    every = "\n".join(texts).casefold()
    words_there = [word for word in first_words("leaving") if word in every]
    if not words_there:
        return set()
    return {text for text in texts if any(map(text.casefold().__contains__, words_there))}


def _first_words(text: str) -> tuple[str, str]:
    """The way of leaving with which a text begins, and what follows; "" if it begins otherwise."""
    first = _FIRST_WORDS.match(text)
    if first is None:
        return "", ""
    ends = [each.end() for each in _WORD.finditer(first[1])]
    for end in reversed(ends):
        how = word_meant("leaving", first[1][:end])
        if how in LEFT:
            return how, text[first.start(1) + end :]
    return "", ""


def _day(text: str, today: date) -> When | None:
    try:
        return day_of(text, today)
    except Refused:
        year = _YEAR.search(text)  # of 3/4/2021 at least the year is known
        return day_of(year[0], today) if year and int(year[0]) <= today.year else None


def _asked(text: str) -> bool:
    """Whether a word for leaving stands somewhere in a text, and nothing says no before it."""
    plain = [each.casefold() for each in _WORD.findall(text)]
    at = [place for place, word in enumerate(plain) if word_meant("leaving", word) in _ASKED]
    return bool(at) and not any(word in _NOT for place in at for word in plain[max(0, place - 2) : place])


def leavings_in(sheet: SheetLayout, today: date, said: Mapping[str, str]) -> Leavings:
    """What the rows of a sheet of parts say of how their parts left; `said`: the answers, by key."""
    found = Leavings(list(sheet.rows))
    if sheet.kind is not PARTS:
        return found
    for place, heading in enumerate(sheet.headings):
        named = heading.column is None and word_meant(_HEADERS, heading.header) in LEFT
        if not named and heading.column is not None and heading.column not in _READ:
            continue
        texts = {row.cells[place] for row in sheet.rows if place < len(row.cells)} - {""}
        if not named:
            texts = _speaking_of_leaving(texts)
        read = {text: each for text in texts if (each := _read(text, heading.header, today, named=named))}
        doubtful = {} if named else {text: _question(heading, text) for text in texts - read.keys() if _asked(text)}
        for text, question in doubtful.items():
            if said.get(question.key) in LEFT:
                read[text] = Leaving(said[question.key], _first_day(text, today), text)
        if read or doubtful:
            _take(found, place, read, doubtful, sheet.name, cleared=heading.column in _CLEARED)
    return found


def _read(text: str, header: str, today: date, *, named: bool) -> Leaving | None:
    plain = cleaned(text)[0]
    if not plain:
        return None
    if not named:
        return leaving_of(plain, today)
    if plain.casefold() in words("no") or nothing_in(plain) is not None:
        return None
    how = word_meant(_HEADERS, header)
    return leaving_of(plain, today) or Leaving(how, _first_day(plain, today), f"{header}: {plain}")


def _first_day(text: str, today: date) -> When | None:
    dated = next((each for each in (_DATE.match(text, at) for at in range(len(text))) if each), None)
    return _day(dated[1], today) if dated else None


def _question(heading: object, text: str) -> SheetQuestion:
    column, header = getattr(heading, "column", None), getattr(heading, "header", "")
    choices = (Choice("text", "keep it as text"), Choice("sold", "it was sold"), Choice("scrapped", "it was scrapped"))
    return SheetQuestion(key_of("word", column or header, text), f'"{text}" in {header}', choices, taken="text")


def _take(
    found: Leavings,
    place: int,
    read: Mapping[str, Leaving],
    doubtful: Mapping[str, SheetQuestion],
    tab: str,
    *,
    cleared: bool,
) -> None:
    """Note what the cells of a column say, and clear them where they are no place or state."""
    asked: dict[str, list[tuple[str, int]]] = {}
    for index, row in enumerate(found.rows):
        text = row.cells[place] if place < len(row.cells) else ""
        if text in doubtful:
            asked.setdefault(text, []).append((tab, row.number))
        if text in read:
            found.found.setdefault(index, read[text])
            if cleared:
                found.rows[index] = Row(row.number, [*row.cells[:place], "", *row.cells[place + 1 :]])
    found.questions += [replace(doubtful[text], rows=tuple(rows)) for text, rows in asked.items()]
