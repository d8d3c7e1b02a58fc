"""Labels for what stays on the car when a part comes off."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from inventory.store.tables import Base, FactColumns

__all__ = ["CarSideLabel"]


class CarSideLabel(FactColumns, Base):
    """A car-side label was stuck on something that belongs to a part: `stuck_on` (plug, hose), `number` 1 to 4.

    `of_tag`: the tag that is printed on it; it stays the same if the part gets another label.
    """

    __tablename__ = "car_side_label"
    of_tag: Mapped[str]
    number: Mapped[int]
    stuck_on: Mapped[str]
