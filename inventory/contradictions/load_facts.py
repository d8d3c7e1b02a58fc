"""Reads what is on record about many parts, and finds what does not fit, in a fixed number of statements.

The SQL is text: the tables are those of subjects above this one.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy.orm import Session

from inventory.contradictions.judgements import OnPart, judged
from inventory.contradictions.load_rows import load_rows
from inventory.contradictions.load_whereabouts import load_whereabouts, parts_in_doubt
from inventory.contradictions.whereabouts import Whereabouts
from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import NOW, AsOf

__all__ = ["load_contradictions", "parts_seen_again", "parts_to_judge"]

#: Parts on which something may not fit: few, so that the rest of a large record is not read.
_SUSPECTS = (
    "SELECT bad.thing_id FROM seal_sighting AS bad JOIN seal_sighting AS good ON good.thing_id = bad.thing_id "
    "AND good.seal = bad.seal AND good.state IN ('intact', 'never fitted') WHERE bad.state IN ('missing', 'disturbed') "
    "AND {bad} AND {good} UNION "
    "SELECT fact.thing_id FROM marking AS fact WHERE {fact} GROUP BY fact.thing_id "
    "HAVING COUNT(DISTINCT fact.match_code) > 1 OR COUNT(DISTINCT fact.part_number) > 1 "
    "OR COUNT(DISTINCT fact.serial) > 1"
)


def load_contradictions(session: Session, keys: Sequence[int], when: AsOf = NOW) -> dict[int, OnPart]:
    """What counts of these parts, and what does not fit, in a state of the record.

    Parts without such facts are left out.
    """
    if not keys:
        return {}
    known = when.of_any_day
    tables = ("seal_sighting", "marking", "settlement")
    seen, read, settled = (load_rows(session, table, keys, known) for table in tables)
    where = load_whereabouts(session, keys, when)
    return {
        key: judged(
            seen.get(key, ()), read.get(key, ()), settled.get(key, ()), when.until, where.get(key, Whereabouts())
        )
        for key in {*seen, *read, *settled, *where}
    }


def parts_to_judge(session: Session, when: AsOf = NOW) -> list[int]:
    """The keys of all parts on which something may not fit."""
    known = when.of_any_day
    sql = _SUSPECTS.format(**{alias: known.sql(alias) for alias in ("bad", "good", "fact")})
    found = {key for (key,) in fetch_all(session, sql, known.parameters)}
    return sorted(found | set(parts_in_doubt(session, when)))


def parts_seen_again(session: Session) -> list[int]:
    """The keys of the parts with several looks (at a seal, a letter, as a whole) or moves, and of those fitted."""
    sql = (
        "SELECT fact.thing_id FROM seal_sighting AS fact WHERE fact.superseded_by IS NULL "
        "GROUP BY fact.thing_id, fact.seal HAVING COUNT(*) > 1 "
        "UNION SELECT fact.thing_id FROM fitting AS fact WHERE fact.superseded_by IS NULL "
        "UNION SELECT fact.thing_id FROM assessment AS fact WHERE fact.superseded_by IS NULL "
        "GROUP BY fact.thing_id HAVING COUNT(*) > 1 "
        "UNION SELECT fact.thing_id FROM marking AS fact WHERE fact.superseded_by IS NULL "
        "AND fact.match_code_state IS NOT NULL GROUP BY fact.thing_id HAVING COUNT(*) > 1 "
        "UNION SELECT fact.thing_id FROM move AS fact WHERE fact.superseded_by IS NULL "
        "GROUP BY fact.thing_id HAVING COUNT(*) > 1"
    )
    return [key for (key,) in fetch_all(session, sql)]
