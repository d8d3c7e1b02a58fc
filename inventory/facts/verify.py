"""Checks, for `verify`, whether the rows of things and their search texts follow from their facts, and redactions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import ThingKind, declared
from inventory.facts.free_texts import REMOVED, free_texts
from inventory.facts.write import recomputed
from inventory.store.facts import fact_id
from inventory.store.journal.images import read_images
from inventory.store.many import among
from inventory.store.tables import JournalEntry, Redaction, SearchEntry
from inventory.store.verify.cuts import UNREADABLE, Cut
from inventory.store.verify.problems import Finding, Problem, named, shown
from inventory.store.words.text import fold

__all__ = ["cut_problems", "row_problems"]

#: How many rows are in memory at once.
BATCH = 2000


def row_problems(session: Session) -> Iterator[Problem]:
    """Rows and search texts that do not follow from the facts, and search texts without a thing."""
    searched: list[ThingKind] = []
    for thing in declared(session).things:
        if thing.compute_row is not ThingKind.compute_row:
            yield from _of_kind(session, thing)
        if thing.search is not None:
            searched.append(thing)
    for thing in searched:
        keys = select(thing.table.__table__.c["id"])
        stray = select(SearchEntry.part_id).where(SearchEntry.part_id.not_in(keys)).order_by(SearchEntry.part_id)
        says = f": it has a search text but is not a {thing.word}"
        found = [Finding(key, SearchEntry.__tablename__, "part_id", says) for key in session.scalars(stray)]
        yield from named(session, found)


def cut_problems(session: Session, cuts: Iterable[Cut]) -> list[Problem]:
    """Redactions that the program does not make: of what is no free text, or of a text that has no mark of it."""
    registry, findings = declared(session), []
    entry = JournalEntry.__table__
    for cut in cuts:
        known = all(isinstance(name, str) for name in (cut.table, cut.column))
        known = known and (registry.is_fact(cut.table) or registry.is_thing(cut.table))
        of = f": {fact_id(Redaction, cut.key)} says that words were removed from entry {cut.sequence}"
        if not known or cut.column not in free_texts(registry, cut.table):
            says = f"{of}, from {shown(cut.column)} of {shown(cut.table)}, which is no free text"
            findings.append(Finding(cut.thing_id, Redaction.__tablename__, "of_column", says, cut.by))
            continue
        this = (entry.c.thing_id == cut.thing_id) & (entry.c.sequence == cut.sequence)
        held = session.connection().execute(select(entry).where(this)).mappings().first()
        if not (held and _has_mark(dict(held), cut)):
            says = f"{of}, and the text there does not show it"
            findings.append(Finding(cut.thing_id, Redaction.__tablename__, "of_column", says, cut.by))
    return named(session, findings)


def _has_mark(entry: dict[str, Any], cut: Cut) -> bool:
    """Whether the text that was cut stands in its entry as the program leaves it."""
    try:
        written = read_images(entry)
        rows = [
            image for table, key, image in (*written.made, *written.changed) if (table, key) == (cut.table, cut.row)
        ]
        texts = [row[cut.column] for row in rows if cut.column in row]
        return any(REMOVED in text or fold(REMOVED) in text for text in texts)
    except UNREADABLE:
        return False


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
    """The expected rows; None if a fact was changed to something impossible."""
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
        yield Finding(row.id, thing.name, None, ": its current state cannot be computed from its facts")
        return
    held = row._mapping
    for name, value in ought[0].items():
        if held[name] != value:
            says = f": {name.removesuffix('_id').replace('_', ' ')} is {shown(held[name])}"
            yield Finding(row.id, thing.name, name, f"{says}; its facts give {shown(value)}")
    if thing.search is None:
        return
    if row.id not in texts:
        says = ": its search text is gone, so a search cannot find it"
        yield Finding(row.id, SearchEntry.__tablename__, None, says)
    elif texts[row.id] != ought[1]:
        says = ": its search text does not follow from its facts, so a search may miss it"
        yield Finding(row.id, SearchEntry.__tablename__, "text", says)


def _search_texts(session: Session, keys: Sequence[int]) -> dict[int, Any]:
    query = select(SearchEntry.part_id, SearchEntry.text).where(among(SearchEntry.part_id))
    return dict(session.connection().execute(query, {"keys": keys}).all())
