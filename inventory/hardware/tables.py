"""Hardware in stock."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["HardwareStock"]


class HardwareStock(FactColumns, Base):
    """So many of one thing lie at a place (`thing_id`), as counted that day; a later count takes its place.

    `spec`: as written; `hardware.parse` reads it. `cured`: of rubber, the quarter of its cure (EDTF).
    """

    __tablename__ = "hardware_stock"
    spec: Mapped[str]
    count: Mapped[int]
    batch: Mapped[str | None]
    cured: Mapped[str | None]
