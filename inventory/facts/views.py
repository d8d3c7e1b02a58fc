"""Facts for people and JSON: with names instead of keys."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, declared
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among
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
#: The columns with canonical JSON.
JSON_COLUMNS = frozenset({"readings", "conditions", "extra"})


@dataclass(frozen=True)
class FactView:
    """One fact. `values`: those of its kind, with names instead of keys; `on` is EDTF."""

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
        return self.kind.says(self.values)

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
    rows: list[Any] = []
    models = tables if tables is not None else [each.table for each in declared(session).facts]
    for model in models if things else ():
        query = select(model).where(among(model.thing_id, things))
        rows += session.scalars(query if superseded else as_of(query, model, when))
    found: dict[int, list[FactView]] = defaultdict(list)
    for view in views(session, rows):
        found[view.thing_id].append(view)
    return found


def views(session: Session, rows: Sequence[Any]) -> list[FactView]:
    """The views of rows of facts, oldest first by the day they count from."""
    names = _Names(session, rows)
    ordered = sorted(rows, key=lambda row: (row.counts_from, row.ranked, row.__tablename__, row.id))
    return [_view(row, names) for row in ordered]


def values_of(session: Session, row: Any) -> dict[str, Any]:
    """The values of one row, with names instead of keys."""
    return views(session, [row])[0].values


def _view(row: Any, names: _Names) -> FactView:
    values: dict[str, Any] = {}
    for column, refers_to in names.columns[row.__tablename__].items():
        value = getattr(row, column)
        if refers_to:
            values[column.removesuffix("_id")] = names.of(refers_to, value)
        elif column in JSON_COLUMNS and value is not None:
            values[column] = json.loads(value)
        else:
            values[column] = value
    return FactView(
        id=fact_id(row.__tablename__, row.id),
        table=row.__tablename__,
        thing_id=row.thing_id,
        on=row.so_from,
        told=row.told,
        earliest=row.earliest,
        latest=row.latest,
        counts_from=row.counts_from,
        recorded=row.recorded,
        ranked=row.ranked,
        recorded_on=row.recorded_on,
        by=names.people.get(row.by_id, "unknown"),
        how_known=row.how_known,
        reason=row.reason,
        superseded_by=row.superseded_by,
        superseded_on=row.superseded_on,
        values=values,
        kind=names.kinds.fact(row.__tablename__),
    )


class _Names:
    """The names behind the keys in some facts, read once for all.

    `columns`: by table of facts, its own columns, each with the table it refers to (empty if to none).
    """

    def __init__(self, session: Session, rows: Sequence[Any]) -> None:
        registry = self.kinds = declared(session)
        self.columns: dict[str, dict[str, str]] = {}
        keys: dict[str, set[int]] = defaultdict(set)
        for row in rows:
            keys["contact"].add(row.by_id)
            if row.__tablename__ not in self.columns:
                self.columns[row.__tablename__] = _referring(row)
            for column, refers_to in self.columns[row.__tablename__].items():
                if refers_to and (value := getattr(row, column)) is not None:
                    keys[refers_to].add(value)
        self._names: dict[str, dict[int, str]] = {
            table: registry.thing(table).names(session, wanted)
            if registry.is_thing(table)
            else {key: fact_id(table, key) for key in wanted}
            for table, wanted in keys.items()
        }
        self.people = self._names.get("contact", {})

    def of(self, table: str, key: int | None) -> str | None:
        """The name of a thing in a table; for a fact, its id."""
        return None if key is None else self._names[table].get(key)


def _referring(row: Any) -> dict[str, str]:
    """The own columns of a row's table, each with the table it refers to (empty if to none)."""
    return {
        column.name: "".join(key.column.table.name for key in column.foreign_keys)
        for column in row.__table__.c
        if column.name not in SHARED
    }
