"""The items of a condition list as a table of cells: text, days, amounts.

Text stays text: no cell is ever read as a formula. "Not known" is written out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.condition_list.item_values import ConditionSeen, Item, Seal, Statement, Value
from inventory.condition_list.words import CLASSES, NOT_ASSESSED, NOT_KNOWN, VERDICTS
from inventory.contradictions.looks import LETTER, SEAL, TEST
from inventory.money import shown
from inventory.store.words.text import clean

__all__ = ["COLUMNS", "Cell", "Column", "as_text", "day_cells", "disarmed", "money", "row_of", "value_note"]

Cell = str | int | date | Decimal

_ONE_DAY = re.compile(r"\d{4}-\d\d-\d\d")
#: Spreadsheets count days from 1900 and have a 29 February 1900, which did not exist.
_FIRST_SHEET_DAY = date(1900, 3, 1)
#: Characters that a spreadsheet could read as the start of a formula (OWASP), and their full-width forms.
_RISKY = frozenset("=+-@\t\r\n\0\uff1d\uff0b\uff0d\uff20")


@dataclass(frozen=True)
class Column:
    """A column of the items: its title, and its width in characters."""

    title: str
    width: float


COLUMNS = (
    Column("No.", 5),
    Column("Tag", 10),
    Column("What", 12),
    Column("Maker", 10),
    Column("Part number", 12),
    Column("Serial", 11),
    Column("Date code", 8),
    Column("Marks", 12),
    Column("Match code", 8),
    Column("Code read from", 10),
    Column("Whose", 10),
    Column("Where", 14),
    Column("Last seen", 10.5),
    Column("Seen earliest", 10.5),
    Column("Seen latest", 10.5),
    Column("Seen how, by", 14),
    Column("Condition", 9),
    Column("In words", 14),
    Column("Complete", 10),
    Column("Works", 22),
    Column("Seals", 16),
    Column("Goes with", 16),
    Column("From", 14),
    Column("Evidence", 17),
    Column("Basis", 9),
    Column("Value", 11),
    Column("Currency", 8.5),
    Column("Value stated by", 14),
    Column("Valued on", 10.5),
    Column("Valued earliest", 10.5),
    Column("Valued latest", 10.5),
    Column("Counted", 8),
    Column("Heading", 10),
    Column("Why", 14),
    Column("To note", 22),
)


def row_of(item: Item, basis: str) -> list[Cell]:
    """One item, a cell for each column."""
    seen, value = item.last_seen, item.value
    return [
        item.number,
        item.tag,
        item.kind,
        *(text or NOT_KNOWN for text in (item.maker, item.part_number, item.serial_told, item.date_code, item.marks)),
        next((each.found for each in item.contradictions if each.about == LETTER), None)
        or item.match_code
        or item.match_code_state
        or NOT_KNOWN,
        _read_from(item),
        item.holder,
        item.where.says,
        *day_cells(seen.when if seen else None),
        f"{seen.how}, {seen.when.by}" if seen else NOT_KNOWN,
        *_condition(item.condition),
        _works(item),
        "; ".join(_seals(item)) or NOT_KNOWN,
        item.goes_with or NOT_KNOWN,
        f"{item.came} {item.came_when.on}" if item.came_when else item.came,
        "; ".join(f"{paper.document} {paper.shows} {paper.digest16}" for paper in item.evidence) or NOT_KNOWN,
        basis,
        money(value) if value else "no value stated on this basis",
        value.currency if value else NOT_KNOWN,
        value_note(value) if value else NOT_KNOWN,
        *day_cells(value.when if value else None),
        "yes" if item.counted_in_total else "no",
        item.heading,
        item.why,
        "; ".join(item.remarks) or "nothing",
    ]


def day_cells(when: Statement | None) -> tuple[Cell, Cell, Cell]:
    """A day as stated, its earliest and its latest possible day; an exact day as a date."""
    if when is None:
        return NOT_KNOWN, NOT_KNOWN, NOT_KNOWN
    if when.on == when.earliest == when.latest:
        return (_day(when.on),) * 3
    told: Cell = _day(when.on) if _ONE_DAY.fullmatch(when.on) else when.on
    return told, _day(when.earliest), _day(when.latest)


def _day(text: str) -> Cell:
    day = date.fromisoformat(text)
    if day in (date.min, date.max):
        return NOT_KNOWN
    return day if day >= _FIRST_SHEET_DAY else text


def money(value: Value) -> Decimal:
    """An amount with its currency's decimals, exact."""
    return Decimal(shown(Decimal(value.amount), value.currency))


def value_note(value: Value) -> str:
    """Who stated a value, in what capacity, and whether there is a paper for it."""
    who = ", ".join(text for text in (value.source, value.capacity) if text) or "source not known"
    return f"{who} ({value.standing})" if value.standing != "stated" else who


def as_text(cell: Cell) -> str:
    """A cell as plain text, without control characters."""
    return clean(cell) if isinstance(cell, str) else str(cell)


def disarmed(text: str) -> str:
    """The text, with an apostrophe before it if a spreadsheet would run it as a formula."""
    return f"'{text}" if text[:1] in _RISKY else text


def _read_from(item: Item) -> str:
    if item.match_code is None:
        return NOT_KNOWN
    return item.match_code_read_from or "the part itself"


def _condition(looks: ConditionSeen | None) -> tuple[Cell, Cell, Cell]:
    """The class, class and damage in words, and what is missing."""
    if looks is None:
        return NOT_ASSESSED, NOT_ASSESSED, NOT_KNOWN
    said = [CLASSES[looks.category] if looks.category is not None else NOT_ASSESSED]
    said += [text for text in (looks.damage, looks.trend) if text]
    category: Cell = NOT_ASSESSED if looks.category is None else looks.category
    words = f"{'; '.join(said)} ({looks.when.on}{looks.when.hearsay})"
    return category, words, f"missing: {looks.missing}" if looks.missing else NOT_KNOWN


def _works(item: Item) -> str:
    """The last run of the test that decides; without one the tests that came out both ways."""
    run = item.works
    if run is None:
        return "; ".join(each.found for each in item.contradictions if each.about.startswith(TEST)) or NOT_KNOWN
    return f"{VERDICTS[run.verdict]} {run.procedure} on {run.when.on}: {run.sentence} ({run.when.by})"


def _seals(item: Item) -> Iterator[str]:
    """What each seal counts as; where two looks at it do not fit, both."""
    unfitting = {each.about: each.found for each in item.contradictions}
    for seal in item.seals_now:
        yield unfitting.get(f"{SEAL}{seal.seal}") or _seal(seal)


def _seal(seal: Seal) -> str:
    paper = ", with a paper" if seal.document else ", no paper" if seal.state == "renewed" else ""
    return f"{seal.seal} {seal.state} {seal.when.on}{paper}{seal.when.hearsay}"
