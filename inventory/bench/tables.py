"""Bench runs, as measured."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["BenchRun"]


class BenchRun(FactColumns, Base):
    """One application of one procedure to one part. `readings`, `conditions`: canonical JSON of what was typed."""

    __tablename__ = "bench_run"
    procedure: Mapped[str]
    readings: Mapped[str]
    conditions: Mapped[str]
