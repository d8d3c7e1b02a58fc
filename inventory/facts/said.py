"""What is said of a thing, put into the columns of a fact and checked: a fact that is typed, or the rows of a sheet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import cache
from typing import Any, TypeAlias

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactKind, Told, Values, declared
from inventory.facts.views import own_columns
from inventory.store.images import canonical

__all__ = ["KeyOf", "key_on_record", "merge", "put", "settle"]

#: Gives the key of what a name in a fact means, by the table of the thing; None: it gets its key later.
KeyOf: TypeAlias = Callable[[Told, str, str, str], int | None]


def merge(into: dict[str, Any], more: Values) -> None:
    """Add values to others; those that hold several by name are completed, not replaced."""
    for name, value in more.items():
        both = isinstance(value, dict) and isinstance(into.get(name), dict)
        into[name] = {**into[name], **value} if both else value


def put(kind: FactKind, told: Told, values: Values, names: Collection[str], key_of: KeyOf) -> None:
    """Put the values of these names into the columns of a fact: names as keys, lists and mappings as JSON."""
    for column, table in _columns(kind):
        if (name := column.removesuffix("_id")) in names or (name := column) in names:
            value = values[name]
            if table and value is not None:
                value = key_of(told, column, table, value)
            told.columns[column] = canonical(value) if isinstance(value, (list, dict)) else value


@cache
def _columns(kind: FactKind) -> tuple[tuple[str, str], ...]:
    """The columns that are particular to a table of facts, each with the table whose keys it holds, "" for none."""
    found = []
    for name in own_columns(kind.table):
        keys = kind.table.__table__.c[name].foreign_keys
        found.append((name, str(next(iter(keys)).column.table.name) if keys else ""))
    return tuple(found)


def key_on_record(session: Session) -> KeyOf:
    """The way to look up what names mean; refuses one that is not on record."""
    house = declared(session)

    def key_of(told: Told, _column: str, table: str, name: str) -> int | None:
        if not house.is_thing(table):
            raise Refused(
                "not-corrected-here",
                f'"{table.replace("_", " ")}" cannot be corrected',
                hint="withdraw the fact and write it anew",
            )
        return house.thing(table).find(session, name, told.columns)

    return key_of


def settle(session: Session, kind: FactKind, every: Sequence[Told]) -> None:
    """Check facts of one kind as they are checked on the way in; one that leaves empty what is needed is refused."""
    kind.settle(session, every)
    needed = [column for column in own_columns(kind.table) if not kind.table.__table__.c[column].nullable]
    for told in every:
        empty = [column for column in needed if told.columns[column] is None and column not in told.named]
        if empty and told.refused is None:
            shown = empty[0].removesuffix("_id").replace("_", " ")
            told.refused = Refused("value-missing", f'"{shown}" cannot be empty', where=shown)
