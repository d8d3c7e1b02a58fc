"""Reads strip-downs: which are open, what came off, what is still on."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import PositionView, car_named, cars, positions
from inventory.errors import Misused, Refused
from inventory.parts.tables import Part
from inventory.store.facts import as_of, fact_id
from inventory.teardown.load_history import Passage, emptied_by, histories
from inventory.teardown.load_numbers import load_numbers
from inventory.teardown.tables import Removal, Stay, StripDown, StripDownEnd

__all__ = [
    "OpenStripDown",
    "Removed",
    "Status",
    "last_removal",
    "open_strip_down",
    "open_strip_downs",
    "status",
]


@dataclass(frozen=True)
class OpenStripDown:
    """A strip-down that is not closed yet."""

    id: int
    car_id: int
    car: str
    since: str
    care: str | None

    @property
    def fact(self) -> str:
        """The id of the fact that began it."""
        return fact_id(StripDown, self.id)


@dataclass(frozen=True)
class Removed:
    """A part as it came off in a strip-down: its number in the run of the hand `by`, and as `shown` on its bag."""

    sequence: int
    tag: str
    kind: str | None
    position: str | None
    match_code: str | None
    seal_state: str
    on: str
    fact: str
    by: str
    shown: str
    maker: str | None = None
    part_number: str | None = None
    axis: str | None = None
    fasteners: str | None = None
    connections: str | None = None
    mounts: str | None = None


@dataclass(frozen=True)
class Status:
    """A strip-down: the parts that came off, newest last, the positions still on, those that stay on and why.

    `positions`: all of the car; `history`: who came off and was fitted at each, by key.
    """

    strip_down: OpenStripDown
    removed: list[Removed]
    still_on: list[PositionView]
    stays: list[tuple[str, str]]
    positions: list[PositionView]
    history: dict[int, list[Passage]]

    @property
    def emptied(self) -> dict[str, Passage]:
        """The removal that emptied each position in this strip-down, by its name."""
        found = ((view.name, emptied_by(self.history.get(view.id, []), self.strip_down.id)) for view in self.positions)
        return {name: passage for name, passage in found if passage is not None}


def open_strip_downs(session: Session) -> list[OpenStripDown]:
    """The strip-downs that are not closed, oldest first."""
    ended = set(session.scalars(as_of(select(StripDownEnd.strip_down_id), StripDownEnd)))
    names = {car.id: car.name for car in cars(session)}
    begun = session.scalars(as_of(select(StripDown), StripDown))
    return [
        OpenStripDown(row.id, row.thing_id, names[row.thing_id], row.so_from, row.care)
        for row in begun
        if row.id not in ended
    ]


def open_strip_down(session: Session, car: str | None) -> OpenStripDown:
    """The open strip-down of a car, or the only open one if no car is named."""
    every = open_strip_downs(session)
    if car is not None:
        view = car_named(session, car)
        found = [each for each in every if each.car_id == view.id]
        if not found:
            raise Refused(
                "no-strip-down",
                f'The car "{view.name}" is not being taken apart',
                hint=f'begin with: matchmark teardown begin "{view.name}"',
            )
        return found[0]
    if not every:
        raise Refused("no-strip-down", "No car is being taken apart", hint="matchmark teardown begin CAR")
    if len(every) > 1:
        named = ", ".join(f'"{each.car}"' for each in every)
        raise Misused("which-strip-down", f"{len(every)} cars are being taken apart: {named}", hint="--car NAME")
    return every[0]


def status(session: Session, strip_down: OpenStripDown) -> Status:
    """What came off in a strip-down, and what is still on the car."""
    query = (
        select(Removal, Part)
        .join(Part, Part.id == Removal.thing_id)
        .where(Removal.strip_down_id == strip_down.id, Removal.superseded_by.is_(None))
        .order_by(Removal.ranked, Removal.id)
    )
    numbers, hands = load_numbers(session, strip_down.id)
    names = {view.id: view for view in positions(session, strip_down.car_id)}
    rows = session.execute(query).all()
    removed = []
    for removal, part in rows:
        number = removal.sequence or 0
        hand = hands.get((part.id, number), removal.by_id)
        each = Removed(
            number,
            part.tag,
            part.kind,
            names[removal.position_id].name if removal.position_id in names else None,
            part.match_code,
            part.seal_state,
            removal.so_from,
            fact_id(Removal, removal.id),
            numbers.names.get(hand, ""),
            numbers.shown(number, hand),
            part.maker,
            part.part_number,
            *(removal.axis, removal.fasteners, removal.connections, removal.mounts),
        )
        removed.append(each)
    kept = session.scalars(as_of(select(Stay).where(Stay.strip_down_id == strip_down.id), Stay)).all()
    stays = {row.thing_id: row.why for row in kept}
    off = {removal.position_id for removal, _ in rows}
    still_on = [view for key, view in names.items() if key not in off and (view.fitted_tag or not view.removed_tag)]
    return Status(
        strip_down,
        removed,
        [view for view in still_on if view.id not in stays],
        [(names[key].name, why) for key, why in stays.items() if key in names],
        list(names.values()),
        histories(session, names),
    )


def last_removal(session: Session, part_id: int) -> Removal | None:
    """The last removal of a part from a car; None if it never came off one."""
    found = session.scalars(as_of(select(Removal).where(Removal.thing_id == part_id), Removal)).all()
    return found[-1] if found else None
