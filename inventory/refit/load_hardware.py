"""Reads what hardware a car needs, with the fuel hoses that are over age or whose age is not known."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.cars.tables import Position
from inventory.facts.views import facts_of_many
from inventory.hardware.needs import HoseToRenew, Line
from inventory.hardware.queries import hardware_for
from inventory.parts.tables import Part, Work
from inventory.reference.readiness import readiness_rules
from inventory.refit.fuel import hose_age
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW
from inventory.teardown.tables import Removal

__all__ = ["hardware_to_refit"]


def hardware_to_refit(session: Session, car: str) -> tuple[str, list[Line]]:
    """The name of a car, and what its parts that are off need to go back on."""
    return hardware_for(session, car, _hoses_to_renew(session, car_named(session, car).id))


def _hoses_to_renew(session: Session, car_id: int) -> dict[str, HoseToRenew]:
    """The fuel hoses of parts off a car that are over age, or whose age is not known, by the tag of the part."""
    query = select(Part, Position.name).outerjoin(Position, Position.id == Part.position_id)
    parts = session.execute(query.where(Part.car_id == car_id, Part.fitted == "no")).all()
    facts = facts_of_many(session, [part.id for part, _ in parts], (Removal, Work), NOW)
    rules, today = readiness_rules(), today_in(session).isoformat()
    old = f"over {rules.fuel_hose_years:g} years, {rules.rules['fuel-hose-old'].standing}"
    found: dict[str, HoseToRenew] = {}
    for part, position in parts:
        of_part = facts.get(part.id, ())
        by_table = {name: [fact for fact in of_part if fact.table == name] for name in ("removal", "work")}
        age = hose_age(part.kind or "other", position or "", part, by_table, rules, today)
        if age is None:
            continue
        what, years = age
        if years is None:
            found[part.tag] = HoseToRenew("the age of the hose is not known", sure=False)
        elif years > rules.fuel_hose_years:
            found[part.tag] = HoseToRenew(f"{old}: {what}", sure=True)
    return found
