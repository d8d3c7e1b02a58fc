"""Asking for rows by many keys at once: the keys go as one parameter, so that any number of them is one statement."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import ARRAY, BigInteger, ColumnElement, Text, bindparam, column, func, select
from sqlalchemy.orm import Session

from inventory.store.engine import is_sqlite

__all__ = ["among", "among_sql"]


def among(session: Session, key: Any, wanted: Iterable[int | str]) -> ColumnElement[bool]:
    """The condition that a column holds one of some values, whole numbers or texts, of either engine."""
    values = list(wanted)
    if is_sqlite(session.get_bind()):
        listed = func.json_each(json.dumps(values)).table_valued(column("value"))
        return key.in_(select(listed.c.value))  # type: ignore[no-any-return]
    kind = Text if values and isinstance(values[0], str) else BigInteger
    return key == func.any(bindparam(None, values, type_=ARRAY(kind)))  # type: ignore[no-any-return]


def among_sql(session: Session, name: str, wanted: Iterable[int]) -> tuple[str, dict[str, object]]:
    """What stands behind a column in SQL text for the same, and its parameter, called `name`."""
    values = list(wanted)
    if is_sqlite(session.get_bind()):
        return f"IN (SELECT value FROM json_each(:{name}))", {name: json.dumps(values)}  # noqa: S608 - a name of ours
    return f"= ANY(CAST(:{name} AS bigint[]))", {name: values}
