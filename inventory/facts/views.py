"""Facts for people and JSON: with names instead of keys."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import text
from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, declared
from inventory.facts.how_known import FROM_A_SHEET, PASSPORT, TOLD
from inventory.store.days.true_days import TrueDays, true_days
from inventory.store.facts import NOW, AsOf, fact_id
from inventory.store.many import among_sql
from inventory.store.tables import FactColumns

__all__ = [
    "SHARED",
    "FactView",
    "facts_of",
    "facts_of_many",
    "own_columns",
    "values_of",
    "views",
]

#: The columns that all facts have; a view has attributes for them.
SHARED = frozenset(FactColumns.__annotations__)
#: Where a fact from a sheet, or from a passport, is written, in its reason.
_WRITTEN_IN = re.compile(r"written in (?:.+, row \d+|the passport of ).*", re.DOTALL)
#: The columns with canonical JSON.
JSON_COLUMNS = frozenset({"readings", "conditions", "extra"})


@dataclass(frozen=True)
class FactView:
    """One fact. `values`: those of its kind, with names instead of keys; `on` is EDTF.

    `recorded_on`, `superseded_on`: the true days, where it is stated that a clock was wrong.
    """

    id: str
    table: str
    thing_id: int
    on: str
    told: str | None
    earliest: str
    latest: str
    counts_from: str
    recorded: str
    ranked: str
    recorded_on: str
    by: str
    how_known: str
    reason: str | None
    superseded_by: str | None
    superseded_on: str | None
    values: dict[str, Any]
    kind: FactKind = field(repr=False)

    @property
    def says(self) -> str:
        """The fact in one line, without when and by whom."""
        return self.kind.says(self.values).replace("\n", " / ")

    @property
    def source(self) -> str:
        """Where a fact of a sheet or passport is written: "written in parts.csv, parts, row 3"; "" for any other."""
        found = _WRITTEN_IN.search(self.reason or "")
        return found[0] if found else ""

    @property
    def as_said(self) -> str:
        """The fact in one line; one that only a sheet or passport tells is told as such, with where it is written."""
        return f"{self.says}, {self.known}" if self.how_known in TOLD else self.says

    @property
    def known(self) -> str:
        """How it is known, with where it is written if a sheet or passport brought it; "" for a plain look."""
        if self.how_known == PASSPORT:
            return self.source.replace("written in ", "according to ", 1) or self.how_known
        if self.how_known in TOLD:
            return self.source.replace("written in ", f"{FROM_A_SHEET}: ", 1) or self.how_known
        return ", ".join(filter(None, ("" if self.how_known == "seen" else self.how_known, self.source)))

    def as_dict(self) -> dict[str, Any]:
        """The fact in JSON: its own values, its id, when, by whom, and how it is known."""
        shared = {
            "id": self.id,
            "on": self.on,
            "told": self.told,
            "recorded": self.recorded,
            "by": self.by,
            "how_known": self.how_known,
            "reason": self.reason,
            "superseded_by": self.superseded_by,
        }
        return {**self.values, **shared}


def own_columns(model: Any) -> list[str]:
    """The columns of a table of facts that not all facts have."""
    return [name for name in model.__table__.c.keys() if name not in SHARED]  # noqa: SIM118 - no mapping


def facts_of(
    session: Session,
    thing_id: int,
    tables: Iterable[type[FactColumns]] | None = None,
    when: AsOf = NOW,
    *,
    superseded: bool = False,
) -> list[FactView]:
    """The facts of one thing at a time (with `superseded`: all ever written), oldest first."""
    return facts_of_many(session, [thing_id], tables, when, superseded=superseded)[thing_id]


def facts_of_many(
    session: Session,
    things: Sequence[int],
    tables: Iterable[type[FactColumns]] | None = None,
    when: AsOf = NOW,
    *,
    superseded: bool = False,
) -> dict[int, list[FactView]]:
    """The facts of several things, by key; needs one query for each table."""
    registry = declared(session)
    kinds = registry.facts if tables is None else [registry.fact(table) for table in tables]
    wanted, keys = among_sql(session, "things", things)
    stood, days = ("1 = 1", {}) if superseded else (when.sql("fact"), when.parameters)
    rows: list[tuple[FactKind, Any]] = []
    for kind in kinds if things else ():
        query = text(f"SELECT fact.* FROM {kind.name} AS fact WHERE fact.thing_id {wanted} AND {stood}")  # noqa: S608 - names of ours
        rows += [(kind, row) for row in session.execute(query, {**keys, **days})]
    found: dict[int, list[FactView]] = defaultdict(list)
    for view in _views(session, rows):
        found[view.thing_id].append(view)
    return found


def views(session: Session, rows: Sequence[Any]) -> list[FactView]:
    """The views of rows of facts, oldest first by the day they count from."""
    registry = declared(session)
    return _views(session, [(registry.fact(row.__tablename__), row) for row in rows])


def values_of(session: Session, row: Any) -> dict[str, Any]:
    """The values of one row, with names instead of keys."""
    return views(session, [row])[0].values


def _views(session: Session, rows: Sequence[tuple[FactKind, Any]]) -> list[FactView]:
    refers = {kind: _references(kind.table) for kind in {kind for kind, _ in rows}}
    names = _names(session, rows, refers) if rows else {}
    days = true_days(session) if rows else TrueDays()
    ordered = sorted(rows, key=lambda each: (each[1].counts_from, each[1].ranked, each[0].name, each[1].id))
    return [_view(kind, row, refers[kind], names, days) for kind, row in ordered]


def _view(
    kind: FactKind, row: Any, refers: Mapping[str, str], names: Mapping[str, Mapping[int, str]], days: TrueDays
) -> FactView:
    values: dict[str, Any] = {}
    for column, table in refers.items():
        value = getattr(row, column)
        if table:
            values[column.removesuffix("_id")] = names[table].get(value) if value is not None else None
        else:
            values[column] = json.loads(value) if column in JSON_COLUMNS and value is not None else value
    return FactView(
        id=fact_id(kind.name, row.id),
        table=kind.name,
        thing_id=row.thing_id,
        on=row.so_from,
        told=row.told,
        earliest=row.earliest,
        latest=row.latest,
        counts_from=row.counts_from,
        recorded=row.recorded,
        ranked=row.ranked,
        recorded_on=days.recorded_on(row),
        by=names["contact"].get(row.by_id, "unknown"),
        how_known=row.how_known,
        reason=row.reason,
        superseded_by=row.superseded_by,
        superseded_on=days.superseded_on(row),
        values=values,
        kind=kind,
    )


def _names(
    session: Session, rows: Sequence[tuple[FactKind, Any]], refers: Mapping[FactKind, Mapping[str, str]]
) -> dict[str, dict[int, str]]:
    """The names of all things that these facts refer to, by table and key; facts are named by their ids."""
    registry = declared(session)
    keys: dict[str, set[int]] = {"contact": {row.by_id for _, row in rows}}
    for kind, row in rows:
        for column, table in refers[kind].items():
            if table and (value := getattr(row, column)) is not None:
                keys.setdefault(table, set()).add(value)
    return {
        table: registry.thing(table).names(session, wanted)
        if registry.is_thing(table)
        else {key: fact_id(table, key) for key in wanted}
        for table, wanted in keys.items()
    }


def _references(model: Any) -> dict[str, str]:
    """The own columns of a table of facts, each with the table that it refers to, or ""."""
    tables = {each.parent.name: str(each.column.table.name) for each in model.__table__.foreign_keys}
    return {name: tables.get(name, "") for name in own_columns(model)}
