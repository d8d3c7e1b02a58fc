"""Reading places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.order import timeless
from inventory.parts.tables import Part
from inventory.places.place_codes import is_place_code, parse_place_code
from inventory.places.tables import Place, PlaceDescription
from inventory.places.tree import PlacePremises, Said, above, below, premises_by_place, walked
from inventory.store.facts import NOW, AsOf, as_of
from inventory.store.words.near import known_name, name_on_record
from inventory.store.words.text import clean

__all__ = [
    "PlaceView",
    "free_label",
    "place_meant",
    "place_named",
    "places",
    "places_within",
    "premises_of",
    "refuse_circle",
    "shelf_order",
]


@dataclass(frozen=True)
class PlaceView:
    """A place as described now, and how many parts are stored there (`parts`), with those below it (`in_all`)."""

    id: int
    name: str
    premises: str | None
    parts: int
    town: str | None = None
    security: str | None = None
    label: str | None = None
    within_id: int | None = None
    within: str | None = None
    in_all: int = 0


def places(session: Session) -> list[PlaceView]:
    """All places, by name."""
    counted = session.execute(select(Part.place_id, func.count()).group_by(Part.place_id))
    counts = {key: many for key, many in counted if key is not None}
    rows = session.scalars(select(Place).order_by(Place.name_folded)).all()
    names, within = {row.id: row.name or "" for row in rows}, {row.id: row.within_id for row in rows}
    in_all = dict.fromkeys(names, 0)
    for key, many in counts.items():
        for outer in above(within, key):
            in_all[outer] += many
    return [
        PlaceView(
            *(row.id, names[row.id], row.premises, counts.get(row.id, 0), row.town, row.security, row.label),
            *(row.within_id, names.get(row.within_id or 0), in_all[row.id]),
        )
        for row in rows
    ]


def shelf_order(session: Session) -> list[tuple[int, PlaceView]]:
    """All places in the order of a walk along them, each with its depth."""
    return walked(places(session))


def places_within(session: Session, key: int) -> set[int]:
    """The keys of a place and of all places in it."""
    return below({place.id: place.within_id for place in places(session)}, key)


def premises_of(session: Session, when: AsOf = NOW) -> dict[int, PlacePremises]:
    """The premises that each place is in, by its key, in a state of the record."""
    known = as_of(select(PlaceDescription), PlaceDescription, when.of_any_day)
    said: dict[int, Said] = {}
    for fact in timeless(session.scalars(known), when.until):
        values = {name: getattr(fact, name) for name in ("within_id", "premises", "town", "security")}
        old = said.get(fact.thing_id, Said())
        said[fact.thing_id] = replace(old, **{name: value for name, value in values.items() if value is not None})
    return premises_by_place(said)


def place_named(session: Session, name: str) -> PlaceView:
    """The place of this name or label; case and spaces do not matter.

    Raises `UnknownName` with near names if there is none, `Refused` for a place's label that is not on record.
    """
    every = places(session)
    if (labelled := _labelled(every, name)) is not None:
        return labelled
    to_add = f'to enter it: matchmark place add "{clean(name)}"'
    meant = known_name(session.info, "place", name, (place.name for place in every), to_add)
    return next(place for place in every if place.name == meant)


def place_meant(session: Session, shown: str) -> PlaceView | None:
    """The place that a name or label means; None if the name is a new one. Raises `NearName`, and as `place_named`."""
    every = places(session)
    if (labelled := _labelled(every, shown)) is not None:
        return labelled
    meant = name_on_record(session.info, "place", shown, [place.name for place in every])
    return next((place for place in every if place.name == meant), None)


def refuse_circle(session: Session, key: int, within_id: int) -> None:
    """Refuse to say that a place lies in itself, or in one that lies in it."""
    every = {place.id: place for place in places(session)}
    if key in above({each.id: each.within_id for each in every.values()}, within_id):
        name, outer = every[key].name, every[within_id].name
        says = f"{name} cannot lie in itself" if key == within_id else f"{outer} lies in {name}, so {name} is not in it"
        raise Refused("place-in-itself", says, where="--within", hint="matchmark place list shows what lies in what")


def free_label(session: Session, text: str, key: int) -> str:
    """A typed or scanned label of a place as it is stored. Raises `Refused` if it is none, or another place's."""
    label = parse_place_code(text)
    if (other := next((each for each in places(session) if each.label == label and each.id != key), None)) is not None:
        raise Refused("place-label-taken", f"Label {label} is on {other.name} already", where=label)
    return label


def _labelled(every: Sequence[PlaceView], text: str) -> PlaceView | None:
    """The place with this label; None if the text is no label, or is the name of a place."""
    if not is_place_code(text) or any(place.name == clean(text) for place in every):
        return None
    label = parse_place_code(text)
    if (found := next((place for place in every if place.label == label), None)) is None:
        raise Refused(
            "no-such-place-label",
            f"No place of this record has the label {label}",
            where=label,
            hint="matchmark place list shows all places; its label: matchmark labels PLACE -o FILE",
        )
    return found
