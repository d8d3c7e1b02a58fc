"""The sheets of facts about parts (seals, values, provenance, runs): what their cells mean, which facts they become.

Rows and facts are compared as cells: each fact on record is put into the words that its sheet would use.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from inventory.bench.conditions import CONDITIONS
from inventory.bench.tables import BenchRun
from inventory.facts.views import FactView
from inventory.provenance.actions import ATTRIBUTIONS, HOW, LANES, WHOSE, provenance_fact
from inventory.provenance.tables import Provenance
from inventory.reference.data import Reference
from inventory.seals.actions import sighting
from inventory.seals.states import STATES
from inventory.seals.tables import SealSighting
from inventory.sheets.columns.cell_format import CellFormat
from inventory.sheets.columns.cells import UNDATED, amount_of, day_cells, day_of, one_word, same_amount, told_when
from inventory.store.dates import When
from inventory.store.facts import Act, make_fact
from inventory.store.journal import canonical
from inventory.store.personal import BLANKED
from inventory.store.tables import FactColumns
from inventory.store.text import fold
from inventory.worth.money import BASES
from inventory.worth.tables import Valuation

__all__ = [
    "FACT_SHEETS",
    "FROM_A_SHEET",
    "FactSheet",
    "Target",
    "build_fact",
    "cells_of",
    "differing_columns",
    "money_column",
    "read_cell",
    "run_values",
    "table_of",
]

#: How a fact from a sheet is known if the sheet does not say.
FROM_A_SHEET = "from a sheet"
_BETWEEN = "; "
_MONEY = {"values": "amount", "provenance": "price"}


@dataclass(frozen=True)
class Target:
    """What a fact is built for: the act, the part, the keys of contacts by folded name, the day of rows without one."""

    act: Act
    part_id: int
    people: Mapping[str, int]
    day: When


@dataclass(frozen=True)
class FactSheet:
    """One sheet of facts: its table, its columns, those each row needs, how cells are read, how a fact is built."""

    name: str
    model: type[FactColumns]
    columns: tuple[str, ...]
    needs: tuple[str, ...]
    readers: Mapping[str, Callable[[str], str]]
    build: Callable[[Target, When, dict[str, str], int | None], FactColumns]


def _seal(target: Target, when: When, cells: dict[str, str], document_id: int | None) -> FactColumns:
    known = cells.get("how known", FROM_A_SHEET)
    return sighting(
        target.act, target.part_id, cells["seal"], cells["state"], when, document_id=document_id, how_known=known
    )


def _value(target: Target, when: When, cells: dict[str, str], document_id: int | None) -> FactColumns:
    return make_fact(
        Valuation,
        target.act,
        target.part_id,
        when,
        how_known="document" if document_id else FROM_A_SHEET,
        amount=cells["amount"],
        currency=cells["currency"],
        basis=cells.get("basis", "not stated"),
        source=cells.get("source"),
        capacity=cells.get("capacity"),
        document_id=document_id,
    )


def _provenance(target: Target, when: When, cells: dict[str, str], document_id: int | None) -> FactColumns:
    return provenance_fact(
        target.act,
        target.part_id,
        when,
        cells["how"],
        lane=cells.get("lane", "title"),
        whose=cells.get("whose"),
        party_id=target.people[fold(cells["party"])] if "party" in cells else None,
        attribution=cells.get("attribution", "inferred"),
        price=(cells["price"], cells["currency"]) if "price" in cells else None,
        document_id=document_id,
        text=cells.get("text"),
    )


def _run(target: Target, when: When, cells: dict[str, str], _document_id: int | None) -> FactColumns:
    readings, conditions = run_values(cells)
    return make_fact(
        BenchRun,
        target.act,
        target.part_id,
        when,
        how_known="measured",
        procedure=cells["procedure"],
        readings=canonical(readings),
        conditions=canonical(conditions),
    )


def run_values(cells: Mapping[str, str]) -> tuple[list[str], dict[str, Any]]:
    """The readings and conditions of a run as they are typed at the bench."""
    conditions: dict[str, Any] = {
        each.name: _several(cells[each.name]) if each.form == "readings" else cells[each.name]
        for each in CONDITIONS
        if each.name in cells
    }
    return _several(cells["readings"]), conditions


def _several(text: str) -> list[str]:
    return [each.strip() for each in text.split(";") if each.strip()]


_WORDED = ("lane", "how", "attribution", "whose")
FACT_SHEETS: dict[str, FactSheet] = {
    "seals": FactSheet(
        "seals",
        SealSighting,
        ("seal", "state", "on", "how known"),
        ("seal", "state"),
        {"seal": str.casefold, "state": one_word("seal state", STATES, "seal state")},
        _seal,
    ),
    "values": FactSheet(
        "values",
        Valuation,
        ("amount", "currency", "basis", "on", "source", "capacity"),
        ("amount",),
        {"basis": one_word("basis", BASES, "basis")},
        _value,
    ),
    "provenance": FactSheet(
        "provenance",
        Provenance,
        ("lane", "how", "whose", "party", "on", "attribution", "price", "currency", "text"),
        ("how",),
        {
            "lane": one_word("lane", LANES),
            "how": one_word("way of coming or going", HOW),
            "whose": one_word("owner", WHOSE, "whose"),
            "attribution": one_word("attribution", ATTRIBUTIONS),
        },
        _provenance,
    ),
    "runs": FactSheet(
        "runs",
        BenchRun,
        ("procedure", "readings", *(each.name for each in CONDITIONS), "on"),
        ("procedure", "readings"),
        {
            "readings": lambda text: _BETWEEN.join(_several(text)),
            **{each.name: lambda text: _BETWEEN.join(_several(text)) for each in CONDITIONS if each.form == "readings"},
        },
        _run,
    ),
}


def read_cell(
    sheet: FactSheet,
    column: str,
    values: Mapping[str, str],
    today: date,
    currency: str | None,
    written: CellFormat,
    reference: Reference,
) -> dict[str, str]:
    """What the cell of a column says. An amount comes with its currency, else the one beside it, else `currency`.

    `written`: how the column is written. A day comes with its original words if they differ. Raises `Refused`.
    """
    text = values[column]
    money = _MONEY.get(sheet.name)
    if column == money:
        amount, code = amount_of(text, values.get("currency") or currency, written)
        return {money: amount, "currency": code}
    if column == "currency":
        return {}
    if column == "on":
        return day_cells(day_of(text, today, written))
    if column == "procedure":
        return {column: reference.procedure(text).name}
    return {column: sheet.readers.get(column, str)(text)}


def cells_of(fact: FactView) -> dict[str, str]:
    """A fact in the words of its sheet, without what it does not say and without erased names."""
    cells: dict[str, Any] = {**fact.values, "how known": fact.how_known}
    if fact.told != UNDATED:
        cells["on"] = fact.on
    if fact.table == "bench_run":
        cells |= {**cells.pop("conditions"), "readings": _BETWEEN.join(cells["readings"])}
        for name in (each.name for each in CONDITIONS if isinstance(cells.get(each.name), list)):
            cells[name] = _BETWEEN.join(cells[name])
    return {name: str(value) for name, value in cells.items() if value not in (None, "", [], {}, BLANKED)}


def differing_columns(given: Mapping[str, str], fact: Mapping[str, str]) -> list[str]:
    """The columns in which a row differs from a fact; columns that the row leaves empty are not compared."""
    return [column for column, text in given.items() if not _equal(column, text, fact.get(column))]


def _equal(column: str, one: str, other: str | None) -> bool:
    if column in ("amount", "price"):
        return same_amount(one, other)
    return one == other or (column == "party" and other is not None and fold(one) == fold(other))


def build_fact(
    sheet: FactSheet, target: Target, cells: dict[str, str], told: str | None, document_id: int | None
) -> FactColumns:
    """The fact that a row becomes; without a day of its own it gets the day of the read."""
    when = told_when(cells["on"], told) if "on" in cells else target.day
    return sheet.build(target, when, cells, document_id)


def money_column(sheet: FactSheet) -> str:
    """The column whose header may name a currency; "" if the sheet has none."""
    return _MONEY.get(sheet.name, "")


def table_of(sheet: FactSheet) -> str:
    """The name of the table of a sheet's facts."""
    return cast("str", cast("Any", sheet.model).__tablename__)
