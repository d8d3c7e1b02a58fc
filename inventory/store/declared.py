"""Makes a table from the annotations of its class, and maps the class to it.

SQLAlchemy does the same when a subclass of its declarative base is made, and evaluates every annotation of every class
and mixin anew for it: some 4 ms a class, which forty-five classes make the half of a cold command. The tables here need
a handful of annotations, so each is looked up once. What comes out is the same, which a test holds.
"""

from __future__ import annotations

import re
import sys
from inspect import get_annotations
from typing import Any

from sqlalchemy import Column, Integer, LargeBinary, Table, Text
from sqlalchemy.orm import MappedColumn, registry
from sqlalchemy.types import NullType, TypeEngine

__all__ = ["declare"]

_MAPPED = re.compile(r"Mapped\[(\w+)( \| None)?\]")
_TYPES: dict[str, type[TypeEngine[Any]]] = {"str": Text, "int": Integer, "bytes": LargeBinary}


def declare(cls: type[Any], within: registry) -> None:
    """Make the table of a class and map the class; its annotations are `Mapped[KIND]` or `Mapped[KIND | None]`.

    KIND is str, int, bytes, or an `Annotated` name of the module that has the column it stands for. `id` is the first
    column; the class's own stand before those of its mixins.
    """
    columns: dict[str, Column[Any]] = {}
    for holder in cls.__mro__:
        for name, annotation in get_annotations(holder).items():
            if name not in columns and (found := _MAPPED.fullmatch(annotation)):
                columns[name] = _column(holder, name, found[1], optional=bool(found[2]))
    ordered = sorted(columns.values(), key=lambda column: column.name != "id")
    table = Table(cls.__tablename__, within.metadata, *ordered, *getattr(cls, "__table_args__", ()))
    within.map_imperatively(cls, table)


def _column(holder: type[Any], name: str, kind: str, *, optional: bool) -> Column[Any]:
    given = holder.__dict__.get(name)
    if given is None and kind not in _TYPES:
        given = _annotated(holder, kind)
    column: Column[Any] = Column() if given is None else given.column._copy()
    column.name = column.key = name
    if isinstance(column.type, NullType):
        column.type = _TYPES.get(kind, Integer)()
    if not column.primary_key:
        column.nullable = optional
    return column


def _annotated(holder: type[Any], kind: str) -> MappedColumn[Any]:
    found: MappedColumn[Any] = getattr(sys.modules[holder.__module__], kind).__metadata__[0]
    return found
