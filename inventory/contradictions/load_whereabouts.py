"""Reads where parts are said to be, and finds what does not fit: of each part, and of the positions it was at.

The SQL is text: the tables are those of subjects above this one.
"""

from __future__ import annotations

from collections import defaultdict, namedtuple
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.contradictions.load_rows import load_rows
from inventory.contradictions.positions import at_one_position
from inventory.contradictions.whereabouts import CAME, LEFT, PLACE_COLUMNS, Whereabouts, whereabouts_of
from inventory.facts.how_known import OWN
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf
from inventory.store.many import among_sql

__all__ = ["load_whereabouts", "parts_in_doubt", "parts_on_car"]

_SHARED = PLACE_COLUMNS[:9]
_COLUMNS: Any = ("table", "says", *PLACE_COLUMNS, "car", "position", "tag")
_MAKE: Any = namedtuple("PlaceFact", _COLUMNS)._make  # type: ignore[attr-defined]
_ON_CAR = "LEFT JOIN car ON car.id = fact.car_id LEFT JOIN position ON position.id = fact.position_id"
#: For each table: what a fact says, its own columns of `PLACE_COLUMNS`, the names of car and position, and joins.
_TABLES = {
    "fitting": ("''", "fact.car_id, fact.position_id, NULL, fact.override", "car.name, position.name", _ON_CAR),
    "removal": ("''", "fact.car_id, fact.position_id, fact.strip_down_id, NULL", "car.name, position.name", _ON_CAR),
    "move": (
        "COALESCE(place.name, '')",
        "NULL, NULL, NULL, NULL",
        "NULL, NULL",
        "LEFT JOIN place ON place.id = fact.place_id",
    ),
    "provenance": ("fact.how", "NULL, NULL, NULL, NULL", "NULL, NULL", ""),
}
#: Looks and tests that show a part here, with what they say. What is read on a part is often entered later.
_LOOKS = {
    "seal_sighting": "'seal ' || fact.seal || ' looked at here'",
    "assessment": "'looked at here'",
    "bench_run": "fact.procedure || ' measured here'",
}


def load_whereabouts(session: Session, keys: Sequence[int], when: AsOf) -> dict[int, Whereabouts]:
    """What does not fit about where these parts are; those of which all fits are left out."""
    facts = _facts(session, keys, when)
    positions = {fact.position_id for told in facts.values() for fact in told if fact.position_id is not None}
    others = _ever_at(session, positions, when) - set(keys) if positions else set()
    facts |= _facts(session, sorted(others), when) if others else {}
    if not facts:
        return {}
    settled = load_rows(session, "settlement", list(facts), when)
    left = [key for key, told in facts.items() if any(fact.says in LEFT for fact in told if fact.table == "provenance")]
    looks = _looks(session, left, when) if left else {}
    where = {key: whereabouts_of([*told, *looks.get(key, ())], settled.get(key, ())) for key, told in facts.items()}
    found = {key: where[key] for key in keys if key in where and where[key] != Whereabouts()}
    for contradiction, parts in _at_positions(positions, facts, where, settled):
        for key in parts & set(keys):
            its = found.get(key, where[key])
            found[key] = replace(its, contradictions=(*its.contradictions, contradiction))
    return found


def _at_positions(
    positions: Iterable[int],
    facts: dict[int, list[Any]],
    where: dict[int, Whereabouts],
    settled: dict[int, list[Any]],
) -> Iterable[tuple[Any, set[int]]]:
    """Each contradiction about a position, with the keys of its parts."""
    by_position: dict[int, set[int]] = defaultdict(set)
    for key, told in facts.items():
        for fact in told:
            by_position[fact.position_id].add(key)
    for position in sorted(positions):
        parts = by_position[position]
        if len(parts) < 2:
            continue
        settling = [each for key in parts for each in settled.get(key, ())]
        for found in at_one_position(position, [fact for key in parts for fact in facts[key]], where, settling):
            yield found, {look.thing for look in found.looks}


