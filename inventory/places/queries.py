"""Reading places."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.parts.tables import Part
from inventory.places.tables import Place
from inventory.store.words.near import known_name
from inventory.store.words.text import clean

__all__ = ["PlaceView", "place_named", "places"]


@dataclass(frozen=True)
class PlaceView:
    """A place as described now, and how many parts are stored there."""

    id: int
    name: str
    premises: str | None
    parts: int


def places(session: Session) -> list[PlaceView]:
    """All places, by name."""
    counted = select(Part.place_id, func.count()).where(Part.place_id.is_not(None)).group_by(Part.place_id)
    counts = {key: many for key, many in session.execute(counted)}  # noqa: C416 - rows are not pairs to mypy
    rows = session.scalars(select(Place).order_by(Place.name_folded))
    return [PlaceView(row.id, row.name or "", row.premises, counts.get(row.id, 0)) for row in rows]


def place_named(session: Session, name: str) -> PlaceView:
    """The place of this name; case and spaces do not matter. Raises `UnknownName` with near names if there is none."""
    every = places(session)
    to_add = f'to enter it: matchmark place add "{clean(name)}"'
    meant = known_name(session.info, "place", name, (place.name for place in every), to_add)
    return next(place for place in every if place.name == meant)
