"""Is the schema the one this program writes, and does every row that is pointed at exist?"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, Table, text
from sqlalchemy.orm import Session

from inventory.store.connection.version import HEAD
from inventory.store.tables import Base
from inventory.store.verify.problems import Finding, Problem, named, shown

__all__ = ["broken_references", "owner", "revision_problems", "spaced"]


def revision_problems(session: Session) -> list[Problem]:
    """Is the schema marked with the revision this program writes, once?"""
    held = [row[0] for row in session.execute(text("SELECT version_num FROM alembic_version"))]
    if held == [HEAD]:
        return []
    says = f"the record is marked with schema {', '.join(map(shown, held)) or 'none'}, not with {HEAD}"
    return [Problem("the record", None, "alembic_version", "version_num", says)]


def broken_references(session: Session) -> list[Problem]:
    """Rows that point at a row that is not there."""
    keys = [
        (table.name, key.parent.name, key.column)
        for table in Base.metadata.sorted_tables
        for key in sorted(table.foreign_keys, key=lambda each: each.parent.name)
    ]
    queries = [
        f"SELECT {number} AS which, {owner(Base.metadata.tables[table]).name}, {column} FROM {table} AS child "  # noqa: S608 - names of the schema
        f"WHERE {column} IS NOT NULL AND NOT EXISTS "
        f"(SELECT 1 FROM {target.table.name} AS parent WHERE parent.{target.name} = child.{column})"
        for number, (table, column, target) in enumerate(keys)
    ]
    findings = []
    for which, thing_id, value in session.execute(text(" UNION ALL ".join(queries) + " ORDER BY 1, 2")):
        table, column, target = keys[which]
        says = f": {spaced(table)} points at {spaced(target.table.name)} {shown(value)}, which is not there"
        findings.append(Finding(thing_id, table, column, says))
    return named(session, findings)


def owner(table: Table) -> Column[Any]:
    """The column that holds the thing a row belongs to, else its key."""
    return next(table.c[name] for name in ("thing_id", "part_id", "id", "digest") if name in table.c)


def spaced(name: str) -> str:
    """The name of a table or column as it stands in a sentence."""
    return name.removesuffix("_id").replace("_", " ")
