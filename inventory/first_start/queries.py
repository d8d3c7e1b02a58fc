"""Reads how far the first start of a car is."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.tables import BenchRun
from inventory.cars.tables import Car, Position
from inventory.first_start.checklist import FirstStart, steps_of
from inventory.first_start.tables import StartCheck
from inventory.parts.tables import Part
from inventory.reference.first_start import start_checks
from inventory.store.facts import as_of
from inventory.teardown.tables import Removal, StripDown

__all__ = ["first_start", "first_starts_waiting"]


def first_start(session: Session, car_id: int) -> FirstStart | None:
    """The first start of a car since it was last taken apart; None if nothing came off it here."""
    begun = session.scalars(as_of(select(StripDown).where(StripDown.thing_id == car_id), StripDown)).all()
    if not begun:
        return None
    last = begun[-1]
    off_it = select(Removal, Part).join(Part, Part.id == Removal.thing_id).where(Removal.car_id == car_id)
    since = (last.counts_from, last.ranked)  # not by its id: that is another one once the strip-down was corrected
    every = session.execute(as_of(off_it.where(Removal.strip_down_id.is_not(None)), Removal)).all()
    rows = [
        (removal, part)
        for removal, part in every
        if removal.strip_down_id == last.id or (removal.counts_from, removal.ranked) >= since
    ]
    if not rows:
        return None
    on = set(session.scalars(select(Part.position_id).where(Part.car_id == car_id, Part.fitted == "yes")))
    names = dict(session.execute(select(Position.id, Position.name).where(Position.car_id == car_id)).all())
    off = [
        names.get(removal.position_id or 0, part.tag)
        for removal, part in rows
        if (removal.position_id not in on if removal.position_id else part.fitted != "yes" and part.gone is None)
    ]
    answers = session.scalars(as_of(select(StartCheck).where(StartCheck.thing_id == car_id), StartCheck)).all()
    checks = start_checks()
    measured = BenchRun.procedure.in_([check.run for check in checks if check.run])
    runs = session.scalars(as_of(select(BenchRun).where(BenchRun.thing_id == car_id, measured), BenchRun))
    steps = steps_of(checks, answers, {run.procedure: run for run in runs}, last)
    return FirstStart(session.get_one(Car, car_id).name or "", last.so_from, tuple(dict.fromkeys(off)), steps)


def first_starts_waiting(session: Session) -> list[FirstStart]:
    """The cars that are together again and have a check of their first start to come."""
    apart = session.scalars(select(StripDown.thing_id).distinct().order_by(StripDown.thing_id)).all()
    every = (first_start(session, key) for key in apart)
    return [each for each in every if each is not None and each.waits]
