"""Facts of any thing, as people and JSON are shown them: with names instead of keys."""

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

#: Columns that every fact has, and that a view shows under names of its own.
SHARED = frozenset(FactColumns.__annotations__)
#: Columns that hold canonical JSON.
JSON_COLUMNS = frozenset({"readings", "conditions", "extra"})


@dataclass(frozen=True)
class FactView:
    """One fact. `values` holds what is particular to its kind, keys replaced by names; `on` is EDTF."""

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
        """What it says in a line of words, without when and by whom."""
        return self.kind.says(self.values)

    def as_dict(self) -> dict[str, Any]:
        """The object that stands in JSON: the fact's own values, its id, time, hand and how it is known."""
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
    """The columns that are particular to a table of facts."""
    return [name for name in model.__table__.c.keys() if name not in SHARED]  # noqa: SIM118 - no mapping


def facts_of(
    session: Session,
    thing_id: int,
    tables: Iterable[type[FactColumns]] | None = None,
    when: AsOf = NOW,
    *,
    superseded: bool = False,
) -> list[FactView]:
    """The facts of one thing in a state of the record (with `superseded`: all ever written), oldest first."""
    return facts_of_many(session, [thing_id], tables, when, superseded=superseded)[thing_id]


def facts_of_many(
    session: Session,
    things: Sequence[int],
    tables: Iterable[type[FactColumns]] | None = None,
    when: AsOf = NOW,
    *,
    superseded: bool = False,
) -> dict[int, list[FactView]]:
    """The same for several things at once, by their keys; as many queries as there are tables."""
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
    """Rows of facts as they are shown, oldest first by the day they count from."""
    names = _Names(session, rows)
    ordered = sorted(rows, key=lambda row: (row.counts_from, row.ranked, row.__tablename__, row.id))
    return [_view(row, names) for row in ordered]


def values_of(session: Session, row: Any) -> dict[str, Any]:
    """What one row says, with names instead of keys."""
    return views(session, [row])[0].values


def _view(row: Any, names: _Names) -> FactView:
    values: dict[str, Any] = {}
    for column in row.__table__.c:
        if column.name in SHARED:
            continue
        value = getattr(row, column.name)
        if column.foreign_keys:
            values[column.name.removesuffix("_id")] = names.of(column, value)
        elif column.name in JSON_COLUMNS and value is not None:
            values[column.name] = json.loads(value)
        else:
            values[column.name] = value
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
    """The names behind the keys that a set of facts holds, read once for all of them."""

    def __init__(self, session: Session, rows: Sequence[Any]) -> None:
        house = self.kinds = declared(session)
        keys: dict[str, set[int]] = defaultdict(set)
        for row in rows:
            keys["contact"].add(row.by_id)
            for column in row.__table__.c:
                own = column.name not in SHARED and column.foreign_keys
                if own and (value := getattr(row, column.name)) is not None:
                    keys[_table_of(column)].add(value)
        self._names: dict[str, dict[int, str]] = {
            table: house.thing(table).names(session, wanted)
            if house.is_thing(table)
            else {key: fact_id(table, key) for key in wanted}
            for table, wanted in keys.items()
        }
        self.people = self._names.get("contact", {})

    def of(self, column: Any, key: int | None) -> str | None:
        """The name of what a column holds the key of; of a fact its id."""
        return None if key is None else self._names[_table_of(column)].get(key)


def _table_of(column: Any) -> str:
    """The table that a column points to."""
    (key,) = column.foreign_keys
    return str(key.column.table.name)
