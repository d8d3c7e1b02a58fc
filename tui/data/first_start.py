"""Reading and writing for the first start of a car."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.cars.queries import car_named
from inventory.first_start.actions import Checked, answer_checks
from inventory.first_start.checklist import FirstStart, StartStep
from inventory.first_start.queries import first_start
from inventory.first_start.tables import CAME_OUT
from inventory.reference.load import caution, cautions_for

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["CAME_OUT", "FirstStart", "StartStep", "answer", "care_now", "cares", "first_start_of"]


def first_start_of(session: Session, car: str) -> FirstStart | None:
    """How far the first start of a car is."""
    return first_start(session, car_named(session, car).id)


def answer(session: Session, by: str, car: str, step: str, came_out: str, found: str) -> FirstStart | None:
    """Record how one check came out; how far it is then."""
    answer_checks(session, by, car, [Checked(step, found, came_out)])
    return first_start_of(session, car)


def care_now(now: FirstStart) -> str:
    """The care line: leaks until they are looked for, then the running engine's exhaust."""
    looked = any(step.name == "leaks" and step.done for step in now.steps)
    return caution("exhaust-gas" if looked else "first-start-leaks").line if now.next else ""


def cares() -> tuple[str, ...]:
    """All cautions of a first start in full."""
    return tuple(each.in_full for each in cautions_for("start", "car"))
