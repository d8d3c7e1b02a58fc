"""Is the schema the one that the program's own revisions make, with nothing of others' in it?

Each table is told in lines of text (its columns, keys, what is unique, what points where), once as the program declares
it and once as the engine says, so that any difference is a line. A trigger or rule of others could write unseen; a view
could stand in for a table; without its unique index a table could hold a tag twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache

from sqlalchemy import Table, UniqueConstraint, text
from sqlalchemy.orm import Session

from inventory.store.connection.engine import is_sqlite
from inventory.store.tables import Base
from inventory.store.verify.held import BESIDES, OF_RECORD, column_line, held_on_server, held_on_sqlite
from inventory.store.verify.problems import Problem, Remark, shown

__all__ = ["structure_problems", "structure_remarks"]


def structure_problems(session: Session) -> tuple[list[Problem], bool]:
    """What of the schema is not the program's, or is missing; and whether every table and column can still be read."""
    sqlite = is_sqlite(session.get_bind())
    held, foreign = held_on_sqlite(session) if sqlite else held_on_server(session)
    problems = [_problem(None, says) for says in foreign]
    readable = True
    for name, lines in _declared(sqlite).items():
        if name not in held:
            problems.append(_problem(name, f"the table {name} is missing"))
            readable = False
            continue
        lost, more = sorted(lines - held[name]), sorted(held[name] - lines)
        problems += [_problem(name, f"the table {name} has no longer: {line}") for line in lost]
        foreign = [line for line in more if not line.startswith("index ")]  # one for speed is anybody's to add
        problems += [_problem(name, f"the table {name} has what is not of this program: {line}") for line in foreign]
        readable = readable and _columns(lines) <= _columns(held[name])
    if sqlite:
        others = sorted(held.keys() - Base.metadata.tables.keys() - {*BESIDES})
        problems += [_problem(name, f"the table {shown(name)} is not of this program") for name in others]
    return problems, readable


def _problem(table: str | None, says: str) -> Problem:
    return Problem("the schema", None, table, None, says)


def structure_remarks(session: Session) -> list[Remark]:
    """Tables and views of others beside the record's on a server: they do no harm, but do not belong to it."""
    if is_sqlite(session.get_bind()):
        return []
    others = f"SELECT relname FROM pg_class WHERE relkind IN ('r', 'p', 'v', 'm', 'f') AND {OF_RECORD} ORDER BY 1"  # noqa: S608
    found = session.scalars(text(others))
    names = [shown(name) for name in found if name not in Base.metadata.tables and name not in BESIDES]
    return [Remark(f"Beside the record's tables lie others, not of this program: {', '.join(names)}")] if names else []


def _columns(lines: Iterable[str]) -> set[str]:
    return {line.split()[1] for line in lines if line.startswith("column ")}


@cache
def _declared(sqlite: bool) -> dict[str, frozenset[str]]:
    """Every table as the program declares it, by name."""
    found = {name: frozenset(_lines_of(table)) for name, table in sorted(Base.metadata.tables.items())}
    return found if sqlite else found | {"search_entry": found["search_entry"] | {"index (search_index)"}}


def _lines_of(table: Table) -> Iterator[str]:
    yield f"primary key ({', '.join(column.name for column in table.primary_key)})"
    for column in table.c:
        yield column_line(column.name, str(column.type), needed=not column.nullable)
        for key in column.foreign_keys:
            yield f"foreign key ({column.name}) references {key.column.table.name}({key.column.name})"
    for rule in table.constraints:
        if isinstance(rule, UniqueConstraint):
            yield f"unique ({', '.join(rule.columns.keys())})"
    for index in table.indexes:
        yield f"index ({', '.join(index.columns.keys())})"
