"""Bench runs as measured, and the instruments they are made with."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["BenchRun", "Calibration", "Instrument", "InstrumentDescription"]


class BenchRun(FactColumns, Base):
    """One application of one procedure to one part. `readings`, `conditions`: canonical JSON of what was typed."""

    __tablename__ = "bench_run"
    procedure: Mapped[str]
    readings: Mapped[str]
    conditions: Mapped[str]


class InstrumentColumns:
    """Name and description of an instrument, its accuracy, and the day until which it is in date uncalibrated.

    `specification` and `resolution` are written as with a run; `dial_unit` is the unit of its dial; `due` an ISO day.
    """

    name: Mapped[str | None]
    what: Mapped[str | None]
    specification: Mapped[str | None]
    dial_unit: Mapped[str | None]
    resolution: Mapped[str | None]
    due: Mapped[str | None]


class Instrument(InstrumentColumns, Base):
    """A gauge, meter or other instrument, as described now. `name_folded` is unique."""

    __tablename__ = "instrument"
    __table_args__ = (UniqueConstraint("name_folded"),)
    id: Mapped[ThingKey]
    name_folded: Mapped[str]


class InstrumentDescription(FactColumns, InstrumentColumns, Base):
    """What was written down about an instrument; an empty column says nothing."""

    __tablename__ = "instrument_description"


class Calibration(FactColumns, Base):
    """An instrument was calibrated: `result` passed or failed; `due` an ISO day; `points` SHOWN=TRUE, by "; "."""

    __tablename__ = "calibration"
    result: Mapped[str]
    due: Mapped[str | None]
    points: Mapped[str | None]
    document_id: Mapped[int | None] = mapped_column(ForeignKey("document.id"))
