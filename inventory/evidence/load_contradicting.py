"""Finds the tests on record that came out both ways: of the few parts with repeated tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inventory.store.connection.readonly import fetch_all
from inventory.store.facts import AsOf

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.bench.runs.queries import RunView
    from inventory.contradictions.looks import Contradiction

__all__ = ["load_contradicting_tests"]


def load_contradicting_tests(
    session: Session,
    keys: Sequence[int] | None,
    when: AsOf,
    *,
    runs: Mapping[int, list[RunView]] | None = None,
) -> dict[int, tuple[Contradiction, ...]]:
    """The tests on some parts, or on all, that stand against each other or were settled by word only.

    `runs`: of all parts, if they were read already.
    """
    sql = (
        "SELECT DISTINCT fact.thing_id, car.id FROM bench_run AS fact LEFT JOIN car ON car.id = fact.thing_id "  # noqa: S608
        f"WHERE {when.sql('fact')} GROUP BY fact.thing_id, car.id, fact.procedure HAVING COUNT(*) > 1"
    )
    rows = fetch_all(session, sql, when.parameters)
    repeated = {key for key, car in rows if car is None}
    mixtures = None
    if any(car is not None for _, car in rows):
        from inventory.evidence.load_facts import mixtures_of

        mixtures = mixtures_of(session, when)
        repeated |= _parts(session, [tag for tag, runs in mixtures.items() if len(runs) > 1])
    wanted = sorted(repeated if keys is None else repeated.intersection(keys))
    if not wanted:
        return {}
    from inventory.evidence.queries import evidence_of_many

    found = evidence_of_many(session, wanted, when, runs=runs, mixtures=mixtures)
    return {key: each.of_tests for key, each in found.items() if each.of_tests}


def _parts(session: Session, tags: Sequence[str]) -> set[int]:
    from sqlalchemy import select

    from inventory.parts.tables import Part
    from inventory.store.many import among

    return set(session.scalars(select(Part.id).where(among(Part.tag, tags)))) if tags else set()
