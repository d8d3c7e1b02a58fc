"""The first start of a car after it was put back together."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["CAME_OUT", "StartCheck"]

#: How a check can come out.
CAME_OUT = ("good", "not good")


class StartCheck(FactColumns, Base):
    """One check of a car's first start (`thing_id`) after it was apart: which, how it came out, and what was found."""

    __tablename__ = "start_check"
    step: Mapped[str]
    came_out: Mapped[str]
    found: Mapped[str | None]
