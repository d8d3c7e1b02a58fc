"""Writes jobs, what was changed on a car, and which part is to go where."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from inventory.cars.actions import new_position
from inventory.cars.queries import car_named, position_names, refuse_taken_away
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.refit.load_jobs import job_numbered
from inventory.refit.tables import Alteration, Assignment, Job, JobDone
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.words.near import known_name
from inventory.store.words.text import clean
from inventory.teardown.actions import car_to_fit

__all__ = ["add_job", "alter", "assign", "job_done"]


def add_job(
    session: Session,
    by: str,
    car: str,
    text: str,
    *,
    before: str | None = None,
    after: str | None = None,
    waits_for: str | None = None,
    on: str | None = None,
) -> str:
    """Write down a job between the steps of putting a car back. Return the fact's id."""
    if not clean(text):
        raise Refused("job-without-words", "Say what is to be done")
    view = car_named(session, car)
    places: dict[str, Any] = {
        "before_id": _position(session, view.id, before),
        "after_id": _position(session, view.id, after),
    }
    if places["before_id"] is not None and places["before_id"] == places["after_id"]:
        raise Refused("job-before-and-after", "A job cannot stand before and after the same step", where="--before")
    act = begin_act(session, "refit job add", by, view.id)
    refuse_taken_away(session, *places.values())
    waits = clean(waits_for or "") or None
    fact = make_fact(Job, act, view.id, when_on(on, act.today), text=clean(text), waits_for=waits, **places)
    write(session, act, [fact])
    return fact_id(Job, fact.id)


def job_done(session: Session, by: str, job: str, *, on: str | None = None) -> str:
    """Write down that a job is done. `job`: the id of its fact, or the number in it. Return the fact's id."""
    line = job_numbered(session, job)
    if line.done:
        raise Refused("job-done-already", f"{line.key} was done on {line.done}")
    act = begin_act(session, "refit job done", by, line.car_id)
    fact = make_fact(JobDone, act, line.car_id, when_on(on, act.today), job=line.key)
    write(session, act, [fact])
    return fact_id(JobDone, fact.id)


def alter(
    session: Session,
    by: str,
    car: str,
    what: str,
    *,
    position: str | None = None,
    why: str | None = None,
    on: str | None = None,
) -> str:
    """Write down something that was changed on a car for good, such as a hole drilled. Return the fact's id."""
    if not clean(what):
        raise Refused("change-without-words", "Say what was changed")
    view = car_named(session, car)
    key = _position(session, view.id, position)
    act = begin_act(session, "refit altered", by, view.id)
    refuse_taken_away(session, key)
    values: dict[str, Any] = {"position_id": key, "what": clean(what), "why": clean(why or "") or None}
    fact = make_fact(Alteration, act, view.id, when_on(on, act.today), **values)
    write(session, act, [fact])
    return fact_id(Alteration, fact.id)


def assign(
    session: Session,
    by: str,
    tag: str,
    position: str,
    *,
    car: str | None = None,
    why: str | None = None,
    on: str | None = None,
) -> str:
    """Write down that a part is to go on at a position, whatever came off there. Return the fact's id.

    Without `car` it is the car that the part came off.
    """
    part = part_row(session, tag)
    if part.gone:
        raise Refused("part-gone", f"{part.tag} is recorded as {part.gone}", where=part.tag)
    key, rows = new_position(session, car_to_fit(session, part, car), position)
    act = begin_act(session, "refit assign", by, part.id, key)
    refuse_taken_away(session, key)
    why = clean(why or "") or None
    fact = make_fact(Assignment, act, part.id, when_on(on, act.today), position_id=key, why=why)
    write(session, act, [*rows, fact])
    return fact_id(Assignment, fact.id)


def _position(session: Session, car_id: int, name: str | None) -> int | None:
    if name is None:
        return None
    known = position_names(session, car_id)
    return known[known_name(session.info, "position", name, known, "add it first: matchmark car position CAR NAME")]
