"""Many keys as one parameter of a statement, so that the number of statements does not grow with their number.

On SQLite the keys go in as one JSON text, on PostgreSQL as one array.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import orjson
from sqlalchemy import ARRAY, Boolean, Dialect, Integer, Text, bindparam
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator, TypeEngine

__all__ = ["among"]


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
        """Itself: written as `... = 1`, as functions are that give a truth, it would use no index."""
        return self


@compiles(_Among)
def _any(element: Any, compiler: Any, **settings: Any) -> str:
    column, keys = (compiler.process(each, **settings) for each in element.clauses)
    return f"{column} = ANY ({keys})"


@compiles(_Among, "sqlite")
def _in_json(element: Any, compiler: Any, **settings: Any) -> str:
    column, keys = (compiler.process(each, **settings) for each in element.clauses)
    return f"{column} IN (SELECT value FROM json_each({keys}))"  # noqa: S608 - what the compiler made of a column and a parameter


def among(column: Any, name: str = "keys") -> Any:
    """The condition that a column of whole numbers or texts is one of the keys given as the parameter `name`."""
    of = Integer if isinstance(column.type, Integer) else Text
    return _Among(column, bindparam(name, type_=_Keys(of)))
