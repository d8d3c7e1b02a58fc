"""Facts of any thing, as people and JSON are shown them: with names instead of keys."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.tables import Instrument
from inventory.cars.tables import Car, Position
from inventory.parts.tables import Part, PartNumber
from inventory.places.tables import Place
from inventory.provenance.tables import Contact, Document
from inventory.store import personal
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among
from inventory.store.tables import FactColumns, Thing
from inventory.tables import FACTS

__all__ = ["FactView", "Named", "facts_of", "facts_of_many", "names_of_people", "things_named", "views"]

#: Columns that every fact has, and that a view shows under names of its own.
SHARED = frozenset(FactColumns.__annotations__)
_JSON_COLUMNS = frozenset({"readings", "conditions", "extra"})


@dataclass(frozen=True)
class FactView:
    """One fact. `values` holds what is particular to its table, keys replaced by names; `on` is EDTF."""

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


class Named(NamedTuple):
    """A thing by its kind and its name: a tag, what people call it, a number as written."""

    kind: str
    name: str


def facts_of(
    session: Session,
    thing_id: int,
    tables: Iterable[type[FactColumns]] | None = None,
    *,
    superseded: bool = False,
) -> list[FactView]:
    """The facts of one thing that stand (with `superseded`: all ever written), oldest first."""
    return facts_of_many(session, [thing_id], tables, superseded=superseded)[thing_id]


def facts_of_many(
    session: Session,
    things: Sequence[int],
    tables: Iterable[type[FactColumns]] | None = None,
    when: AsOf = NOW,
    *,
    superseded: bool = False,
) -> dict[int, list[FactView]]:
    """The same for several things at once, by their keys, in a state of the record; a question for each table."""
    rows: list[Any] = []
    for model in tables if tables is not None else FACTS.values():
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


def _view(row: Any, names: _Names) -> FactView:
    values: dict[str, Any] = {}
    for column in row.__table__.c:
        if column.name in SHARED:
            continue
        value = getattr(row, column.name)
        if column.name in names.texts:
            values[names.shown_as(column.name)] = names.texts[column.name].get(value)
        elif column.name in _JSON_COLUMNS and value is not None:
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
    )


class _Names:
    """The names behind the keys that a set of facts holds, read once for all of them."""

    def __init__(self, session: Session, rows: Sequence[Any]) -> None:
        keys: dict[str, set[int]] = defaultdict(set)
        for row in rows:
            for column in row.__table__.c.keys():  # noqa: SIM118
                if column.endswith("_id") and (value := getattr(row, column)) is not None:
                    keys[column].add(value)
        self.people = names_of_people(session, keys["by_id"] | keys["party_id"])
        self.texts: dict[str, dict[int, Any]] = {
            "car_id": _column(session, Car.id, Car.name, keys["car_id"]),
            "position_id": _column(session, Position.id, Position.name, keys["position_id"]),
            "place_id": _column(session, Place.id, Place.name, keys["place_id"]),
            "unit_id": _column(session, Part.id, Part.tag, keys["unit_id"]),
            "unit_number_id": _column(session, PartNumber.id, PartNumber.written, keys["unit_number_id"]),
            "by_number_id": _column(session, PartNumber.id, PartNumber.written, keys["by_number_id"]),
            "document_id": _column(session, Document.id, Document.file_name, keys["document_id"]),
            "strip_down_id": {key: fact_id("strip_down", key) for key in keys["strip_down_id"]},
            "party_id": dict(self.people),
        }

    @staticmethod
    def shown_as(column: str) -> str:
        return column.removesuffix("_id")


def _column(session: Session, key: Any, text: Any, wanted: set[int]) -> dict[int, Any]:
    if not wanted:
        return {}
    return {row[0]: row[1] for row in session.execute(select(key, text).where(among(key, wanted)))}


def things_named(session: Session) -> dict[int, Named]:
    """Every thing that facts are told of, by key; one that has no name is named by its kind and key."""
    every = {key: Named(kind, f"{kind}-{key}") for key, kind in session.execute(select(Thing.id, Thing.kind))}
    columns = (Part.tag, Car.name, Place.name, Position.name, PartNumber.written, Document.file_name, Instrument.name)
    for column in columns:
        for key, name in session.execute(select(column.class_.id, column)):
            every[key] = Named(every[key].kind, name)
    for key, name in names_of_people(session, [key for key, thing in every.items() if thing.kind == "contact"]).items():
        every[key] = Named("contact", name)
    return every


def names_of_people(session: Session, keys: Iterable[int]) -> dict[int, str]:
    """The names of contacts by key; one that was removed reads so."""
    wanted = set(keys)
    if not wanted:
        return {}
    query = select(Contact.id, Contact.name_digest).where(among(Contact.id, wanted))
    digests = {key: digest for key, digest in session.execute(query) if digest}
    texts = personal.read(session, set(digests.values()))
    return {key: texts.get(digest, personal.BLANKED) for key, digest in digests.items()}
