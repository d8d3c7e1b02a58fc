"""The sheets in which all that is left of a record is written: one for each kind of fact without a sheet of its own.

Nobody fills them in from nothing, so they are recognised by our own names and headers only: an owner's tab "work" or
"places" is never taken for one. What tells of the program's own acts is written, and never read (`told`).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from inventory.declared import DECLARED
from inventory.facts.declare import Cell, FactKind, Value, Values
from inventory.facts.views import JSON_COLUMNS, own_columns
from inventory.sheets.columns.catalogue import SHEETS, SheetKind, amounts_of
from inventory.sheets.readers.tables import Table

__all__ = ["EVERY_SHEET", "IDENTITY", "OF_THINGS", "OWN_SHEETS", "RECORD", "own_kind", "values_of_kind"]

#: The column of the sheet `record` by which another record's workbook is known.
IDENTITY = "identity"
#: Names of sheets that are not the word of their kind with an s.
_NAMES = {
    "work": "work done",
    "relation to the car": "relations to cars",
    "end of a strip-down": "ends of strip-downs",
    "name of a position": "names of positions",
    "file written": "files written",
    "file given out": "files given out",
    "counted": "parts counted",
    "passport read": "passports read",
    "roll of labels": "rolls of labels",
    "job done": "jobs done",
    "way of reading sheets": "ways of reading sheets",
    "sheet read": "sheets read",
    "words removed": "words removed",
    "workshop limits": "workshop limits",
    "adjuster found": "adjusters found",
    "policy": "policies",
    "insurance": "insurance of cars",
    "stolen part": "stolen parts",
    "together": "came off together",
    # Their latest facts stand in sheets of their own, with a row for each position, place or pair of numbers.
    "listing": "earlier listings",
    "fit": "earlier fits",
    "hardware stock": "earlier stock",
    "rate": "earlier rates",
}
_COLUMNS = {"part": "tag", "position": "position", "part number": "of part number", "record": ""}
#: Kinds whose facts have values that are not declared, each with the columns.
_UNDECLARED = {"marking": ("extra",), "car_side_label": ("of_tag",)}
#: Facts that only the program writes of its own acts; a mistake takes its thing away.
_TOLD = ("made_by_mistake",)
_LEFT_OUT = ("withdrawal", "redaction", "contact_description")


def _raw(column: str) -> Value:
    """A column of a fact that has no declared value: its text, or canonical JSON."""
    key = column.removesuffix("_id")

    def read(typed: str, _cell: Cell) -> dict[str, Any]:
        return {key: json.loads(typed) if column in JSON_COLUMNS else typed}

    def show(values: Values) -> str:
        value = values.get(key)
        plain = json.dumps(value, ensure_ascii=False, sort_keys=True) if isinstance(value, (dict, list)) else value
        return "" if plain is None else str(plain)

    return Value(key.replace("_", " "), read, show, lambda one, other: one.get(key) == other.get(key), (), free=True)


@cache
def values_of_kind(kind: FactKind) -> dict[str, Value]:
    """The values of a kind of fact by name, those that are not declared with them."""
    columns = own_columns(kind.table) if kind.not_correctable else _UNDECLARED.get(kind.name, ())
    return {**{value.name: value for value in kind.values}, **{_raw(each).name: _raw(each) for each in columns}}


def _of_kind(kind: FactKind) -> SheetKind:
    values = values_of_kind(kind)
    told = kind.not_correctable is not None or kind.name in _TOLD
    things = {_COLUMNS.get(word, word): word.replace(" ", "_") for word in kind.about if word != "record"}
    if "position" in things:
        things = {"car": "car", **things}
    return SheetKind(
        _NAMES.get(kind.word, f"{kind.word}s"),
        ("fact", *things, *values, "on", "how known", "seen by", "seen on"),
        frozenset(things),
        values,
        amounts=amounts_of(kind),
        fact=kind,
        things=things,
        own=True,
        told=told,
    )


def _of_names(name: str, columns: tuple[str, ...], *, told: bool = False) -> SheetKind:
    return SheetKind(name, columns, frozenset(columns[:1]), days=(), things={}, own=True, told=told)


RECORD = _of_names("record", (IDENTITY, "time zone", "made by", "made on", "written on"), told=True)
CONTACTS = _of_names("contacts", ("contact", "role", "address", "telephone"))
NUMBERS = _of_names("part numbers", ("part number", "of kind"))
DOCUMENTS = _of_names("documents", ("document", "digest", "type", "bytes", "taken on", "taken from"), told=True)
#: The sheets of things that have no facts, or none that may be shown as they are.
OF_THINGS = (RECORD, CONTACTS, NUMBERS, DOCUMENTS)


def _every_kind() -> tuple[SheetKind, ...]:
    shown = {sheet.fact for sheet in SHEETS if sheet.fact is not None}
    kinds = [each for each in DECLARED.facts if each not in shown and each.name not in _LEFT_OUT]
    # Things come first: what follows names them.
    first = ("car_description", "place_description", "instrument_description", "strip_down")
    order: Callable[[FactKind], int] = lambda kind: first.index(kind.name) if kind.name in first else len(first)  # noqa: E731
    return tuple(_of_kind(kind) for kind in sorted(kinds, key=order))


OWN_SHEETS: tuple[SheetKind, ...] = (*OF_THINGS, *_every_kind())
EVERY_SHEET: tuple[SheetKind, ...] = (*SHEETS, *OWN_SHEETS)


def own_kind(table: Table) -> SheetKind | None:
    """Which of our own sheets a table is: by its name and headers as we write them, in a csv by all its headers."""
    headers = [cell.strip() for cell in table.rows[0].cells if cell.strip()] if table.rows else []
    if not table.name:
        return next((kind for kind in OWN_SHEETS if tuple(headers) == kind.columns), None)
    kind = next((each for each in OWN_SHEETS if each.name == table.name), None)
    if kind is None:
        return None
    written = {*kind.needs, *kind.columns[:1]} <= set(headers)
    typed = set(headers) <= set(kind.columns) and bool(kind.needs & set(headers) or not kind.needs)
    return kind if written or (typed and len(headers) > 1) else None
