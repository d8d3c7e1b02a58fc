"""Parts, the facts about them, and part numbers."""

from __future__ import annotations

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from inventory.store.tables import Base, FactColumns, ThingKey

__all__ = [
    "Assessment",
    "Fit",
    "LabelRoll",
    "Labelling",
    "Marking",
    "Note",
    "ObjectDescription",
    "OwnNumber",
    "Part",
    "PartNumber",
    "Relation",
    "Supersession",
    "Together",
    "UnreadCell",
    "Work",
]


class MarkingColumns:
    """What a part is and what is marked on it. `extra`: canonical JSON of a sheet's own columns.

    `serial_state`: why there is no serial: not legible, none on it, not looked at. `match_code_state`: read,
    unreadable, label gone, never fitted, not looked at. `match_code_read_from`: empty for the part itself, else
    paperwork, seller, passport, picture. Hundreds of units share a date code, so it identifies none.
    """

    kind: Mapped[str | None]
    maker: Mapped[str | None]
    part_number: Mapped[str | None]
    serial: Mapped[str | None]
    serial_state: Mapped[str | None]
    date_code: Mapped[str | None]
    match_code: Mapped[str | None]
    match_code_state: Mapped[str | None]
    match_code_read_from: Mapped[str | None]
    marks: Mapped[str | None]
    extra: Mapped[str | None]


class Part(MarkingColumns, Base):
    """A part. Its columns are computed from its facts, only by `parts.judgements`; `tag` too, once it has changed.

    `car_id`, `position_id`: where it is fitted or, if `fitted` is no, where it last came off. `gone`: how it left
    (sold, scrapped, ...), or null. `first_label`: the tag it was entered with, if it has had another since.
    """

    __tablename__ = "part"
    __table_args__ = (
        UniqueConstraint("tag"),
        Index(None, "part_number_squeezed"),
        Index(None, "serial_alike"),
        Index(None, "kind", "part_number_squeezed"),
        Index(None, "car_id"),
        Index(None, "place_id"),
    )
    id: Mapped[ThingKey]
    tag: Mapped[str]
    part_number_squeezed: Mapped[str | None]
    serial_squeezed: Mapped[str | None]
    serial_alike: Mapped[str | None]
    seal_state: Mapped[str]
    condition: Mapped[str | None]
    whose: Mapped[str]
    car_id: Mapped[int | None] = mapped_column(ForeignKey("car.id"))
    position_id: Mapped[int | None] = mapped_column(ForeignKey("position.id"))
    fitted: Mapped[str]
    place_id: Mapped[int | None] = mapped_column(ForeignKey("place.id"))
    gone: Mapped[str | None]
    first_label: Mapped[str | None]

    @property
    def headline(self) -> str:
        """The part in one line: tag, kind, maker, number, serial."""
        none = f"no serial: {self.serial_state}" if self.serial_state else "no serial read"
        serial = f"serial {self.serial}" if self.serial else none
        words = (self.kind or "taken back", self.maker, self.part_number)
        return f"{self.tag}  {' '.join(word for word in words if word)}, {serial}"


class Labelling(FactColumns, Base):
    """The label (`label`: a tag) that is on a part, where it is not the one it was entered with.

    `was`: the label by which it was known before. `why`: wrong label, swapped.
    """

    __tablename__ = "labelling"
    label: Mapped[str]
    was: Mapped[str]
    why: Mapped[str]


class LabelRoll(FactColumns, Base):
    """Labels printed before their parts are known: a fact about the record. No other part gets their tags.

    `number` of the roll; `tags`: JSON, in the order of printing; `car_sides`: how many labels for the car side
    each has.
    """

    __tablename__ = "label_roll"
    number: Mapped[int]
    tags: Mapped[str]
    car_sides: Mapped[int]


class Marking(FactColumns, MarkingColumns, Base):
    """One reading of what a part is and what is marked on it; an empty column says nothing."""

    __tablename__ = "marking"


class OwnNumber(FactColumns, Base):
    """A number that somebody who kept the part gave it: their inventory, their shelf list. `given_in`: its header."""

    __tablename__ = "own_number"
    number: Mapped[str]
    given_in: Mapped[str | None]


class UnreadCell(FactColumns, Base):
    """What stood in a cell of a sheet and could not be read: the text under its header, and the column it was for."""

    __tablename__ = "unread_cell"
    header: Mapped[str]
    for_column: Mapped[str | None]
    text: Mapped[str]


class Note(FactColumns, Base):
    """A remark about any thing."""

    __tablename__ = "note"
    text: Mapped[str]


class Assessment(FactColumns, Base):
    """How a part looks: `category` 0 to 3 (null: not assessed), damage, what is missing, stable or getting worse.

    `why` it was looked at; in what `light`; `opened`: yes, no; `unseen`: what could not be seen. `trade_class`: new old
    stock, used, rebuildable core, scrap.
    """

    __tablename__ = "assessment"
    category: Mapped[int | None]
    damage: Mapped[str | None]
    missing: Mapped[str | None]
    trend: Mapped[str | None]
    why: Mapped[str | None]
    light: Mapped[str | None]
    opened: Mapped[str | None]
    unseen: Mapped[str | None]
    trade_class: Mapped[str | None]


class ObjectDescription(FactColumns, Base):
    """What a part can be known by, after Object ID: `measurements` with units, `material`, `features`.

    `marks_sit`: where its numbers and marks sit.
    """

    __tablename__ = "object_description"
    measurements: Mapped[str | None]
    material: Mapped[str | None]
    features: Mapped[str | None]
    marks_sit: Mapped[str | None]


class Relation(FactColumns, Base):
    """How a part belongs to a car: `relation` is original, same type and time, later, reproduction or not known.

    `says`: what says so.
    """

    __tablename__ = "relation"
    car_id: Mapped[int | None] = mapped_column(ForeignKey("car.id"))
    relation: Mapped[str]
    says: Mapped[str | None]


class Work(FactColumns, Base):
    """Work done. `area`: outside (bracket, mounts, label) or on the unit (opened, heated, blasted, wetted).

    `product` and its `batch`; `done_by`: who did it, if not the hand that notes it; `reversible`: yes, no;
    `taken_off`: what was taken off, and where it is kept; `covered`: whether ports and plug were: yes, no.
    """

    __tablename__ = "work"
    what: Mapped[str]
    area: Mapped[str]
    product: Mapped[str | None]
    batch: Mapped[str | None]
    done_by: Mapped[str | None]
    cost: Mapped[str | None]
    currency: Mapped[str | None]
    reversible: Mapped[str | None]
    taken_off: Mapped[str | None]
    covered: Mapped[str | None]


class Together(FactColumns, Base):
    """The part (`thing_id`) came off as one with another; `apart` is yes from when they were parted."""

    __tablename__ = "together"
    other_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    apart: Mapped[str | None]


class PartNumber(Base):
    """A maker's number about which something is recorded."""

    __tablename__ = "part_number"
    __table_args__ = (UniqueConstraint("squeezed"),)
    id: Mapped[ThingKey]
    written: Mapped[str]
    squeezed: Mapped[str]
    kind: Mapped[str | None]


class Supersession(FactColumns, Base):
    """The maker replaced this number (`thing_id`) by another."""

    __tablename__ = "supersession"
    by_number_id: Mapped[int] = mapped_column(ForeignKey("part_number.id"))


class Fit(FactColumns, Base):
    """Sensors of this number (`thing_id`) work with units of `unit_number_id`; `fits`: yes, no."""

    __tablename__ = "fit"
    unit_number_id: Mapped[int] = mapped_column(ForeignKey("part_number.id"))
    fits: Mapped[str]
