"""Loads the plan for putting a car back together from what was logged when it was taken apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from inventory.adjusters.tables import AdjusterFound
from inventory.cars.queries import position_names
from inventory.cars.tables import Car, Position, PositionListing
from inventory.documents.actions import content
from inventory.documents.tables import Attachment, Document
from inventory.errors import Refused
from inventory.facts.views import facts_of
from inventory.labels.tables import CarSideLabel
from inventory.parts.load_as_one import as_one
from inventory.parts.tables import Note, Part, Work
from inventory.places.tables import Place
from inventory.reference.load import cautions_for
from inventory.refit.apart import Apart, PartNow, Picture
from inventory.refit.load_assigned import load_assigned
from inventory.refit.load_jobs import alterations_of, jobs_of
from inventory.refit.load_part_to_fit import Going
from inventory.refit.load_ready import readiness_of_parts
from inventory.refit.plan import NOW, WAITS, RefitPlan, Step, judged_plan, plan_in_order
from inventory.refit.readiness import PositionReady
from inventory.refit.steps import befores_of, logged_steps, steps_of, still_on
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.store.tables import FactColumns
from inventory.teardown.load_numbers import load_numbers
from inventory.teardown.tables import Fitting, Removal, Stay, StripDown

if TYPE_CHECKING:
    from inventory.printed.write_paper import Paper

__all__ = ["load_apart", "plan_of", "readiness_at_steps", "strip_down_on_paper", "with_readiness"]


def plan_of(session: Session, car_id: int) -> RefitPlan:
    """The plan for a car: what goes on in which order, and what each step needs."""
    apart, jobs = load_apart(session, car_id), jobs_of(session, car_id)
    steps = steps_of(apart)
    placed = {says for step in steps for says in step.settings}
    at_steps = {step.position_id for step in steps if step.position_id}
    plan = RefitPlan(
        session.get_one(Car, car_id).name or "",
        car_id,
        tuple(steps),
        tuple(jobs),
        still_on=still_on(apart, steps),
        settings=tuple(says for _, says in apart.settings if says not in placed),
        alterations=tuple(each for key, several in apart.altered.items() if key not in at_steps for each in several),
        care=tuple(each.line for each in cautions_for("refit") if not each.kinds),
    )
    return plan_in_order(plan, list(befores_of(apart, steps, jobs)))


def with_readiness(session: Session, plan: RefitPlan) -> RefitPlan:
    """The plan with whether each part may go on: takes several times as long as the plan itself."""
    return judged_plan(plan, readiness_at_steps(session, plan))


def readiness_at_steps(session: Session, plan: RefitPlan) -> dict[str, PositionReady]:
    """Whether each part that is still to go on may go on at its step, wherever it came off; by tag."""
    to_go = {step.part_id: step for step in plan.steps if step.part_id and step.state in (NOW, WAITS)}
    parts = session.scalars(select(Part).where(among(Part.id, to_go))).all()
    going = [Going(part, to_go[part.id].position_id, to_go[part.id].position) for part in parts]
    return {ready.tag: ready for ready in readiness_of_parts(session, plan.car_id, going).values() if ready.tag}


def strip_down_on_paper(session: Session, car_id: int, car: str) -> tuple[Paper, list[Step]]:
    """The last strip-down of a car as it was logged, to be printed; and its parts. Raises `Refused` without one."""
    from inventory.refit.write_sheets import strip_down_paper

    apart = load_apart(session, car_id)
    logged = logged_steps(apart, _numbers(session, apart))
    if not logged:
        raise Refused("nothing-came-off", f'Nothing came off the car "{car}" on record')
    wanted = {each.digest for _, pictures in logged for each in pictures}
    held = {digest: found for digest in wanted if (found := content(session, digest)) is not None}
    stays = [f"{apart.name(key)}: {why}" for key, why in apart.stays.items()]
    steps = [(step, [each.digest for each in pictures]) for step, pictures in logged]
    day = day_words(today_in(session).isoformat())
    return strip_down_paper(car, day, steps, stays, held), [step for step, _ in logged]


def _numbers(session: Session, apart: Apart) -> dict[int, str]:
    """The number of each removal as it was shown, where several hands had a run of numbers each."""
    numbers, hands = load_numbers(session, apart.strip_down or 0)
    here = [each for each in apart.removals if each.strip_down_id == apart.strip_down and each.sequence]
    several = len(numbers.names) > 1
    return {each.id: numbers.shown(each.sequence, hands[each.thing_id, each.sequence]) for each in here if several}


def load_apart(session: Session, car_id: int) -> Apart:
    """What is on record about taking a car apart."""
    positions = {key: name for name, key in position_names(session, car_id).items()}
    strip_downs = list(session.scalars(as_of(select(StripDown.id).where(StripDown.thing_id == car_id), StripDown)))
    at = {key: number for number, key in enumerate(strip_downs)}
    removals = _rows(session, Removal, Removal.car_id == car_id)
    removals.sort(key=lambda each: at.get(each.strip_down_id or 0, -1))
    last = strip_downs[-1] if strip_downs else None
    stays = select(Stay.thing_id, Stay.why).where(Stay.strip_down_id == last)
    came_off = {each.thing_id for each in removals}
    every = load_assigned(session)
    assigned = {key: each for key, each in every.items() if key in positions or each.thing_id in came_off}
    parts = _parts(session, car_id, {each.thing_id for each in (*removals, *assigned.values())})
    fittings = _rows(session, Fitting, Fitting.car_id == car_id)
    return Apart(
        positions,
        {row.thing_id: row for row in _rows(session, PositionListing, among(PositionListing.thing_id, positions))},
        removals,
        fittings,
        parts,
        last,
        dict(session.execute(as_of(stays, Stay)).all()),
        _pictures(session, [*parts, *positions]),
        {key: each for key, each in assigned.items() if key in positions},
        _on_other_cars(session, {key: each.thing_id for key, each in assigned.items() if key not in positions}),
        _by_thing(_rows(session, Work, among(Work.thing_id, parts))),
        [(each.values["adjuster"], each.says) for each in facts_of(session, car_id, [AdjusterFound])],
        alterations_of(session, car_id),
        _by_thing(_rows(session, CarSideLabel, among(CarSideLabel.thing_id, parts))),
        _by_thing(_rows(session, Note, among(Note.thing_id, parts))),
    )


def _on_other_cars(session: Session, parts: Mapping[int, int]) -> dict[int, str]:
    """The names of positions of other cars, by part. `parts`: by position."""
    query = select(Position.id, Position.name, Car.name).join(Car, Car.id == Position.car_id)
    rows = session.execute(query.where(among(Position.id, parts))) if parts else ()
    return {parts[key]: f"{position}, {car}" for key, position, car in rows}


def _by_thing(rows: Iterable[Any]) -> dict[int, list[Any]]:
    found = defaultdict(list)
    for row in rows:
        found[row.thing_id].append(row)
    return found


def _rows(session: Session, model: type[FactColumns], condition: ColumnElement[bool]) -> list[Any]:
    """The facts that stand and meet a condition, oldest first, as plain rows, which load faster."""
    return list(session.execute(as_of(select(*model.__table__.c).where(condition), model)))  # type: ignore[attr-defined]


def _parts(session: Session, car_id: int, keys: Iterable[int]) -> dict[int, PartNow]:
    """The parts on or off a car, and those of these keys."""
    query = (
        select(
            *(Part.id, Part.tag, Part.kind, Part.maker, Part.part_number),
            *(Part.car_id == car_id, Part.fitted, Part.position_id, Car.name, Place.name, Part.whose, Part.gone),
            *(Part.serial, Part.match_code, Part.marks),
        )
        .outerjoin(Car, Car.id == Part.car_id)
        .outerjoin(Place, Place.id == Part.place_id)
        .where(or_(Part.car_id == car_id, among(Part.id, keys)))
        .order_by(Part.id)
    )
    found = {
        key: PartNow(key, tag, kind, maker, number, bool(here), fitted == "yes", *rest)
        for key, tag, kind, maker, number, here, fitted, *rest in session.execute(query)
    }
    for key, others in as_one(session).items():
        if key in found:
            found[key] = replace(found[key], as_one=tuple(found[each].tag for each in others if each in found))
    return found


def _pictures(session: Session, keys: Iterable[int]) -> dict[int, list[Picture]]:
    """The pictures of some things."""
    query = (
        select(Attachment.thing_id, Attachment.so_from, Document.file_name, Document.digest)
        .join(Document, Document.id == Attachment.document_id)
        .where(among(Attachment.thing_id, keys), Document.media_type.like("image/%"))
    )
    found = defaultdict(list)
    for thing_id, *picture in session.execute(as_of(query, Attachment)):
        found[thing_id].append(Picture(*picture))
    return found
