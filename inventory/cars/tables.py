"""Cars, their positions, and the facts about both."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = [
    "Car",
    "CarCover",
    "CarDescription",
    "MadeByMistake",
    "Mileage",
    "Position",
    "PositionDescription",
    "PositionListing",
]


class CarColumns:
    """What identifies a car; in `car` the current values, in `car_description` those of one fact."""

    name: Mapped[str | None]
    maker: Mapped[str | None]
    model: Mapped[str | None]
    year: Mapped[str | None]
    chassis: Mapped[str | None]
    note: Mapped[str | None]


class Car(CarColumns, Base):
    """A car with its current values. `name_folded` is unique. `taken_away`: yes, if it was made by mistake."""

    __tablename__ = "car"
    __table_args__ = (UniqueConstraint("name_folded"),)
    id: Mapped[ThingKey]
    name_folded: Mapped[str]
    taken_away: Mapped[str | None]


class CarDescription(FactColumns, CarColumns, Base):
    """A description of a car; an empty column says nothing."""

    __tablename__ = "car_description"


class CarCover(FactColumns, Base):
    """Whether a car is insured as a whole (`insured_whole`: yes, no), and the policy."""

    __tablename__ = "car_cover"
    insured_whole: Mapped[str]
    policy: Mapped[str | None]


class Mileage(FactColumns, Base):
    """What a car's counter showed: `reading` in `unit` (km, mi)."""

    __tablename__ = "mileage"
    reading: Mapped[int]
    unit: Mapped[str]
    note: Mapped[str | None]


class Position(Base):
    """A place on a car where one part belongs.

    `first_name`: the name it was made with, if it was renamed. `taken_away`: yes, if it was made by mistake.
    """

    __tablename__ = "position"
    __table_args__ = (UniqueConstraint("car_id", "name_folded"),)
    id: Mapped[ThingKey]
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    name: Mapped[str]
    name_folded: Mapped[str]
    first_name: Mapped[str | None]
    taken_away: Mapped[str | None]


class PositionDescription(FactColumns, Base):
    """A position got another name."""

    __tablename__ = "position_description"
    name: Mapped[str | None]


class MadeByMistake(FactColumns, Base):
    """A car or position was made by mistake, and why: no list shows it, and its name is free again."""

    __tablename__ = "made_by_mistake"
    why: Mapped[str]


class PositionListing(FactColumns, Base):
    """What belongs at a position, according to a list: offered at the strip-down, never used as a reading.

    `area` of the car; `numbers` that belong beside `part_number`; `behind`: the positions that must come off first.
    Several are separated by semicolons.
    """

    __tablename__ = "position_listing"
    ordinal: Mapped[int | None]
    kind: Mapped[str | None]
    maker: Mapped[str | None]
    part_number: Mapped[str | None]
    axis: Mapped[str | None]
    fasteners: Mapped[str | None]
    connections: Mapped[str | None]
    mounts: Mapped[str | None]
    area: Mapped[str | None]
    numbers: Mapped[str | None]
    behind: Mapped[str | None]