def parts_in_doubt(session: Session, when: AsOf) -> list[int]:
    """The keys of all parts about whose place something may not fit: few, so that the rest is not read."""
    stands = {alias: when.sql(alias) for alias in ("fact", "other")}
    left = ", ".join(f"'{how}'" for how in sorted(LEFT))
    later = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} AS other WHERE other.thing_id = fact.thing_id "  # noqa: S608
        f"AND other.counts_from > fact.counts_from AND {stands['other']})"
        for table in ("fitting", "removal", "move", *_LOOKS)
    )
    # One that came back is not fitted any more.
    fitted = (
        "EXISTS (SELECT 1 FROM fitting AS other WHERE other.thing_id = fact.thing_id "  # noqa: S608
        f"AND {stands['other']})"
    )
    again = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} AS other WHERE other.thing_id = fact.thing_id "  # noqa: S608
        f"AND ({differs}) AND {stands['other']})"
        for table, differs in (
            ("fitting", "other.id <> fact.id"),
            ("move", "other.counts_from >= fact.counts_from"),
            ("removal", "other.car_id <> fact.car_id OR other.position_id <> fact.position_id"),
        )
    )
    at = " UNION ".join(
        f"SELECT position_id, thing_id FROM {table} AS fact WHERE position_id IS NOT NULL AND {stands['fact']}"  # noqa: S608
        for table in ("fitting", "removal")
    )
    shared = f"SELECT position_id FROM ({at}) AS here GROUP BY position_id HAVING COUNT(*) > 1"  # noqa: S608
    sql = (
        f"SELECT fact.thing_id FROM provenance AS fact WHERE fact.how IN ({left}) AND {stands['fact']} "  # noqa: S608
        f"AND ({later} OR {fitted}) "
        f"UNION SELECT fact.thing_id FROM fitting AS fact WHERE {stands['fact']} AND ({again}) "
        f"UNION SELECT here.thing_id FROM ({at}) AS here WHERE here.position_id IN ({shared})"
    )
    return [key for (key,) in fetch_all(session, sql, when.parameters)]


def parts_on_car(session: Session, car: int, when: AsOf) -> list[int]:
    """The keys of the parts that were ever on a car."""
    sql = " UNION ".join(
        f"SELECT fact.thing_id FROM {table} AS fact WHERE fact.car_id = :car AND {when.sql('fact')}"  # noqa: S608
        for table in ("fitting", "removal")
    )
    return [key for (key,) in fetch_all(session, sql, {"car": car, **when.parameters})]


def _facts(session: Session, keys: Collection[int], when: AsOf) -> dict[int, list[Any]]:
    wanted, given = among_sql(session, "keys", keys)
    shared = ", ".join(f"fact.{name}" for name in _SHARED)
    sql = " UNION ALL ".join(
        f"SELECT '{table}', {says}, {shared}, {own}, {names}, part.tag FROM {table} AS fact "  # noqa: S608
        f"JOIN part ON part.id = fact.thing_id {joins} WHERE fact.thing_id {wanted} AND {when.sql('fact')}"
        for table, (says, own, names, joins) in _TABLES.items()
    )
    found: dict[int, list[Any]] = defaultdict(list)
    for fact in map(_MAKE, fetch_all(session, sql, given | when.parameters)):
        if fact.table != "provenance" or fact.says in LEFT | CAME:
            found[fact.thing_id].append(fact)
    return dict(found)


def _looks(session: Session, keys: Collection[int], when: AsOf) -> dict[int, list[Any]]:
    wanted, given = among_sql(session, "keys", keys)
    shared = ", ".join(f"fact.{name}" for name in _SHARED)
    sql = " UNION ALL ".join(
        f"SELECT '{table}', {says}, {shared} FROM {table} AS fact "  # noqa: S608
        f"WHERE fact.how_known IN {OWN} AND fact.thing_id {wanted} AND {when.sql('fact')}"
        for table, says in _LOOKS.items()
    )
    found: dict[int, list[Any]] = defaultdict(list)
    for row in fetch_all(session, sql, given | when.parameters):
        fact = _MAKE((*row, *[None] * (len(PLACE_COLUMNS) - len(_SHARED)), None, None, None))
        found[fact.thing_id].append(fact)
    return found


def _ever_at(session: Session, positions: Iterable[int], when: AsOf) -> set[int]:
    wanted, given = among_sql(session, "positions", positions)
    sql = " UNION ".join(
        f"SELECT fact.thing_id FROM {table} AS fact WHERE fact.position_id {wanted} AND {when.sql('fact')}"  # noqa: S608
        for table in ("fitting", "removal")
    )
    return {key for (key,) in fetch_all(session, sql, given | when.parameters)}
