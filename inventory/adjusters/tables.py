"""Adjusters as found on cars."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["AdjusterFound"]


class AdjusterFound(FactColumns, Base):
    """An adjuster, switch or setting of a car, as found.

    `before`: its reading when found, as typed; `after`: its reading after the work, empty until then; both in `unit`
    (turns, notches, degC). `text`: remarks. What a specialist set on a bench is in the table `setting`.
    """

    __tablename__ = "adjuster_found"
    adjuster: Mapped[str]
    before: Mapped[str]
    after: Mapped[str | None]
    unit: Mapped[str | None]
    text: Mapped[str | None]
