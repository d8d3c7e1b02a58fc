"""The kinds of fact for putting a car back together."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.cars.tables import Position
from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import named, text
from inventory.refit.tables import Alteration, Assignment, Job, JobDone
from inventory.store.facts import split_fact_id

__all__ = ["FACTS"]


def _on_its_car(session: Session, draft: FactDraft) -> None:
    """Refuse a position of another car than the fact is about."""
    for name in ("before_id", "after_id", "position_id"):
        key = draft.columns.get(name)
        if key is not None and session.get_one(Position, key).car_id != draft.thing_id:
            where = name.removesuffix("_id")
            raise Refused("position-of-another-car", "That position is on another car", where=where)


def _job_fits(session: Session, draft: FactDraft) -> None:
    """Refuse a job that is to be done before and after the same step."""
    _on_its_car(session, draft)
    if draft.columns["before_id"] is not None and draft.columns["before_id"] == draft.columns["after_id"]:
        raise Refused("job-before-and-after", "A job cannot stand before and after the same step", where="before")


def _of_a_job(session: Session, draft: FactDraft) -> None:
    """Refuse what is not the id of a job on the same car."""
    said = draft.columns["job"] or ""
    split = split_fact_id(said)
    row = session.get(Job, split[1]) if split and split[0] == Job.__tablename__ else None
    if row is None or row.thing_id != draft.thing_id:
        hint = "the jobs of a car: matchmark refit job list CAR"
        raise Refused("no-such-job", f'No job "{said}" on this car', where="job", hint=hint)


def _job_says(values: Values) -> str:
    places = [f"{word} {values[word]}" for word in ("after", "before") if values.get(word)]
    waits = [f"waits for {values['waits_for']}"] if values.get("waits_for") else []
    return "; ".join([values["text"], *places, *waits])


def _alteration_says(values: Values) -> str:
    where = f"{values['position']}: " if values.get("position") else ""
    return f"{where}{values['what']}" + (f" ({values['why']})" if values.get("why") else "")


FACTS = (
    FactKind(
        Job,
        "job",
        ("car",),
        (
            text("text", "clip the loom", needed=True),
            named("before", "position"),
            named("after", "position"),
            text("waits for", "paint", "parts ordered"),
        ),
        validate=one_by_one(_job_fits),
        says=_job_says,
        section=Section("jobs", "Jobs"),
    ),
    FactKind(
        JobDone,
        "job done",
        ("car",),
        (text("job", "job-1", needed=True),),
        validate=one_by_one(_of_a_job),
        says=lambda values: f"done: {values['job']}",
    ),
    FactKind(
        Alteration,
        "alteration",
        ("car",),
        (
            named("position", "position"),
            text("what", "6 mm hole drilled for the bracket", needed=True),
            text("why", "the old thread was stripped"),
        ),
        validate=one_by_one(_on_its_car),
        says=_alteration_says,
        section=Section("alterations", "Changed on the car"),
    ),
    FactKind(
        Assignment,
        "assignment",
        ("part",),
        (named("position", "position", needed=True), text("why", "the old one leaks")),
        says=lambda values: f"is to go on: {values['position']}",
        section=Section("assignments", "Is to go on", "Where"),
        travels="no",
    ),
)
"""Jobs, what was changed on a car, and which part is to go where."""
