"""Reads rows of sheets of facts by the declaration of their kind, and shows facts on record as cells."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import Any

from inventory.errors import Refused
from inventory.facts.declare import FactKind
from inventory.facts.fill import merge_values
from inventory.facts.how_known import FROM_A_SHEET, OWN
from inventory.facts.views import FactView
from inventory.reference.data import Reference
from inventory.sheets.columns.catalogue import language_of
from inventory.sheets.columns.cells import UNDATED, amount_of, day_of, in_a_sheet
from inventory.sheets.columns.layout import SheetLayout
from inventory.sheets.columns.own_sheets import values_of_kind
from inventory.sheets.plan.differences import Change
from inventory.sheets.plan.noticed import half_a_look
from inventory.sheets.plan.problems import CellProblem, problem_of
from inventory.store.days.dates import When
from inventory.store.personal import BLANKED
from inventory.store.words.nothing import set_aside
from inventory.store.words.text import fold, short_enough

__all__ = ["FactReader", "RowValues", "cells_of", "changes", "differing"]

_ON, _HOW_KNOWN, _SEEN_BY, _SEEN_ON = "on", "how known", "seen by", "seen on"
#: Whose a part is cannot be left out: unread it is not known.
_WHOSE = "whose"
#: The columns of a row that are not values of its fact.
_SHARED = (_ON, _HOW_KNOWN, _SEEN_BY, _SEEN_ON)
_BARE = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
#: How many texts of a sheet are remembered.
_MOST_KEPT = 10_000


@dataclass(slots=True)
class RowValues:
    """The values of a row of facts. `columns`: the columns that are not empty; `how_known`: "" if not given."""

    values: dict[str, Any] = field(default_factory=dict)
    columns: list[str] = field(default_factory=list)
    on: When | None = None
    how_known: str = ""
    seen_by: str = ""
    seen_on: When | None = None

    @property
    def look(self) -> tuple[str, When] | None:
        """Who looked and on which day, if the row says both."""
        day = self.seen_on or self.on
        return (self.seen_by, day) if self.seen_by and day else None


class FactReader:
    """Reads the rows of one sheet of facts; each text of a column is read only once."""

    def __init__(self, kind: FactKind, layout: SheetLayout, today: date, reference: Reference) -> None:
        """`today`: no day in a cell may be later. `reference`: its kinds, procedures and limits are known."""
        cell = in_a_sheet(today, reference)
        self._values, self._amounts, self._layout = values_of_kind(kind), layout.kind.amounts, layout
        alone = (*_SHARED, *(name for name, value in self._values.items() if not value.beside))
        # In the order of the program's own sheet, in which changes and problems are told.
        self._columns = [column for column in layout.kind.columns if column in alone and column in layout.columns]
        self._cells = {
            column: replace(cell, amount=partial(amount_of, written=layout.cell_format(column)))
            for column in self._columns
        }
        self._days = {
            column: partial(day_of, today=today, written=layout.cell_format(column)) for column in (_ON, _SEEN_ON)
        }
        #: The units that headers name for their columns.
        self._units = {
            heading.column: heading.unit
            for heading in layout.headings
            if heading.unit and heading.column in self._values and _is_unit(heading.unit)
        }
        self._known: dict[tuple[str, type, str, str | None], Any] = {}
        self.language = language_of(layout.kind, [heading.header for heading in layout.headings])
        names = (name for name, value in self._values.items() if value.is_name)
        self._emptied = frozenset({_ON, _SEEN_BY, _SEEN_ON, *self._amounts, *names})
        #: The sentences on words that say nothing, each with the rows that have it.
        self.set_aside: dict[str, list[int]] = {}

    def said(self, column: str, text: str, row: int) -> str | None:
        """The text of a cell; None if it is a word for nothing ("unknown", "none", "ditto"), which becomes a remark."""
        if not (says := set_aside(column, text, self.language)):
            return text
        self.set_aside.setdefault(says, []).append(row)
        return None

    def read(self, texts: Mapping[str, str], row: int = 0) -> tuple[RowValues, list[CellProblem]]:
        """The values of a row, and what is wrong in it. `texts`: its cells by column, cleaned, not empty."""
        given = RowValues()
        problems: list[CellProblem] = []
        if self._units:
            texts = {name: _with_unit(text, self._units.get(name, "")) for name, text in texts.items()}
        for column in self._columns:
            if column not in texts:
                continue
            if column in self._emptied and self.said(column, texts[column], row) is None:
                continue
            found = self._cell(column, texts)
            if isinstance(found, CellProblem):
                problems.append(found)
                continue
            given.columns.append(column)
            if column == _ON:
                given.on = found
            elif column == _HOW_KNOWN:
                given.how_known = found
            elif column == _SEEN_BY:
                given.seen_by = found
            elif column == _SEEN_ON:
                given.seen_on = found
            else:
                merge_values(given.values, found)
                if column in self._amounts:
                    given.columns.append(self._amounts[column])
        if says := half_a_look(given.seen_by, given.seen_on or (given.seen_by and given.on)):
            self.set_aside.setdefault(says, []).append(row)
        return given, problems

    def read_all_but(
        self, texts: Mapping[str, str], row: int, kept: frozenset[str]
    ) -> tuple[RowValues, list[CellProblem], list[CellProblem]]:
        """The values of a row; what is wrong in it; the cells that are kept as text. `kept`: their columns."""
        given, problems = self.read(texts, row)
        unread = [each for each in problems if each.column in kept]
        if unread and (left := {each.column for each in unread} & {_WHOSE}):
            given.values |= self._values[_WHOSE].read("not known", self._cells[_WHOSE])
            given.columns += left
        return given, [each for each in problems if each.column not in kept], unread

    def _cell(self, column: str, texts: Mapping[str, str]) -> Any:
        text, currency = texts[column], None
        if column in self._amounts:
            currency = texts.get(self._amounts[column]) or self._layout.header_currency(column)
            currency = currency or self._layout.default_currency
        key = column, type(text), text, currency
        if key not in self._known:
            if len(self._known) >= _MOST_KEPT:
                self._known.clear()
            self._known[key] = self._read(column, text, currency)
        return self._known[key]

    def _read(self, column: str, text: str, currency: str | None) -> Any:
        """The day, the word or the values of a cell, or what is wrong in it."""
        if column == _HOW_KNOWN:
            return text
        try:
            if column == _SEEN_BY:
                return short_enough("name", text)
            if column in self._days:
                return self._days[column](text)
            return self._values[column].read(text, replace(self._cells[column], currency=currency))
        except Refused as refusal:
            return problem_of(refusal, column, text)


def _is_unit(text: str) -> bool:
    from inventory.bench.quantities.units import is_unit  # needed only where a header names one

    return is_unit(text)


def _with_unit(text: str, unit: str) -> str:
    """Readings with the unit of their column, where they are bare figures: "primary=2.5" under "Readings [kohm]"."""
    if not unit:
        return text
    found = []
    for each in text.split(";"):
        name, equals, value = each.rpartition("=")
        found.append(f"{name}{equals}{value.strip()}{unit}" if _BARE.fullmatch(value.strip()) else each)
    return ";".join(found)


def cells_of(kind: FactKind, fact: FactView) -> dict[str, str]:
    """A fact as cells of its sheet, without empty values and erased names."""
    shown = {name: value.show(fact.values) for name, value in values_of_kind(kind).items()}
    shown[_HOW_KNOWN] = fact.how_known
    if fact.told != UNDATED:
        shown[_ON] = fact.on
        if fact.how_known in OWN:
            shown |= {_SEEN_BY: fact.by, _SEEN_ON: fact.on}
    return {column: text for column, text in shown.items() if text and text != BLANKED}


def differing(kind: FactKind, given: RowValues, fact: FactView) -> list[str]:
    """The columns in which a row differs from a fact; empty cells are not compared."""
    values = values_of_kind(kind)
    found = []
    for column in given.columns:
        if column == _ON:
            alike = fact.told != UNDATED and given.on is not None and given.on.edtf == fact.on
        elif column == _HOW_KNOWN:
            # Without a name and a day it was no look, and was kept as what a sheet says.
            alike = given.how_known == fact.how_known or (given.how_known in OWN and fact.how_known == FROM_A_SHEET)
        elif column == _SEEN_BY:
            alike = given.look is None or (fold(given.seen_by) == fold(fact.by) and fact.how_known in OWN)
        elif column == _SEEN_ON:
            alike = given.look is None or (given.seen_on is not None and given.seen_on.edtf == fact.on)
        elif values[column].refers == "position":
            alike = _position(given.values, column) == _position(fact.values, column)
        else:
            alike = values[column].same(given.values, fact.values)
        if not alike:
            found.append(column)
    return found


def _position(values: Mapping[str, Any], column: str) -> str:
    """The name of a position, with or without its car before it."""
    return fold(str(values.get(column) or "").rpartition(" / ")[2])


def changes(kind: FactKind, given: RowValues, columns: Sequence[str], fact: FactView | None) -> tuple[Change, ...]:
    """The changes of a row in these columns of a fact (None: a new fact), as text."""
    old = cells_of(kind, fact) if fact is not None else {}
    shared = {
        **{column: day.edtf if day else "" for column, day in ((_ON, given.on), (_SEEN_ON, given.seen_on))},
        _HOW_KNOWN: given.how_known,
        _SEEN_BY: given.seen_by,
    }
    values = values_of_kind(kind)
    return tuple(
        Change(column, old.get(column), shared[column] if column in shared else values[column].show(given.values))
        for column in columns
    )
