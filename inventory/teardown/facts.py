"""The kinds of fact for strip-downs: begun, closed, a part came off, was fitted, stays on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.cars.actions import new_position
from inventory.cars.tables import Position
from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import named, text, whole, word
from inventory.reference.build_list import AXES
from inventory.store.many import among
from inventory.store.words.names import one_of
from inventory.teardown.load_numbers import load_numbers
from inventory.teardown.queries import open_strip_downs
from inventory.teardown.tables import RAN, Fitting, Removal, Stay, StripDown, StripDownEnd

__all__ = ["FACTS"]

_FURTHER = ("route", "bore", "low_spots", "at_port", "moved", "broken")
_REMOVAL_DETAILS = (
    *("axis", "fasteners", "connections", "mounts", "bag", "car_side"),
    *_FURTHER,
)
_FITTING_DETAILS = ("axis", "fasteners", "car_side")


def _logged_elsewhere(command: str) -> Any:
    """Refuse a new fact that only its own command may write, and check the axis of a changed one."""

    def validate(_session: Session, draft: FactDraft) -> None:
        if draft.old is None:
            raise Refused("written-elsewhere", "This fact cannot be added by itself", hint=command)
        one_of("axis", draft.columns.get("axis"), AXES)

    return one_by_one(validate)


def _validate_removal(session: Session, draft: FactDraft) -> None:
    """Check a corrected removal: strip-down and position go with the car, or it is refused."""
    if draft.old is None:
        raise Refused("written-elsewhere", "This fact cannot be added by itself", hint="matchmark teardown log")
    columns, old = draft.columns, draft.old
    one_of("axis", columns.get("axis"), AXES)
    if columns["car_id"] not in (None, old.car_id):
        _move_to_car(session, draft)


def _move_to_car(session: Session, draft: FactDraft) -> None:
    """Take the new car's strip-down, a number in it, and its position of the same name, made if there is none."""
    columns, old = draft.columns, draft.old
    if columns["strip_down_id"] == old.strip_down_id and old.strip_down_id is not None:
        strip_down = next((each for each in open_strip_downs(session) if each.car_id == columns["car_id"]), None)
        if strip_down is None:
            raise Refused(
                "no-strip-down",
                "The car it is said to have come off is not being taken apart",
                where="car",
                hint="begin with: matchmark teardown begin CAR",
            )
        numbers, _ = load_numbers(session, strip_down.id)
        columns["strip_down_id"], columns["sequence"] = strip_down.id, max(numbers.highest.values(), default=0) + 1
    if columns["position_id"] == old.position_id and old.position_id is not None:
        name = session.get_one(Position, old.position_id).name
        columns["position_id"], rows = new_position(session, columns["car_id"], name)
        draft.beside += rows


def _removal_says(values: Values) -> str:
    order = f"{values['sequence']}: " if values.get("sequence") else ""
    more = "; ".join(f"{name.replace('_', ' ')} {values[name]}" for name in _REMOVAL_DETAILS if values.get(name))
    says = f"{order}came off the {values.get('car')}, {values.get('position') or 'no position noted'}"
    return says + (f"; {more}" if more else "")


def _fitting_says(values: Values) -> str:
    says = f"fitted to the {values.get('car')}, {values.get('position') or 'no position noted'}"
    more = "; ".join(f"{name.replace('_', ' ')} {values[name]}" for name in _FITTING_DETAILS if values.get(name))
    against = f"; against advice: {values['override']}" if values.get("override") else ""
    return f"{says}{f'; {more}' if more else ''}{against}"


def _begun_says(values: Values) -> str:
    ran = f"whether it ran: {values['ran']}" if values.get("ran") else ""
    return "; ".join(filter(None, ("strip-down begun", values.get("care"), ran)))


def _not_in_use(session: Session, rows: Sequence[Any]) -> None:
    """Refuse to take back a strip-down in which parts were logged."""
    keys = [row.id for row in rows]
    logged = select(func.count()).where(among(Removal.strip_down_id, keys), Removal.superseded_by.is_(None))
    if many := session.scalar(logged):
        raise Refused(
            "strip-down-in-use",
            f"This strip-down cannot be taken back: parts logged in it: {many}",
            hint="take back their removals first, or close it: matchmark teardown close",
        )


def _one_open(session: Session) -> None:
    """Refuse a change that would leave a car in two open strip-downs."""
    cars = [each.car for each in open_strip_downs(session)]
    if twice := next((car for car in cars if cars.count(car) > 1), None):
        raise Refused(
            "strip-down-open",
            f'The car "{twice}" would be in two strip-downs at once',
            hint="close the later one first: matchmark teardown close",
        )


FACTS = (
    FactKind(
        Removal,
        "removal",
        ("part",),
        (
            named("car", "car", needed=True),
            named("strip down", "strip-down"),
            named("position", "position"),
            whole("sequence"),
            word("axis", "axis", AXES),
            text("fasteners", "3x M6x20 hex"),
            text("connections", "4-pin plug"),
            text("mounts", "3x grommet 10 x 18 x 8"),
            text("bag", "14"),
            text("car side", "earth strap stays"),
            text("route", "over the brake pipe"),
            text("bore", "4 mm"),
            text("low spots", "behind the air horn"),
            text("at port", "fuel smelt"),
            text("moved", "heater hose"),
            text("broken", "stud"),
        ),
        validate=one_by_one(_validate_removal),
        says=_removal_says,
        searched=("fasteners", "connections", "mounts", "car_side", *_FURTHER),
        searched_whole=("bag",),
        section=Section("removals", "Came off", "Where"),
        row_input="removals",
        seen_how=lambda _: "came off a car",
    ),
    FactKind(
        Fitting,
        "fitting",
        ("part",),
        (
            named("car", "car", needed=True),
            named("position", "position"),
            text("override", "no other one at hand"),
            word("axis", "axis", AXES),
            text("fasteners", "3x M6x20 hex"),
            text("car side", "C1 scanned"),
        ),
        validate=_logged_elsewhere("matchmark refit fit"),
        says=_fitting_says,
        searched=("fasteners", "car_side", "override"),
        section=Section("fittings", "Fitted", "Where"),
        row_input="fittings",
        seen_how=lambda _: "fitted to a car",
    ),
    FactKind(
        StripDown,
        "strip-down",
        ("car",),
        (text("care", "battery off, on stands"), word("ran", "answer to whether the car ran", RAN)),
        validate=_logged_elsewhere("matchmark teardown begin"),
        says=_begun_says,
        check_withdrawal=_not_in_use,
        check_record=_one_open,
    ),
    FactKind(
        StripDownEnd,
        "end of a strip-down",
        ("car",),
        (named("strip down", "strip-down", needed=True),),
        validate=_logged_elsewhere("matchmark teardown close"),
        says=lambda _: "strip-down closed",
        check_record=_one_open,
    ),
    FactKind(
        Stay,
        "stay",
        ("position",),
        (named("strip down", "strip-down", needed=True), text("why", "seized", needed=True)),
        validate=_logged_elsewhere("matchmark teardown stays"),
        says=lambda values: f"stays on: {values['why']}",
    ),
)
"""Facts about taking cars apart and fitting parts."""
