"""Is what is kept of parts, cars, places and people for speed what their facts come to? For `verify`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.tables import Instrument, InstrumentDescription
from inventory.cars.tables import Car, CarDescription
from inventory.parts.current import recomputed
from inventory.parts.history import SHARED
from inventory.parts.judgements import Current
from inventory.parts.tables import Part
from inventory.places.tables import Place, PlaceDescription
from inventory.provenance.tables import Contact, ContactDescription
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.problems import Finding, Problem, named, shown
from inventory.store.tables import Base, FactColumns, SearchEntry
from inventory.store.text import fold

__all__ = ["described_problems", "part_problems"]

#: How many parts are held in memory at once.
BATCH = 2000
_DESCRIBED: tuple[tuple[type[Base], type[FactColumns]], ...] = (
    (Car, CarDescription),
    (Place, PlaceDescription),
    (Contact, ContactDescription),
    (Instrument, InstrumentDescription),
)


def part_problems(session: Session) -> Iterator[Problem]:
    """Parts whose row or search text is not what their facts come to, and search texts of no part."""
    columns = Part.__table__.c
    keys = session.connection().execute(select(columns.id).order_by(columns.id)).scalars().all()
    rows = select(Part.__table__).where(among(columns.id)).order_by(columns.id)
    for start in range(0, len(keys), BATCH):
        parts = session.connection().execute(rows, {"keys": keys[start : start + BATCH]}).all()
        texts = _search_texts(session, [part.id for part in parts])
        findings: list[Finding] = []
        for part, ought in _worked_out(session, parts):
            findings += _part_findings(part, ought, texts)
        yield from named(session, findings)
    stray = select(SearchEntry.part_id).where(SearchEntry.part_id.not_in(select(Part.id))).order_by(SearchEntry.part_id)
    says = ": a search text is kept for it, and it is no part"
    yield from named(
        session, [Finding(key, SearchEntry.__tablename__, "part_id", says) for key in session.scalars(stray)]
    )


def described_problems(session: Session) -> Iterator[Problem]:
    """Cars, places, people and instruments whose row is not what was last written down about them."""
    for model, description in _DESCRIBED:
        told: dict[int, list[Any]] = defaultdict(list)
        for fact in session.scalars(as_of(select(description), description)):
            told[fact.thing_id].append(fact)
        findings: list[Finding] = []
        for row in session.scalars(select(model).order_by(model.__table__.c["id"])):
            findings += _described_findings(row, told[row.id], model, description)  # type: ignore[attr-defined]
        yield from named(session, findings)


def _worked_out(session: Session, parts: Sequence[Any]) -> Iterator[tuple[Any, tuple[Current, str] | None]]:
    """What parts ought to be; None where a fact was changed into what no fact can be."""
    try:
        ought = recomputed(session, parts)
    except (TypeError, ValueError, AttributeError):
        if len(parts) == 1:
            yield parts[0], None
            return
        for part in parts:
            yield from _worked_out(session, [part])
        return
    for part in parts:
        yield part, ought[part.id]


def _part_findings(part: Any, ought: tuple[Current, str] | None, texts: dict[int, Any]) -> Iterator[Finding]:
    if ought is None:
        yield Finding(part.id, Part.__tablename__, None, ": what it is now cannot be told from its facts")
        return
    held = part._mapping
    for name, value in ought[0].columns().items():
        if held[name] != value:
            yield _differs(part.id, Part.__tablename__, name, held[name], value)
    if part.id not in texts:
        says = ": its search text is gone, so it is not found"
        yield Finding(part.id, SearchEntry.__tablename__, None, says)
    elif texts[part.id] != ought[1]:
        says = ": its search text is not what its facts come to, so it may not be found"
        yield Finding(part.id, SearchEntry.__tablename__, "text", says)


def _described_findings(
    row: Any, told: Sequence[Any], model: type[Base], description: type[FactColumns]
) -> Iterator[Finding]:
    for name in model.__table__.c.keys():  # noqa: SIM118 - a collection of columns, not a mapping
        if name not in SHARED and name in description.__table__.c:  # type: ignore[attr-defined]
            said = [getattr(fact, name) for fact in told if getattr(fact, name) is not None]
            if getattr(row, name) != (said[-1] if said else None):
                yield _differs(row.id, model.__tablename__, name, getattr(row, name), said[-1] if said else None)
    folded = getattr(row, "name_folded", None)
    if folded is not None and folded != fold(str(row.name)):
        yield _differs(row.id, model.__tablename__, "name_folded", folded, fold(str(row.name)))


def _differs(thing_id: int, table: str, column: str, now: object, ought: object) -> Finding:
    name = column.removesuffix("_id").replace("_", " ")
    return Finding(thing_id, table, column, f": {name} is {shown(now)}; by its facts it is {shown(ought)}")


def _search_texts(session: Session, keys: Sequence[int]) -> dict[int, Any]:
    query = select(SearchEntry.part_id, SearchEntry.text).where(among(SearchEntry.part_id))
    return dict(session.connection().execute(query, {"keys": keys}).all())
