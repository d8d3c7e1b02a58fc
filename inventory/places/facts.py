"""What can be said of a place, and that a part was put in one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, Section, ThingKind, Told, one_by_one
from inventory.facts.described import last_words, name_of_its_own, only_descriptions
from inventory.facts.values import named, text
from inventory.places.queries import place_named
from inventory.places.tables import Move, Place, PlaceDescription
from inventory.store.many import among

__all__ = ["FACTS", "THINGS"]


def _settle(session: Session, told: Told) -> None:
    told.columns["name"] = name_of_its_own(session, Place, "place", told)


def _moved(fact: Any) -> str:
    if fact.how_known not in ("seen", "measured"):
        return ""
    return "put in its place" if fact.place_id is not None else "taken from its place"


FACTS = (
    FactKind(
        PlaceDescription,
        "place",
        ("place",),
        (text("name", "shelf B2", short=True), text("premises", "the barn")),
        settle=one_by_one(_settle),
        for_now="told",
        stays=only_descriptions(PlaceDescription),
    ),
    FactKind(
        Move,
        "move",
        ("part",),
        (named("place", "place", "shelf B2"),),
        says=lambda values: f"put in {values['place']}" if values.get("place") else "taken from where it lay",
        section=Section("moves", "Moved", "Where"),
        for_now="moves",
        shows_part=_moved,
    ),
)
"""What is written of a place, and a part's move to one."""


def _find(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    return place_named(session, typed).id


def _names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Place.id, Place.name).where(among(Place.id, keys)))
    return {key: name or "" for key, name in rows}


THINGS = (ThingKind("place", Place, _find, _names, last_words("name", "premises")),)
"""Places in the house."""
