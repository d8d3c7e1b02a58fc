"""How adjusters were found on cars."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["AdjusterFound"]


class AdjusterFound(FactColumns, Base):
    """An adjuster, switch or setting of a car as it was found.

    `before`: what it read when it was found, as typed; `after`: what it read after the work, empty until then; both in
    `unit` (turns, notches, degC). `text`: remarks. What a specialist set on a bench stands in `setting`.
    """

    __tablename__ = "adjuster_found"
    adjuster: Mapped[str]
    before: Mapped[str]
    after: Mapped[str | None]
    unit: Mapped[str | None]
    text: Mapped[str | None]
