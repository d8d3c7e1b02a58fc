"""Reading and writing what belongs on a car."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.build_lists.actions import Taken, copy_list, use_list
from inventory.build_lists.compare import Compared
from inventory.build_lists.load_compared import compared
from inventory.cars.actions import Listing, list_position
from inventory.cars.queries import PositionView, car_named, cars, positions
from inventory.cars.tables import Position
from inventory.reference.data import reference_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

__all__ = ["Belonging", "ReadyList", "car_names", "list_at", "take_list", "what_belongs"]

#: The columns of a listing, by the name of their question.
COLUMNS = {
    "kind": "kind",
    "number": "part_number",
    "numbers": "numbers",
    "axis": "axis",
    "fasteners": "fasteners",
    "plugs": "connections",
    "mounts": "mounts",
    "area": "area",
    "behind": "behind",
}


@dataclass(frozen=True)
class ReadyList:
    """A list that can be taken: a ready-made one, or that of another `car`. `says`: where it comes from."""

    name: str
    says: str
    by_cylinder: bool = False
    car: bool = False


@dataclass(frozen=True)
class Belonging:
    """The positions of a car, each beside what is there, and the lists that can be taken."""

    car: str
    rows: tuple[tuple[PositionView, Compared], ...]
    ready: tuple[ReadyList, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all positions."""
        return tuple(view.name for view, _ in self.rows)

    def listed_at(self, name: str) -> dict[str, str]:
        """What is listed at a position, by question; nothing for a new one."""
        view = next((view for view, _ in self.rows if view.name == name), None)
        if view is None:
            return {}
        values = {question: getattr(view, column) for question, column in COLUMNS.items()}
        return {key: "; ".join(each) if isinstance(each, tuple) else each for key, each in values.items() if each}


def car_names(session: Session) -> tuple[str, ...]:
    """All cars, by name."""
    return tuple(car.name for car in cars(session))


def what_belongs(session: Session, car: str) -> Belonging:
    """What is listed for a car beside what is there."""
    view = car_named(session, car)
    by_id = {each.position_id: each for each in compared(session, view.id)}
    rows = tuple((each, by_id[each.id]) for each in positions(session, view.id))
    ready = [
        ReadyList(each.name, f"{each.standing}, {each.source}", each.by_cylinder)
        for each in reference_of(session).build_lists
    ]
    for other in cars(session):
        listed = sum(each.kind is not None for each in positions(session, other.id)) if other.id != view.id else 0
        if listed:
            ready.append(ReadyList(other.name, f"as listed on that car: {listed}", car=True))
    return Belonging(view.name, rows, tuple(ready))


def take_list(session: Session, by: str, car: str, taken: ReadyList, cylinders: int | None) -> Taken:
    """List on a car what a ready-made list or another car's says."""
    if taken.car:
        return copy_list(session, by, taken.name, car)
    return use_list(session, by, taken.name, car, cylinders=cylinders)


def list_at(session: Session, by: str, car: str, position: str, answers: Mapping[str, str]) -> str:
    """List what was answered at a position. Returns the name of the position on record."""
    said = {COLUMNS[question]: answer for question, answer in answers.items() if answer}
    key = list_position(session, by, car, position, Listing(**said))  # type: ignore[arg-type]
    return session.get_one(Position, key).name
