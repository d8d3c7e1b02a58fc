"""The facts about a place, and a part's move to one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.facts.declare import FactDraft, FactKind, Section, ThingKind, one_by_one
from inventory.facts.descriptions import latest_values, only_description, unique_name
from inventory.facts.values import named, text
from inventory.places.queries import free_label, place_named, refuse_circle
from inventory.places.tables import Move, Place, PlaceDescription
from inventory.store.many import among

__all__ = ["FACTS", "THINGS"]


def _validate(session: Session, draft: FactDraft) -> None:
    columns, had = draft.columns, draft.old.name if draft.old is not None else None
    if columns["name"] is not None or had is not None:  # what only adds to a place need not name it again
        columns["name"] = unique_name(session, Place, "place", draft)
    if columns["label"] is not None:
        columns["label"] = free_label(session, columns["label"], draft.thing_id)
    if columns["within_id"] is not None:
        refuse_circle(session, draft.thing_id, columns["within_id"])


def _moved(fact: Any) -> str:
    return "put in its place" if fact.place_id is not None else "taken from its place"


FACTS = (
    FactKind(
        PlaceDescription,
        "place",
        ("place",),
        (
            text("name", "shelf B2", short=True),
            text("premises", "the barn"),
            text("town", "Orsel"),
            text("security", "two locks, alarm"),
            text("label"),
            named("within", "place"),
        ),
        validate=one_by_one(_validate),
        row_input="descriptions",
        only_names=only_description(PlaceDescription),
    ),
    FactKind(
        Move,
        "move",
        ("part", "car"),
        (named("place", "place", "shelf B2"),),
        says=lambda values: f"put in {values['place']}" if values.get("place") else "taken from its place",
        section=Section("moves", "Moved", "Where"),
        row_input="moves",
        seen_how=_moved,
        travels="no",
    ),
)
"""A place's description, and a part's move."""


def _find(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    return place_named(session, typed).id


def _names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Place.id, Place.name).where(among(Place.id, keys)))
    return {key: name or "" for key, name in rows}


_OF_PLACE = latest_values("name", "premises", "town", "security", "label", "within_id")

THINGS = (ThingKind("place", Place, _find, _names, _OF_PLACE),)
"""Places in the workshop."""
