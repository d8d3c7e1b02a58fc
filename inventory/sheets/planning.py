"""Plans a file that was previewed: all its sheets at once, or in stages; and says which things a plan writes of."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.parts.tables import PartNumber
from inventory.places.tables import Place
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.plan.facts import plan_facts
from inventory.sheets.plan.lists import plan_lists
from inventory.sheets.plan.near_names import near_in_file
from inventory.sheets.plan.parts import plan_parts
from inventory.sheets.plan.problems import CellProblem
from inventory.sheets.plan.readings import listed_parts, plan_gone, standing_readings
from inventory.sheets.plan.rows import ListPlan, Plan, refuse_row
from inventory.sheets.plan.stages import plan_in_stages
from inventory.sheets.plan.told import kept_up_to
from inventory.sheets.preview import Preview
from inventory.sheets.progress import PLANNING, OnProgress
from inventory.store.begin import RECORD_THING
from inventory.store.days.clock import today
from inventory.store.facts import Act
from inventory.store.journal import entries as journal
from inventory.store.words.text import fold, squeeze

__all__ = ["plan_at_once", "plan_staged", "things_of"]


def plan_at_once(
    session: Session,
    seen: Preview,
    *,
    on: str | None,
    hold: bool = False,
    on_progress: OnProgress,
) -> Plan:
    """What the rows of a file would change. With `hold` nobody else reads a sheet into the record meanwhile."""
    if hold:
        journal.lock_things(session, [RECORD_THING])
    sheets, plan = seen.sheets, _begun(seen)
    day = today()
    if on is not None:
        plan.questions = [each for each in plan.questions if not each.key.startswith("day/")]
    days = {sheet.kept_up_to for sheet in sheets} if on is None else {on}
    plan.day = kept_up_to(days.pop(), day) if len(days) == 1 and "" not in days else None
    kept = plan.day or kept_up_to(None, day)
    parts = [sheet for sheet in sheets if sheet.kind is PARTS and sheet.waits is None]
    for sheet in sheets:
        if sheet.waits is not None:
            why = CellProblem("", "", f"it must be said {sheet.waits.says}", f"--answer {sheet.waits.key}=")
            plan.rows += [refuse_row(sheet, row, "", [why]) for row in sheet.rows]
    readings = standing_readings(session) if parts else []
    listed = listed_parts(parts, readings)
    plan_parts(session, plan, parts, day, kept, listed, hold=hold, on_progress=on_progress)
    plan_gone(session, plan, day, readings)
    plan_facts(session, plan, [sheet for sheet in sheets if sheet.kind.fact is not None], day, kept)
    plan_lists(session, plan, sheets, day)
    if plan.day is None:
        _date_rows(plan, day)
    return _in_order(session, plan, on_progress)


def _date_rows(plan: Plan, today: date) -> None:
    """Note in the work of each row up to which day its table was kept, where the tables of a file differ in it."""
    for row in plan.rows:
        if row.work is not None and row.sheet.kept_up_to:
            row.work = replace(row.work, day=kept_up_to(row.sheet.kept_up_to, today))
            row.beside = tuple(replace(each, day=row.work.day) for each in row.beside)


def things_of(session: Session, plan: Plan) -> set[int]:
    """The keys of the things on record that a plan writes of: parts, positions, places, numbers."""
    work = [each for row in plan.rows for each in (row.work, *row.beside) if each is not None]
    about = {each.about for each in work if isinstance(each, ListPlan)}
    things = {each.part for each in work if not isinstance(each, ListPlan) and each.part > 0}
    things.update(part for part, _, _ in plan.leavings)
    named = {(fold(key[0]), fold(key[1])) for key in about}
    if named:
        positions = select(Position.id, Car.name_folded, Position.name_folded).join(Car, Car.id == Position.car_id)
        things.update(key for key, *place in session.execute(positions) if tuple(place) in named)
        stocked = {fold(each.about[0]) for each in work if isinstance(each, ListPlan) and each.sheet == "hardware"}
        places = session.execute(select(Place.id, Place.name_folded))
        things.update(key for key, folded in places if folded in stocked)
        numbers = {squeeze(key[0]) for key in about}
        known = session.execute(select(PartNumber.id, PartNumber.squeezed))
        things.update(key for key, squeezed in known if squeezed in numbers)
    return things


def plan_staged(session: Session, act: Act, seen: Preview, on: str | None, on_progress: OnProgress) -> Plan:
    """The plan of a workbook that holds all of a record; each stage is written before the next one is planned."""
    plan = _begun(seen)
    plan_in_stages(session, act, plan, kept_up_to(on, act.today), on_progress)
    return _in_order(session, plan, on_progress)


def _begun(seen: Preview) -> Plan:
    plan = Plan(list(seen.sheets), remarks=list(seen.remarks), file=seen.path.name)
    plan.answers, plan.questions = seen.answers, list(seen.questions)
    return plan


def _in_order(session: Session, plan: Plan, on_progress: OnProgress) -> Plan:
    """The plan with its rows in the order of the file, and the names that look misspelt."""
    order = {id(sheet): place for place, sheet in enumerate(plan.sheets)}
    plan.rows.sort(key=lambda row: (order[id(row.sheet)], row.row.number))
    plan.near_names = near_in_file(session, plan)
    on_progress(PLANNING, len(plan.rows), len(plan.rows))
    return plan
