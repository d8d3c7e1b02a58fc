"""Cars, the positions on them, and what is told of both."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = ["Car", "CarCover", "CarDescription", "Position", "PositionListing"]


class CarColumns:
    """What identifies a car; in `car` as it stands now, in `car_description` as told."""

    name: Mapped[str | None]
    maker: Mapped[str | None]
    model: Mapped[str | None]
    year: Mapped[str | None]
    chassis: Mapped[str | None]
    note: Mapped[str | None]


class Car(CarColumns, Base):
    """A car, as its descriptions leave it now. `name_folded` is unique."""

    __tablename__ = "car"
    __table_args__ = (UniqueConstraint("name_folded"),)
    id: Mapped[ThingKey]
    name_folded: Mapped[str]


class CarDescription(FactColumns, CarColumns, Base):
    """What somebody wrote down about a car; an empty column says nothing."""

    __tablename__ = "car_description"


class CarCover(FactColumns, Base):
    """Whether a car is itself insured whole (`insured_whole`: yes, no), under which policy."""

    __tablename__ = "car_cover"
    insured_whole: Mapped[str]
    policy: Mapped[str | None]


class Position(Base):
    """A place on a car where one part belongs."""

    __tablename__ = "position"
    __table_args__ = (UniqueConstraint("car_id", "name_folded"),)
    id: Mapped[ThingKey]
    car_id: Mapped[int] = mapped_column(ForeignKey("car.id"))
    name: Mapped[str]
    name_folded: Mapped[str]


class PositionListing(FactColumns, Base):
    """What belongs at a position, by a list: offered at the strip-down, never taken for a reading."""

    __tablename__ = "position_listing"
    ordinal: Mapped[int | None]
    kind: Mapped[str | None]
    maker: Mapped[str | None]
    part_number: Mapped[str | None]
    axis: Mapped[str | None]
    fasteners: Mapped[str | None]
    connections: Mapped[str | None]
    mounts: Mapped[str | None]
