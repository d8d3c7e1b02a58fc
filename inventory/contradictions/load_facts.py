"""Reads what is on record about many things, and finds what does not fit, in a fixed number of statements.

The SQL is text: the tables are those of subjects above this one.
"""

from __future__ import annotations

from collections import defaultdict, namedtuple
from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.contradictions.judgements import OnPart, judged
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among_sql

__all__ = ["load_contradictions", "load_settlements", "parts_seen_again", "parts_to_judge"]

_SHARED = "id thing_id so_from earliest latest counts_from ranked recorded how_known"
_COLUMNS = {
    "seal_sighting": "seal state document_id",
    "marking": "match_code match_code_state match_code_read_from",
    "settlement": "about answer why document_id",
}
_MAKE: dict[str, Any] = {table: namedtuple(table, f"{_SHARED} {names}") for table, names in _COLUMNS.items()}
#: Parts on which something may not fit: few, so that the rest of a large record is not read.
_SUSPECTS = (
    "SELECT bad.thing_id FROM seal_sighting AS bad JOIN seal_sighting AS good ON good.thing_id = bad.thing_id "
    "AND good.seal = bad.seal AND good.state IN ('intact', 'never fitted') WHERE bad.state IN ('missing', 'disturbed') "
    "AND {bad} AND {good} UNION "
    "SELECT fact.thing_id FROM marking AS fact WHERE fact.match_code IS NOT NULL AND {fact} "
    "GROUP BY fact.thing_id HAVING COUNT(DISTINCT fact.match_code) > 1"
)


def load_contradictions(session: Session, keys: Sequence[int], when: AsOf = NOW) -> dict[int, OnPart]:
    """What counts of these parts, and what does not fit, in a state of the record.

    Parts without such facts are left out.
    """
    if not keys:
        return {}
    found = {table: _facts(session, table, keys, AsOf(None, when.known_on)) for table in _COLUMNS}
    seen, read, settled = (found[table] for table in _COLUMNS)
    return {
        key: judged(seen.get(key, ()), read.get(key, ()), settled.get(key, ()), when.until)
        for key in {key for facts in found.values() for key in facts}
    }


def load_settlements(session: Session, keys: Sequence[int], when: AsOf = NOW) -> dict[int, list[Any]]:
    """The settlements of these things in a state of the record, as rows with the columns of `settlement`."""
    return _facts(session, "settlement", keys, when)


def parts_to_judge(session: Session, when: AsOf = NOW) -> list[int]:
    """The keys of all parts on which something may not fit."""
    known = AsOf(None, when.known_on)
    sql = _SUSPECTS.format(**{alias: known.sql(alias) for alias in ("bad", "good", "fact")})
    return [key for (key,) in fetch_all(session, sql, known.parameters)]


def parts_seen_again(session: Session) -> list[int]:
    """The keys of the parts of which one seal was looked at more than once."""
    sql = (
        "SELECT DISTINCT fact.thing_id FROM seal_sighting AS fact WHERE fact.superseded_by IS NULL "
        "GROUP BY fact.thing_id, fact.seal HAVING COUNT(*) > 1"
    )
    return [key for (key,) in fetch_all(session, sql)]


def _facts(session: Session, table: str, keys: Sequence[int], when: AsOf) -> dict[int, list[Any]]:
    wanted, given = among_sql(session, "keys", keys)
    names = ", ".join(f"fact.{name}" for name in (*_SHARED.split(), *_COLUMNS[table].split()))
    sql = f"SELECT {names} FROM {table} AS fact WHERE fact.thing_id {wanted} AND {when.sql('fact')}"  # noqa: S608
    found: dict[int, list[Any]] = defaultdict(list)
    for fact in map(_MAKE[table]._make, fetch_all(session, sql, given | when.parameters)):
        found[fact.thing_id].append(fact)
    return found
