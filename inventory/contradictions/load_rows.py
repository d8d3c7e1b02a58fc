"""Reads the facts about many things that looks and settlements are judged from, as rows of their columns.

The SQL is text: the tables are those of subjects above this one.
"""

from __future__ import annotations

from collections import defaultdict, namedtuple
from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf
from inventory.store.many import among_sql

__all__ = ["load_rows"]

_SHARED = "id thing_id so_from earliest latest counts_from ranked recorded how_known"
_COLUMNS = {
    "seal_sighting": "seal state document_id",
    "marking": "match_code match_code_state match_code_read_from part_number serial date_code",
    "settlement": "about answer why document_id",
}
_MAKE: dict[str, Any] = {table: namedtuple(table, f"{_SHARED} {names}") for table, names in _COLUMNS.items()}


def load_rows(session: Session, table: str, keys: Sequence[int], when: AsOf) -> dict[int, list[Any]]:
    """The facts of one table in a state of the record, by thing, in no order."""
    wanted, given = among_sql(session, "keys", keys)
    names = ", ".join(f"fact.{name}" for name in (*_SHARED.split(), *_COLUMNS[table].split()))
    sql = f"SELECT {names} FROM {table} AS fact WHERE fact.thing_id {wanted} AND {when.sql('fact')}"  # noqa: S608
    found: dict[int, list[Any]] = defaultdict(list)
    for fact in map(_MAKE[table]._make, fetch_all(session, sql, given | when.parameters)):
        found[fact.thing_id].append(fact)
    return found
