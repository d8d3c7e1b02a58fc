"""Taking a car apart and putting it together: strip-downs, removals, fittings."""

from __future__ import annotations

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns

__all__ = ["RAN", "Fitting", "Removal", "Stay", "StripDown", "StripDownEnd"]

#: Whether a car ran before it was taken apart.
RAN = ("yes", "no", "not known")


class StripDown(FactColumns, Base):
    """The start of taking a car apart. Parts of one strip-down are known to have run together.

    `care` holds the answers about battery, stands and fuel line; `ran` whether the car ran before: one of `RAN`.
    """

    __tablename__ = "strip_down"
    care: Mapped[str | None]
    ran: Mapped[str | None]


class StripDownEnd(FactColumns, Base):
    """The end of a strip-down."""

    __tablename__ = "strip_down_end"
    strip_down_id: Mapped[int] = mapped_column(ForeignKey("strip_down.id"))


class Removal(FactColumns, Base):
    """A part came off a car: its number in the strip-down, position, axis, fasteners and connections.

    `route`: how its hose or loom ran; `bore` and `low_spots` of a hose; `at_port`: fuel or oil seen at the port;
    `moved`: what was moved to get at it; `broken`: stud, hose, clip.
    """

    __tablename__ = "removal"
    __table_args__ = (Index(None, "thing_id"), Index(None, "strip_down_id"))
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    strip_down_id: Mapped[int | None] = mapped_column(ForeignKey("strip_down.id"))
    position_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    sequence: Mapped[int | None]
    axis: Mapped[str | None]
    fasteners: Mapped[str | None]
    connections: Mapped[str | None]
    mounts: Mapped[str | None]
    bag: Mapped[str | None]
    car_side: Mapped[str | None]
    route: Mapped[str | None]
    bore: Mapped[str | None]
    low_spots: Mapped[str | None]
    at_port: Mapped[str | None]
    moved: Mapped[str | None]
    broken: Mapped[str | None]


class Stay(FactColumns, Base):
    """The part at a position (`thing_id`) stays on the car, and why."""

    __tablename__ = "stay"
    strip_down_id: Mapped[int] = mapped_column(ForeignKey("strip_down.id"))
    why: Mapped[str]


class Fitting(FactColumns, Base):
    """A part was fitted to a car. `override`: the reason, if it was fitted against advice.

    `axis` and `fasteners` as fitted; `car_side`: the labels found on plug and hose.
    """

    __tablename__ = "fitting"
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    position_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    override: Mapped[str | None]
    axis: Mapped[str | None]
    fasteners: Mapped[str | None]
    car_side: Mapped[str | None]
