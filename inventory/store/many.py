"""Many keys as one parameter of a statement, so that the number of statements does not grow with their number.

On SQLite the keys go in as one JSON text, on PostgreSQL as one array.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import orjson
from sqlalchemy import ARRAY, Boolean, ColumnElement, Dialect, Integer, Text, bindparam
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.orm import Session
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator, TypeEngine

from inventory.store.connection.engine import is_sqlite

__all__ = ["among", "among_sql"]


class _Keys(TypeDecorator[Any]):
    """Whole numbers or texts, all of one kind, in one parameter."""

    impl = Text
    cache_ok = True

    def __init__(self, of: type[Integer] | type[Text]) -> None:
        super().__init__()
        self.of = of

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """An array, where the engine has them."""
        return dialect.type_descriptor(ARRAY(self.of()) if dialect.name == "postgresql" else Text())

    def process_bind_param(self, value: Iterable[Any] | None, dialect: Dialect) -> Any:
        """The keys as the engine takes them."""
        keys = list(value or ())
        return keys if dialect.name == "postgresql" else orjson.dumps(keys).decode()


class _Among(FunctionElement[bool]):
    name = "among"
    inherit_cache = True
    type = Boolean()

    def self_group(self, against: object = None) -> _Among:
        """Itself: written as `... = 1`, as boolean functions are, it would use no index."""
        return self


@compiles(_Among)
def _any(element: Any, compiler: Any, **settings: Any) -> str:
    column, keys = (compiler.process(each, **settings) for each in element.clauses)
    return f"{column} = ANY ({keys})"


@compiles(_Among, "sqlite")
def _in_json(element: Any, compiler: Any, **settings: Any) -> str:
    column, keys = (compiler.process(each, **settings) for each in element.clauses)
    return f"{column} IN (SELECT value FROM json_each({keys}))"  # noqa: S608 - what the compiler made of a column and a parameter


def among(column: Any, keys: Iterable[int | str] | str = "keys") -> ColumnElement[bool]:
    """The condition that a column of whole numbers or texts holds one of some values.

    `keys`: the values, or the name of the parameter that they will be given as, for a statement that is kept.
    """
    kind = _Keys(Integer if isinstance(column.type, Integer) else Text)
    given = bindparam(keys, type_=kind) if isinstance(keys, str) else bindparam(None, list(keys), type_=kind)
    return _Among(column, given)  # type: ignore[no-untyped-call,no-any-return,unused-ignore]


def among_sql(session: Session, name: str, wanted: Iterable[int] | Iterable[str]) -> tuple[str, dict[str, object]]:
    """What stands behind a column in SQL text for the same, and its parameter, called `name`."""
    values = list(wanted)
    if is_sqlite(session.get_bind()):
        return f"IN (SELECT value FROM json_each(:{name}))", {name: orjson.dumps(values).decode()}  # noqa: S608 - a name of ours
    kind = "text" if values and isinstance(values[0], str) else "bigint"
    return f"= ANY(CAST(:{name} AS {kind}[]))", {name: values}
