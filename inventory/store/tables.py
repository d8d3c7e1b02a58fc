"""The base of every table: naming, the things, the journal, and the columns that all facts share.

Columns hold only integers and text: days as ISO 8601 text, moments as UTC text, exact amounts as
decimal digits. So an after-image is the row itself, the same on both engines and in any client.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from sqlalchemy import ForeignKey, Index, LargeBinary, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

from inventory.store.declared import declare

__all__ = [
    "Base",
    "DocumentContent",
    "FactColumns",
    "JournalEntry",
    "LogHead",
    "LogPlace",
    "Personal",
    "RecordInfo",
    "Redaction",
    "SearchEntry",
    "Thing",
    "ThingKey",
    "ThingReference",
    "Withdrawal",
    "WrongClock",
    "columns_of",
]

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

#: Where SQLAlchemy keeps what it knows of a row that it loaded.
_STATE = "_sa_instance_state"

ThingKey = Annotated[int, mapped_column(ForeignKey("thing.id"), primary_key=True, autoincrement=False)]
ThingReference = Annotated[int, mapped_column(ForeignKey("thing.id"))]
Digest = Annotated[str, mapped_column(String(64))]


class Base(DeclarativeBase):
    """Every table of a record.

    A row made here is a plain object that holds all its columns: 1 us, where SQLAlchemy's instances take 30, and no
    session takes it, so nothing but the journal can write it. A row that was loaded is SQLAlchemy's.
    """

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar = {str: Text}

    def __init_subclass__(cls, **kwargs: Any) -> None:
        """Maps the table, then takes away SQLAlchemy's way of making a row, so that ours is found."""
        declare(cls, cls.registry)  # in place of SQLAlchemy's own, which takes twice as long
        del cls.__init__

    def __init__(self, **values: object) -> None:
        empty, held = columns_of(type(self)), vars(self)
        held.update(empty)
        held.update(values)
        if len(held) != len(empty):
            raise TypeError(f"{type(self).__name__} has no column {', '.join(sorted(held.keys() - empty.keys()))}")

    if not TYPE_CHECKING:  # a checker would then let any name pass

        def __setattr__(self, name: str, value: object) -> None:
            """SQLAlchemy watches what becomes of a row that was loaded; any other just holds it."""
            held = vars(self)
            if name == _STATE or _STATE in held:
                super().__setattr__(name, value)
            elif name in held:
                held[name] = value
            else:
                raise AttributeError(f"{type(self).__name__} has no column {name}")

    @property
    def loaded(self) -> bool:
        """Whether the row came from a session."""
        return _STATE in vars(self)


@cache
def columns_of(model: type[Base]) -> dict[str, None]:
    """The columns of a table with nothing in them. Its attributes can be read once SQLAlchemy has set them up."""
    model.registry.configure()
    return dict.fromkeys(model.__table__.c.keys())


class Thing(Base):
    """Whatever persists and can have facts told of it. `kind` is the table that describes it."""

    __tablename__ = "thing"
    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str]


class FactColumns:
    """What every fact carries: of what, when it was so, when and by whom it was written down, how known.

    `so_from`: EDTF, a span of time as an interval; `told`: the words the time was told in. `so_to`: always empty; it
    stays because entries of form 1 are hashed with it. `earliest`, `latest`: the days `so_from` may lie between.
    `counts_from`: the latest of them or the day of recording, whichever is earlier. `ranked`: which of two that
    count from one day is the later: the moment of recording, or that of the fact it corrects, whose place it takes.
    `reason`: why this fact corrects another; of a fact from a sheet its file, tab and row ("written in ...").
    `superseded_by`, `superseded_on`: the fact that took its place ("seal_sighting-12") and on which day.
    """

    id: Mapped[int] = mapped_column(primary_key=True)
    thing_id: Mapped[ThingReference]
    so_from: Mapped[str]
    so_to: Mapped[str | None]
    told: Mapped[str | None]
    earliest: Mapped[str] = mapped_column(String(10))
    latest: Mapped[str] = mapped_column(String(10))
    counts_from: Mapped[str] = mapped_column(String(10))
    recorded: Mapped[str] = mapped_column(String(27))
    recorded_on: Mapped[str] = mapped_column(String(10))
    ranked: Mapped[str] = mapped_column(String(27))
    by_id: Mapped[ThingReference]
    how_known: Mapped[str]
    reason: Mapped[str | None]
    superseded_by: Mapped[str | None]
    superseded_on: Mapped[str | None] = mapped_column(String(10))

    @declared_attr.directive
    def __table_args__(cls) -> tuple[Index, ...]:  # noqa: N805
        """Facts are looked up by the thing they are told of."""
        return (Index(None, "thing_id"),)


