"""Putting a car back together: jobs between the steps, what was changed on the car, which part is to go where."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["Alteration", "Assignment", "Job", "JobDone"]


class Job(FactColumns, Base):
    """Something to do on a car (`thing_id`) between two steps: before one position, after another.

    `waits_for`: what it waits for, in words: paint, parts ordered, at the specialist.
    """

    __tablename__ = "job"
    text: Mapped[str]
    before_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    after_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    waits_for: Mapped[str | None]


class JobDone(FactColumns, Base):
    """A job on a car (`thing_id`) is done. `job`: the id of its fact; of a corrected job any of its facts."""

    __tablename__ = "job_done"
    job: Mapped[str]


class Alteration(FactColumns, Base):
    """Something was changed on a car (`thing_id`) for good: a hole drilled, a bracket welded on; where, and why."""

    __tablename__ = "alteration"
    position_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    what: Mapped[str]
    why: Mapped[str | None]


class Assignment(FactColumns, Base):
    """A part (`thing_id`) is to go on at a position, in place of what came off there."""

    __tablename__ = "assignment"
    position_id: Mapped[int] = mapped_column(ForeignKey("position.id"))
    why: Mapped[str | None]
