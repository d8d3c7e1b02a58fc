"""The kinds of facts about cars and their positions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import behind_named, car_named, numbers_written, position_names, positions_before
from inventory.cars.tables import (
    Car,
    CarCover,
    CarDescription,
    MadeByMistake,
    Mileage,
    Position,
    PositionDescription,
    PositionListing,
)
from inventory.errors import Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, Section, ThingKind, Values, one_by_one
from inventory.facts.descriptions import latest_values, only_description, unique_name
from inventory.facts.values import kind_of_part, text, whole, word
from inventory.reference.build_list import AXES
from inventory.store.many import among
from inventory.store.words.names import one_of
from inventory.store.words.near import known_name
from inventory.store.words.text import fold, short_enough

__all__ = ["FACTS", "THINGS", "UNITS_OF_DISTANCE"]

_YES_NO = ("yes", "no")
UNITS_OF_DISTANCE = ("km", "mi")


def _validate_name(session: Session, draft: FactDraft) -> None:
    draft.columns["name"] = unique_name(session, Car, "car", draft)


def _validate_cover(_session: Session, draft: FactDraft) -> None:
    one_of("word on insurance", draft.columns["insured_whole"], _YES_NO, "answer to insured whole")


def _validate_listing(session: Session, draft: FactDraft) -> None:
    behind = draft.columns.get("behind")
    if behind and (draft.old is None or draft.old.behind != behind):
        position = session.get_one(Position, draft.thing_id)
        known = position_names(session, position.car_id)
        draft.columns["behind"] = behind_named(session.info, [behind], known, position.name)


def _validate_position_name(session: Session, draft: FactDraft) -> None:
    name = draft.columns["name"] = short_enough("name of the position", draft.columns["name"] or "")
    if not fold(name):
        raise Refused("position-without-name", "A position needs a name")
    of_car = select(Position.car_id).where(Position.id == draft.thing_id).scalar_subquery()
    others = select(Position.name).where(
        Position.car_id == of_car, Position.name_folded == fold(name), Position.id != draft.thing_id
    )
    if (known := session.scalar(others)) is not None:
        raise Refused("position-known", f'There is already a position "{known}"', hint="choose another name")


def _validate_mileage(_session: Session, draft: FactDraft) -> None:
    one_of("unit of distance", draft.columns["unit"], UNITS_OF_DISTANCE, "unit")
    if draft.columns["reading"] is None:
        raise Refused("nothing-said", "Say what the counter shows", where="reading")


def _validate_mistake(_session: Session, draft: FactDraft) -> None:
    if draft.old is None:
        raise Refused(
            "written-elsewhere",
            "This fact cannot be added by itself",
            hint="matchmark car remove, or matchmark car remove-position",
        )


def _name_still_free(session: Session, rows: Sequence[Any]) -> None:
    """Refuse to bring back a car or position whose name another one has by now."""
    for row in rows:
        models: tuple[tuple[Any, str], ...] = ((Car, "car"), (Position, "position"))
        for model, what in models:
            thing: Any = session.get(model, row.thing_id)
            if thing is None:
                continue
            taken = select(model.name).where(model.name_folded == fold(thing.name or ""))
            if model is Position:
                taken = taken.where(Position.car_id == thing.car_id)
            if (known := session.scalar(taken)) is not None:
                raise Refused(f"{what}-known", f'There is already a {what} "{known}"', hint="rename that one first")


_NUMBERS = text("numbers", "HV 204 119", is_name=True)


def _read_numbers(typed: str, cell: Cell) -> dict[str, Any]:
    return {"numbers": numbers_written(_NUMBERS.read(typed, cell)["numbers"])}


def _car_says(values: Values) -> str:
    return "  ".join(str(values[name]) for name in ("name", "maker", "model") if values.get(name))


FACTS = (
    FactKind(
        CarDescription,
        "car",
        ("car",),
        (
            text("name", "Grey saloon", short=True),
            text("maker", "Halvard", is_name=True),
            text("model", "Orsel injection", is_name=True),
            text("year", "1972"),
            text("chassis", "OR-20417", is_name=True),
            text("note", "left-hand drive"),
        ),
        validate=one_by_one(_validate_name),
        says=_car_says,
        row_input="descriptions",
        only_names=only_description(CarDescription),
    ),
    FactKind(
        CarCover,
        "insurance",
        ("car",),
        (word("insured whole", "word on insurance", _YES_NO, needed=True), text("policy", "policy 88-1204")),
        validate=one_by_one(_validate_cover),
        says=lambda values: "insured whole" if values["insured_whole"] == "yes" else "not insured whole",
    ),
    FactKind(
        PositionListing,
        "listing",
        ("position",),
        (
            whole("ordinal", "3"),
            kind_of_part(),
            text("maker", "Ostrell", is_name=True),
            text("part number", "HV 204 118", short=True, is_name=True),
            word("axis", "axis", AXES),
            text("fasteners", "3x M6x20 hex"),
            text("connections", "4-pin plug; vacuum hose 4 mm"),
            text("mounts", "3x grommet 10 x 18 x 8"),
            text("area", "engine bay", is_name=True),
            replace(_NUMBERS, read=_read_numbers),
            text("behind", is_name=True),
        ),
        validate=one_by_one(_validate_listing),
        how_known="from a list",
    ),
    FactKind(
        PositionDescription,
        "name of a position",
        ("position",),
        (text("name", "inner wing", short=True),),
        validate=one_by_one(_validate_position_name),
        says=lambda values: f"named {values['name']}",
        row_input="descriptions",
    ),
    FactKind(
        Mileage,
        "mileage",
        ("car",),
        (
            whole("reading", "84210", digits=7),
            word("unit", "unit of distance", UNITS_OF_DISTANCE, needed=True),
            text("note", "counter changed in 1990"),
        ),
        validate=one_by_one(_validate_mileage),
        says=lambda values: f"{values['reading']} {values['unit']} on the counter",
        section=Section("mileages", "Mileage"),
    ),
    FactKind(
        MadeByMistake,
        "mistake",
        ("car", "position"),
        (text("why", "a typing error", needed=True),),
        validate=one_by_one(_validate_mistake),
        says=lambda values: f"made by mistake: {values['why']}",
        row_input="mistakes",
        check_withdrawal=_name_still_free,
    ),
)
"""A car's description, its insurance, and what belongs at a position."""


