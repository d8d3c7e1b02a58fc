"""Reads the jobs of a car, and what was changed on it."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from inventory.cars.tables import Position
from inventory.errors import Refused
from inventory.refit.jobs import JobLine
from inventory.refit.tables import Alteration, Job, JobDone
from inventory.store.facts import as_of, fact_id
from inventory.store.tables import Withdrawal

__all__ = ["alterations_of", "job_numbered", "jobs_of"]


def jobs_of(session: Session, car_id: int) -> list[JobLine]:
    """The jobs of a car, in the order in which they were written down."""
    before, after = aliased(Position), aliased(Position)
    query = (
        select(Job.id, Job.text, before.name, after.name, Job.waits_for)
        .outerjoin(before, before.id == Job.before_id)
        .outerjoin(after, after.id == Job.after_id)
        .where(Job.thing_id == car_id)
    )
    rows = session.execute(as_of(query, Job)).all()
    done = _done(session, car_id) if rows else {}
    return [
        JobLine(fact_id(Job, key), car_id, text, first, then, waits, done.get(fact_id(Job, key)))
        for key, text, first, then, waits in rows
    ]


def job_numbered(session: Session, job: str) -> JobLine:
    """The job with this id ("job-3", or 3). Raises `Refused` if there is none, or it was taken back."""
    typed = job.strip().casefold()
    key = typed.removeprefix("job-")
    row = session.get(Job, int(key)) if key.isascii() and key.isdecimal() and len(key) < 10 else None
    found = [each for each in jobs_of(session, row.thing_id) if each.key == f"job-{key}"] if row else []
    if not found:
        raise Refused("no-such-job", f'There is no job "{job}"', hint="the jobs of a car: matchmark refit job list CAR")
    return found[0]


def alterations_of(session: Session, car_id: int) -> dict[int | None, list[str]]:
    """What was changed on a car, in words, by position."""
    rows = session.execute(as_of(select(*Alteration.__table__.c).where(Alteration.thing_id == car_id), Alteration))
    found: dict[int | None, list[str]] = defaultdict(list)
    for row in rows:
        found[row.position_id].append(f"{row.what}{f' ({row.why})' if row.why else ''}, {row.so_from}")
    return found


def _done(session: Session, car_id: int) -> dict[str, str]:
    """On which day each job was done, by the id of the fact that stands for it now."""
    later: dict[str, str | None] = {}
    for model in (Job, Withdrawal):
        table: Any = model
        rows = session.execute(select(table.id, table.superseded_by).where(table.thing_id == car_id))
        later |= {fact_id(model, key): by for key, by in rows}
    done = {}
    query = as_of(select(JobDone.job, JobDone.so_from).where(JobDone.thing_id == car_id), JobDone)
    for job, day in session.execute(query):
        while (by := later.get(job)) is not None:
            job = by
        done[job] = day
    return done
