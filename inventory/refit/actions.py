"""Putting a car back together: a part is fitted, if it is ready or somebody says why all the same."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.queries import position_names, positions_before
from inventory.errors import Refused
from inventory.parts.queries import entered_on, part_row
from inventory.parts.tables import Part
from inventory.reference.build_list import axis_meant
from inventory.refit.load_assigned import assigned_car
from inventory.refit.load_ready import readiness_of_part
from inventory.refit.readiness import PositionReady
from inventory.store.days.dates import when_on
from inventory.store.days.zone import today_in
from inventory.store.facts import AsOf, as_of
from inventory.store.words.near import name_on_record
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean
from inventory.teardown import actions as teardown
from inventory.teardown.tables import Fitting

__all__ = ["Fitted", "fit"]


@dataclass(frozen=True)
class Fitted:
    """A part that was fitted: the fact, and how ready it was."""

    fact: str
    ready: PositionReady


def fit(
    session: Session,
    by: str,
    tag: str,
    position: str,
    *,
    car: str | None = None,
    override: str | None = None,
    axis: str | None = None,
    fasteners: str | None = None,
    car_side: str | None = None,
    on: str | None = None,
) -> Fitted:
    """Write down that a part was fitted, as `teardown.actions.fit` does. Every door fits parts by this.

    `axis`: which way it lies; by default as listed, else as found. Raises `Refused` (not-ready) for a part with a stop
    by what was so on that day, unless `override` says why it is put on all the same. A day before the part was entered
    here is history: nobody could be asked then. Raises `Refused` (already-on) for a part that is on there.
    """
    part, axis = part_row(session, tag), axis_meant(axis)
    car = car or assigned_car(session, part.id, position)
    car_id = teardown.car_to_fit(session, part, car)
    known = position_names(session, car_id)
    given = name_given("name of the position", position)
    meant = name_on_record(session.info, "position", given, known, partial(positions_before, session, car_id))
    key, name = (known[meant], meant) if meant is not None else (None, position)
    today = today_in(session)
    day = when_on(on, today).latest
    _not_again(session, part, key, day.isoformat())
    ready = readiness_of_part(session, part, car_id, key, name, axis=axis, when=AsOf.on(day, None, today))
    if ready.stops and not clean(override or "") and day.isoformat() >= entered_on(session, [part.id]).get(part.id, ""):
        raise _not_ready(ready, _already_there(session, part, key))
    details = {"override": override, "axis": axis, "fasteners": fasteners, "car_side": car_side}
    return Fitted(teardown.fit(session, by, tag, position, car=car, on=on, **details), ready)


def _not_again(session: Session, part: Part, key: int | None, day: str) -> None:
    """Refuse to fit a part once more where it is on already. A day before that fitting is history, and goes in."""
    if part.fitted != "yes" or key is None or part.position_id != key:
        return
    rows = session.scalars(as_of(select(Fitting).where(Fitting.thing_id == part.id), Fitting)).all()
    since = max((row.counts_from for row in rows if row.position_id == key), default="")
    if since and day >= since:
        raise Refused(
            "already-on",
            f"{part.tag} is on there already, since {since}",
            where=part.tag,
            hint=f"if it came off meanwhile: matchmark teardown log --tag {part.tag}",
        )


def _already_there(session: Session, part: Part, key: int | None) -> list[str]:
    """The tags of other parts that are on record at a position: an override answers for them too."""
    if key is None:
        return []
    there = select(Part.tag).where(Part.position_id == key, Part.fitted == "yes", Part.id != part.id)
    return list(session.scalars(there.order_by(Part.tag)))


def _not_ready(ready: PositionReady, there: list[str]) -> Refused:
    says = [stop.says for stop in ready.stops] + [f"{tag} is on record there" for tag in there]
    mend = "; ".join(dict.fromkeys(stop.mend for stop in ready.stops if stop.mend))
    return Refused(
        "not-ready",
        f'{ready.tag} is not ready for "{ready.position}": {"; ".join(says)}',
        where=ready.tag,
        hint=f"{mend}; or put it on against advice, which every list shows: --override WHY",
    )
