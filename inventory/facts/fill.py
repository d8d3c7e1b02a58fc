"""Puts typed values, or those of a sheet, into the columns of drafts, and checks the drafts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import cache
from typing import Any, TypeAlias

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Values, declared
from inventory.facts.views import own_columns
from inventory.store.journal.images import canonical

__all__ = ["KeyOf", "fill_columns", "key_on_record", "merge_values", "validate"]

#: Returns the key of the thing that a column names: from draft, column, table, name. None: it gets a key later.
KeyOf: TypeAlias = Callable[[FactDraft, str, str, str], int | None]


def merge_values(into: dict[str, Any], more: Values) -> None:
    """Add values to others; mappings are merged, not replaced."""
    for name, value in more.items():
        both = isinstance(value, dict) and isinstance(into.get(name), dict)
        into[name] = {**into[name], **value} if both else value


def fill_columns(kind: FactKind, draft: FactDraft, values: Values, names: Collection[str], key_of: KeyOf) -> None:
    """Put the values with these names into the columns of a draft: names as keys, lists and mappings as JSON."""
    for column, table in _columns(kind):
        if (name := column.removesuffix("_id")) in names or (name := column) in names:
            value = values[name]
            if table and value is not None:
                value = key_of(draft, column, table, value)
            draft.columns[column] = canonical(value) if isinstance(value, (list, dict)) else value


@cache
def _columns(kind: FactKind) -> tuple[tuple[str, str], ...]:
    """The own columns of a table of facts, each with the table it refers to, or ""."""
    found = []
    for name in own_columns(kind.table):
        keys = kind.table.__table__.c[name].foreign_keys
        found.append((name, str(next(iter(keys)).column.table.name) if keys else ""))
    return tuple(found)


def key_on_record(session: Session) -> KeyOf:
    """Make a `KeyOf` that finds things on record and raises `Refused` for others."""
    registry = declared(session)

    def key_of(draft: FactDraft, _column: str, table: str, name: str) -> int | None:
        if not registry.is_thing(table):
            raise Refused(
                "not-corrected-here",
                f'"{table.replace("_", " ")}" cannot be corrected',
                hint="withdraw the fact and write it anew",
            )
        return registry.thing(table).find(session, name, draft.columns)

    return key_of


def validate(session: Session, kind: FactKind, every: Sequence[FactDraft]) -> None:
    """Check drafts of one kind; a draft with an empty needed column is refused."""
    kind.validate(session, every)
    needed = [column for column in own_columns(kind.table) if not kind.table.__table__.c[column].nullable]
    for draft in every:
        empty = [column for column in needed if draft.columns[column] is None and column not in draft.named]
        if empty and draft.refused is None:
            shown = empty[0].removesuffix("_id").replace("_", " ")
            draft.refused = Refused("value-missing", f'"{shown}" cannot be empty', where=shown)