class Withdrawal(FactColumns, Base):
    """A fact that takes back another: `fact` is its id ("seal_sighting-12"), `reason` why."""

    __tablename__ = "withdrawal"
    fact: Mapped[str]


class WrongClock(FactColumns, Base):
    """Entries that were written by a wrong clock: those of the first moment, of the last and of all between.

    A fact of the record itself. These entries are left out when a clock is compared with the newest entry. `moments`
    names them all (JSON, UTC text), so that entries which a right clock writes in the same span later are not meant.
    `true_day` (ISO 8601): the day on which the first of them was really written, if known; the others as many days
    after it as their clock said.
    """

    __tablename__ = "wrong_clock"
    from_at: Mapped[str] = mapped_column(String(27))
    until_at: Mapped[str] = mapped_column(String(27))
    moments: Mapped[str]
    true_day: Mapped[str | None] = mapped_column(String(10))


class Redaction(FactColumns, Base):
    """Words were cut from a journal entry for good: which row and column, and what is left of the entry.

    `entry_thing`, `entry_sequence`: the entry, one of the same thing. `of_table`, `of_key`, `of_column`: whose words
    they were. `left_digest`: SHA-256 over the entry's hashed fields as they are left, so that no other of them can be
    changed either; the entry keeps the hash it was written with.
    """

    __tablename__ = "redaction"
    entry_thing: Mapped[int]
    entry_sequence: Mapped[int]
    of_table: Mapped[str]
    of_key: Mapped[int]
    of_column: Mapped[str]
    left_digest: Mapped[str] = mapped_column(String(64))


class JournalEntry(Base):
    """One act on one thing: what became of every row it wrote, chained by hash to the entry before.

    `act_key` is the same on all entries of one act. `images`: canonical JSON; how rows stand in it, and over which
    fields `hash` (SHA-256) is made, `store.images` says for each `form` (null: the first).
    """

    __tablename__ = "journal"
    thing_id: Mapped[int] = mapped_column(ForeignKey("thing.id"), primary_key=True, autoincrement=False)
    sequence: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    at: Mapped[str] = mapped_column(String(27), index=True)
    who_id: Mapped[ThingReference]
    act: Mapped[str]
    act_key: Mapped[str] = mapped_column(String(32), index=True)
    images: Mapped[str]
    previous: Mapped[Digest]
    hash: Mapped[Digest]
    form: Mapped[int | None]


class LogPlace(Base):
    """The place of one journal entry in the log of all entries; the first place is 1. The log only grows."""

    __tablename__ = "log"
    place: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    thing_id: Mapped[int]
    sequence: Mapped[int]


class LogHead(Base):
    """The one row that says how long the log is, and what a Merkle tree over its entry hashes needs to grow.

    `frontier`: the roots of the tree's whole subtrees, the largest first, hexadecimal, with a blank between.
    """

    __tablename__ = "log_head"
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    size: Mapped[int]
    frontier: Mapped[str]


class Personal(Base):
    """A name, address or number, apart from hashed content: rows hold only the salted digest.

    `digest`, the key, is SHA-256 of salt and text. Blanking a person sets `salt` and `text` to null.
    """

    __tablename__ = "personal"
    __table_args__ = (Index(None, "text_folded"),)
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    thing_id: Mapped[ThingReference]
    salt: Mapped[str | None]
    text: Mapped[str | None]
    text_folded: Mapped[str | None]


class SearchEntry(Base):
    """What a part is found by: its fields folded and delimited. Derived; `verify` writes it anew and compares."""

    __tablename__ = "search_entry"
    part_id: Mapped[ThingKey]
    text: Mapped[str]


class DocumentContent(Base):
    """The bytes of a document in pieces, where the record is on PostgreSQL; on SQLite they lie in a folder beside it.

    `piece` counts from 0. Documents of older versions are one piece.
    """

    __tablename__ = "document_content"
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    piece: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    content: Mapped[bytes] = mapped_column(LargeBinary)


class RecordInfo(Base):
    """The record itself, which is the first thing in it.

    `zone`: the time zone (IANA name) in which its days begin; empty: that of whichever machine works on it.
    """

    __tablename__ = "record_info"
    id: Mapped[ThingKey]
    identity: Mapped[str]
    made_at: Mapped[str] = mapped_column(String(27))
    made_by: Mapped[str]
    zone: Mapped[str | None]