def _find_car(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    return car_named(session, typed).id


def _car_names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    return {key: name or "" for key, name in session.execute(select(Car.id, Car.name).where(among(Car.id, keys)))}


def _find_position(session: Session, typed: str, beside: Mapping[str, Any]) -> int:
    """Find a position by its name on the car of the same fact, or as CAR / POSITION."""
    car_id = beside.get("car_id")
    if car_id is None:
        car, stroke, typed = typed.partition("/")
        if not stroke:
            raise Refused("position-without-car", f'"{car}" names no car', hint=f'write "CAR/{car}"')
        car_id = car_named(session, car.strip()).id
    known = position_names(session, car_id)
    to_add = "add it first: matchmark car position CAR NAME"
    before = partial(positions_before, session, car_id)
    return known[known_name(session.info, "position", typed.strip(), known, to_add, before)]


def _position_names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Position.id, Position.name).where(among(Position.id, keys)))
    return dict(rows.all())


_OF_CAR = latest_values("name", "maker", "model", "year", "chassis", "note")


def _car_row(facts: Mapping[str, Sequence[Any]], held: Mapping[str, Any]) -> dict[str, Any]:
    return {**_OF_CAR(facts, held), **_taken_away(facts, held)}


def _position_row(facts: Mapping[str, Sequence[Any]], held: Mapping[str, Any]) -> dict[str, Any]:
    """A position that was never renamed has its name from no fact."""
    names, first = facts.get("descriptions", ()), held["first_name"]
    name = names[-1].name if names else first or held["name"]
    kept = {"name": name, "name_folded": fold(name), "first_name": first or (held["name"] if names else None)}
    return {**kept, **_taken_away(facts, held)}


def _taken_away(facts: Mapping[str, Sequence[Any]], held: Mapping[str, Any]) -> dict[str, Any]:
    """The columns of a thing made by mistake. No folded name contains blanks, so its name is free again."""
    if not facts.get("mistakes"):
        return {"taken_away": None}
    return {"taken_away": "yes", "name_folded": f"taken away {held['id']}"}


THINGS = (
    ThingKind("car", Car, _find_car, _car_names, _car_row),
    ThingKind("position", Position, _find_position, _position_names, _position_row),
)
"""Cars, and the positions on them."""
