"""Reads whether a part can come off a car: whether it is on that car by the record, and was fitted before."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car
from inventory.errors import Refused
from inventory.parts.tables import Part
from inventory.places.tables import Place
from inventory.store.days.dates import When
from inventory.store.facts import as_of, fact_id
from inventory.teardown.queries import last_removal
from inventory.teardown.tables import Fitting

__all__ = ["refuse_not_on_car", "refuse_off_before_fitted"]


def refuse_not_on_car(session: Session, part: Part, car_id: int) -> None:
    """Refuse to take a part off a car that it is not on by the record, saying where it is instead."""
    if part.gone:
        raise Refused(
            "part-gone",
            f"{part.tag} is recorded as {part.gone}",
            where=part.tag,
            hint='wrong label: take the right one. If it is back: matchmark provenance note TAG --how "came back"',
        )
    if part.fitted == "yes" and part.car_id == car_id:
        return
    removal = last_removal(session, part.id)
    if part.fitted == "yes":
        said = f'{part.tag} is recorded as fitted to the car "{_name(session, Car, part.car_id)}"'
    elif removal is not None:
        off = _name(session, Car, removal.car_id)
        said = f'{part.tag} came off the car "{off}" on {removal.so_from} and has not been fitted since'
    else:
        place = _name(session, Place, part.place_id)
        left = f'no longer fitted to the car "{_name(session, Car, part.car_id)}"' if part.car_id else None
        stored = f"; it is stored in {place}" if place else ""
        said = f"{part.tag} is recorded as {left or 'never fitted to a car'}{stored}"
    raise Refused(
        "not-on-this-car",
        said,
        where=part.tag,
        hint="wrong label: take the right one. If it is that part, now from this car: --override WHY",
    )


def refuse_off_before_fitted(session: Session, part: Part, when: When) -> None:
    """Refuse that a part came off before the day on which it was fitted."""
    fitted = select(Fitting).where(Fitting.thing_id == part.id) if part.fitted == "yes" else None
    last = session.scalars(as_of(fitted, Fitting)).all()[-1:] if fitted is not None else ()
    if last and when.latest.isoformat() < last[0].earliest:
        raise Refused(
            "removal-before-fitting",
            f"{part.tag} was fitted on {last[0].so_from}, so it cannot have come off on {when.edtf}",
            where=part.tag,
            hint=f"the right day: --on; or matchmark fact correct {fact_id(Fitting, last[0].id)}",
        )


def _name(session: Session, model: type[Car] | type[Place], key: int | None) -> str | None:
    return session.scalar(select(model.name).where(model.id == key)) if key is not None else None
