"""What an engine says of the tables that are there, in the lines of `store.verify.structure`."""

# ruff: noqa: S608 - all SQL here is of constants

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from sqlalchemy import text
from sqlalchemy.orm import Session

from inventory.store.verify.problems import shown

__all__ = ["BESIDES", "OF_RECORD", "Lines", "column_line", "held_on_server", "held_on_sqlite"]

#: By table, what is told of it.
Lines = dict[str, set[str]]

#: What the program has besides its declared tables: the mark of its schema, and the full-text index of one file.
BESIDES = ("alembic_version", *(f"search_index{part}" for part in ("", "_data", "_idx", "_docsize", "_config")))
#: What no table of the program has, in the statement that SQLite keeps of it.
_RULES = re.compile(r"\b(CHECK|COLLATE|GENERATED|DEFAULT|STRICT|CONFLICT)\b")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"|`[^`]*`|\[[^\]]*\]|--[^\n]*|/\*.*?\*/", re.DOTALL)

_EACH = "FROM sqlite_master AS made JOIN pragma_{}(made.name) AS each {} WHERE made.type = 'table'"
_COLUMNS = 'SELECT made.name, each.name, each.type, each."notnull", each.pk ' + _EACH.format("table_xinfo", "")
_POINTS = 'SELECT made.name, each."table", each."from", each."to", each.on_update, each.on_delete ' + _EACH.format(
    "foreign_key_list", ""
)
_INDEXES = (
    'SELECT made.name, each.name, each."unique", each.origin, each.partial, at.name '
    + _EACH.format("index_list", "JOIN pragma_index_info(each.name) AS at")
    + " ORDER BY 1, 2, at.seqno"
)

#: The schema of the record's tables on a server: the one in which its mark is found.
OF_RECORD = "relnamespace = (SELECT relnamespace FROM pg_class WHERE oid = to_regclass('alembic_version'))"
_MADE = f"JOIN pg_class AS made ON made.oid = {{}} WHERE made.relkind = 'r' AND made.{OF_RECORD} {{}}"
_SERVER_COLUMNS = (
    "SELECT made.relname, attname, format_type(atttypid, atttypmod), attnotnull, attgenerated <> '' FROM pg_attribute "
    + _MADE.format("attrelid", "AND attnum > 0 AND NOT attisdropped")
)
_SERVER_RULES = "SELECT made.relname, pg_get_constraintdef(rule.oid) FROM pg_constraint AS rule " + _MADE.format(
    "conrelid", "AND contype <> 'n'"
)
_SERVER_INDEXES = (
    "SELECT made.relname, named.relname, indisunique, indpred IS NOT NULL, array_to_string(ARRAY("
    "SELECT pg_get_indexdef(indexrelid, at, true) FROM generate_series(1, indnkeyatts) AS at), ', ') "
    "FROM pg_index JOIN pg_class AS named ON indexrelid = named.oid "
    + _MADE.format("indrelid", "AND indisvalid AND NOT indisprimary")
)
_SERVER_TRIGGERS = "SELECT made.relname, tgname, tgisinternal, tgenabled = 'O' FROM pg_trigger " + _MADE.format(
    "tgrelid", ""
)
_SERVER_REST = (
    "SELECT made.relname, made.relrowsecurity, made.relhassubclass, (SELECT min(rulename) FROM pg_rewrite "
    f"WHERE ev_class = made.oid) FROM pg_class AS made WHERE made.relkind = 'r' AND made.{OF_RECORD}"
)


def column_line(name: str, kind: str, *, needed: bool) -> str:
    """A column; its type has one name on both engines."""
    kind = kind.lower().replace("character varying", "varchar").replace("bytea", "blob")
    return f"column {name} {kind}{', never empty' if needed else ''}"


def held_on_sqlite(session: Session) -> tuple[Lines, list[str]]:
    """The tables of one file, and what else lies in it that is not the program's."""
    held: Lines = defaultdict(set)
    foreign = []
    for kind, name, table, sql in _rows(session, "SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY name"):
        if kind == "table" and not name.startswith("sqlite_"):
            found = [] if name in BESIDES else _RULES.findall(_QUOTED.sub("", str(sql)).upper())
            held[name] |= {f"a rule in its statement: {word}" for word in found}
        elif kind in ("trigger", "view"):
            where = f" on the table {shown(table)}" if kind == "trigger" else ""
            foreign.append(f"the {kind} {shown(name)}{where} is not of this program")
    keys: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for table, name, kind, needed, key in _rows(session, _COLUMNS):
        held[table].add(column_line(name, kind, needed=bool(needed)))
        if key:
            keys[table].append((key, name))
    for table, named in keys.items():
        held[table].add(f"primary key ({', '.join(name for _, name in sorted(named))})")
    for table, other, column, to, *acts in _rows(session, _POINTS):
        line = f"foreign key ({column}) references {other}({to})"
        held[table].add(line if acts == ["NO ACTION"] * 2 else f"{line} on update {acts[0]}, on delete {acts[1]}")
    for table, line in _by_index(_rows(session, _INDEXES)):
        held[table].add(line)
    return {table: lines for table, lines in held.items() if not table.startswith("sqlite_")}, foreign


def _by_index(rows: Iterable[Any]) -> Iterator[tuple[str, str]]:
    """Each index as a line, with its table; that of a primary key is told with the key."""
    columns: dict[tuple[Any, ...], list[str]] = defaultdict(list)
    for *index, column in rows:
        columns[tuple(index)].append(str(column))
    for (table, _, unique, origin, partial), names in columns.items():
        if origin != "pk":
            yield table, _index(", ".join(names), unique=unique, partial=partial)


def _index(columns: str, *, unique: Any, partial: Any) -> str:
    return f"{'unique' if unique else 'index'} ({columns}){' of some rows' if partial else ''}"


def held_on_server(session: Session) -> tuple[Lines, list[str]]:
    """The tables of the record on a server, and the triggers on them that are not the program's."""
    held: Lines = defaultdict(set)
    foreign = []
    for table, secured, inherited, rule in _rows(session, _SERVER_REST):
        held[table] |= {"row security"} if secured else set()
        held[table] |= {"tables that inherit from it"} if inherited else set()
        held[table] |= {f"the rule {shown(rule)}"} if rule else set()
    for table, name, kind, needed, computed in _rows(session, _SERVER_COLUMNS):
        held[table].add(column_line(name, f"{kind} computed" if computed else kind, needed=needed))
    for table, said in _rows(session, _SERVER_RULES):
        held[table].add(_as_line(said))
    for table, name, unique, partial, columns in _rows(session, _SERVER_INDEXES):
        on = name if name == "search_index" else columns.replace('"', "")
        held[table].add(_index(on, unique=unique, partial=partial))
    for table, name, internal, enabled in _rows(session, _SERVER_TRIGGERS):
        if not internal:
            foreign.append(f"the trigger {shown(name)} on the table {shown(table)} is not of this program")
        elif not enabled:
            held[table].add("foreign keys that are switched off")
    return held, foreign


def _as_line(said: str) -> str:
    """A constraint in PostgreSQL's words as one of our lines."""
    for theirs in ("FOREIGN KEY", "PRIMARY KEY", "UNIQUE", "REFERENCES"):
        said = said.replace(theirs, theirs.lower())
    return said.replace('"', "")


def _rows(session: Session, sql: str) -> list[Any]:
    return list(session.execute(text(sql)).all())
