"""Reads which cars have something to put back on."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import cars
from inventory.parts.tables import Part
from inventory.refit.load_plan import plan_of
from inventory.refit.plan import ON

__all__ = ["CarToRefit", "car_meant", "cars_to_refit"]


@dataclass(frozen=True)
class CarToRefit:
    """A car with parts off: its name, and how many of how many steps are on."""

    name: str
    on: int
    steps: int


def cars_to_refit(session: Session) -> tuple[CarToRefit, ...]:
    """The cars with something to put back on, by name."""
    off = set(session.scalars(select(Part.car_id).where(Part.car_id.is_not(None), Part.fitted == "no")))
    plans = {car.name: plan_of(session, car.id).steps for car in cars(session) if car.id in off}
    on = {name: sum(step.state == ON for step in steps) for name, steps in plans.items()}
    return tuple(CarToRefit(name, on[name], len(steps)) for name, steps in plans.items() if steps)


def car_meant(session: Session, of: str) -> str:
    """The car of this name, or that a part with this tag is on or came off; "" if none."""
    key = session.scalar(select(Part.car_id).where(Part.tag == of))
    return next((car.name for car in cars(session) if of and (car.name == of or car.id == key)), "")
