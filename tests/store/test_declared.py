"""Tables made from annotations are the ones SQLAlchemy makes of the same classes."""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any, ClassVar

import pytest
from sqlalchemy import MetaData, Text
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.schema import CreateIndex, CreateTable

from inventory.store.declared import declare
from inventory.store.tables import NAMING

CLASSES = """
from __future__ import annotations
from typing import Annotated
from sqlalchemy import ForeignKey, Index, LargeBinary, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

Reference = Annotated[int, mapped_column(ForeignKey("thing.id"))]
Digest = Annotated[str, mapped_column(String(64))]

class Thing(Base):
    __tablename__ = "thing"
    id: Mapped[int] = mapped_column(primary_key=True)

class Columns:
    on: Mapped[str] = mapped_column(String(10), index=True)
    by_id: Mapped[Reference]
    reason: Mapped[str | None]

class Fact(Columns, Base):
    __tablename__ = "fact"
    __table_args__ = (UniqueConstraint("digest"), Index(None, "reason", "on"))
    id: Mapped[int] = mapped_column(ForeignKey("thing.id"), primary_key=True, autoincrement=False)
    many: Mapped[int | None]
    digest: Mapped[Digest]
    content: Mapped[bytes] = mapped_column(LargeBinary)
    other_id: Mapped[int | None] = mapped_column(ForeignKey("fact.id"))
    plain: str = "no column"

class Pair(Base):
    __tablename__ = "pair"
    one: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    two: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
"""


class Theirs(DeclarativeBase):
    """SQLAlchemy's own way."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map: ClassVar = {str: Text}


class Ours(DeclarativeBase):
    """The way of `store.tables.Base`."""

    metadata = MetaData(naming_convention=NAMING)

    def __init_subclass__(cls, **kwargs: Any) -> None:
        declare(cls, cls.registry)


def described(base: type[DeclarativeBase], monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every table and index of the classes, as SQL, and the names under which the classes hold their columns."""
    module = ModuleType(f"classes_of_{base.__name__}")
    monkeypatch.setitem(sys.modules, module.__name__, module)
    vars(module)["Base"] = base
    exec(CLASSES, vars(module))
    made = [
        str(each)
        for table in base.metadata.sorted_tables
        for each in (CreateTable(table), *map(CreateIndex, sorted(table.indexes, key=lambda index: str(index.name))))
    ]
    return made + [f"{mapper.class_.__name__}: {mapper.columns.keys()}" for mapper in base.registry.mappers]


def test_tables_are_those_that_sqlalchemy_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    ours, theirs = described(Ours, monkeypatch), described(Theirs, monkeypatch)

    assert len(ours) == 3 + 2 + 3
    assert sorted(ours) == sorted(theirs)
