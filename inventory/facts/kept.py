"""Is what is kept of things for speed what their facts come to? For `verify`: their rows, and their search texts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import ThingKind, declared
from inventory.facts.write import recomputed
from inventory.store.many import among
from inventory.store.tables import SearchEntry
from inventory.store.verify.problems import Finding, Problem, named, shown

__all__ = ["kept_problems"]

#: How many rows are held in memory at once.
BATCH = 2000


def kept_problems(session: Session) -> Iterator[Problem]:
    """Rows and search texts that are not what their facts come to, and search texts of nothing."""
    searched: list[ThingKind] = []
    for thing in declared(session).things:
        if thing.now is not ThingKind.now:
            yield from _of_kind(session, thing)
        if thing.search is not None:
            searched.append(thing)
    for thing in searched:
        keys = select(thing.table.__table__.c["id"])
        stray = select(SearchEntry.part_id).where(SearchEntry.part_id.not_in(keys)).order_by(SearchEntry.part_id)
        says = f": a search text is kept for it, and it is no {thing.word}"
        found = [Finding(key, SearchEntry.__tablename__, "part_id", says) for key in session.scalars(stray)]
        yield from named(session, found)


def _of_kind(session: Session, thing: ThingKind) -> Iterator[Problem]:
    columns = thing.table.__table__.c
    keys = session.connection().execute(select(columns["id"]).order_by(columns["id"])).scalars().all()
    query = select(thing.table.__table__).where(among(columns["id"])).order_by(columns["id"])
    for start in range(0, len(keys), BATCH):
        rows = session.connection().execute(query, {"keys": keys[start : start + BATCH]}).all()
        texts = _search_texts(session, [row.id for row in rows]) if thing.search is not None else {}
        findings: list[Finding] = []
        for row, ought in _worked_out(session, thing, rows):
            findings += _findings(thing, row, ought, texts)
        yield from named(session, findings)


def _worked_out(
    session: Session, thing: ThingKind, rows: Sequence[Any]
) -> Iterator[tuple[Any, tuple[dict[str, Any], str] | None]]:
    """What rows ought to be; None where a fact was changed into what no fact can be."""
    try:
        ought = recomputed(session, thing, rows)
    except (TypeError, ValueError, AttributeError):
        if len(rows) == 1:
            yield rows[0], None
            return
        for row in rows:
            yield from _worked_out(session, thing, [row])
        return
    for row in rows:
        yield row, ought[row.id]


def _findings(
    thing: ThingKind, row: Any, ought: tuple[dict[str, Any], str] | None, texts: dict[int, Any]
) -> Iterator[Finding]:
    if ought is None:
        yield Finding(row.id, thing.name, None, ": what it is now cannot be told from its facts")
        return
    held = row._mapping
    for name, value in ought[0].items():
        if held[name] != value:
            says = f": {name.removesuffix('_id').replace('_', ' ')} is {shown(held[name])}"
            yield Finding(row.id, thing.name, name, f"{says}; by its facts it is {shown(value)}")
    if thing.search is None:
        return
    if row.id not in texts:
        says = ": its search text is gone, so it is not found"
        yield Finding(row.id, SearchEntry.__tablename__, None, says)
    elif texts[row.id] != ought[1]:
        says = ": its search text is not what its facts come to, so it may not be found"
        yield Finding(row.id, SearchEntry.__tablename__, "text", says)


def _search_texts(session: Session, keys: Sequence[int]) -> dict[int, Any]:
    query = select(SearchEntry.part_id, SearchEntry.text).where(among(SearchEntry.part_id))
    return dict(session.connection().execute(query, {"keys": keys}).all())
