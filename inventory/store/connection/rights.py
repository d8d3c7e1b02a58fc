"""Who of a crew may do what in a record on a server: three sorts of rights, given to logins of the server.

A reader reads. A fitter also writes what acts write: new rows, the current state of things, which fact replaced which;
never what is in a row for good, never the journal, and nothing is deleted. An administrator has the rights of the
schema's owner: removal for good, later schemas, who may do what.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, text

from inventory.errors import Refused
from inventory.store.connection.version import HEAD
from inventory.store.tables import Base, FactColumns, LogHead, SearchEntry, Thing

__all__ = ["LEVELS", "Member", "grant", "members", "renew", "revoke"]

LEVELS = ("reader", "fitter", "administrator")
#: What a fitter may change in tables that are neither facts nor the current state of a thing. Changing the key of a
#: thing is what locking it takes; the facts and entries that point at it do not let it happen.
_CHANGES = {Thing: ("id",), LogHead: ("size", "frontier"), SearchEntry: ("text",)}
_REPLACED = ("superseded_by", "superseded_on")
_NO_STATE = ("record_info", "journal", "personal")


@dataclass(frozen=True)
class Member:
    """A login of the server and what it may do in the record: reader, fitter, administrator."""

    role: str
    level: str


def members(connection: Connection) -> list[Member]:
    """All who were given rights, by name; not the owner, nor those who may do everything on the server."""
    rows = connection.execute(
        text("""
        SELECT rolname, CASE
            WHEN pg_has_role(rolname, tableowner, 'MEMBER') THEN 'administrator'
            WHEN has_table_privilege(rolname, CAST('journal' AS regclass), 'INSERT') THEN 'fitter'
            ELSE 'reader' END
        FROM pg_roles, pg_tables
        WHERE schemaname = current_schema() AND tablename = 'journal'
            AND NOT rolsuper AND rolname <> tableowner AND rolname NOT LIKE 'pg\\_%'
            AND has_schema_privilege(rolname, schemaname, 'USAGE')
            AND has_table_privilege(rolname, CAST('journal' AS regclass), 'SELECT')
        ORDER BY rolname
        """)
    )
    return [Member(*row) for row in rows]


def grant(connection: Connection, level: str, role: str) -> None:
    """Give a login the rights of a level, in place of those it had.

    Raises `Refused` for a login that the server does not know, and for whoever is no administrator.
    """
    _known(connection, role)
    _take_away(connection, role)
    if level == "administrator":
        _do(connection, "GRANT {} TO {} WITH ADMIN OPTION", _owner(connection), role)
        return
    if not connection.scalar(text("SELECT has_schema_privilege(:role, current_schema(), 'USAGE')"), {"role": role}):
        _do(connection, "GRANT USAGE ON SCHEMA {} TO {}", _schema(connection), role)
    _do(connection, "GRANT SELECT ON ALL TABLES IN SCHEMA {} TO {}", _schema(connection), role)
    if level == "fitter":
        _grant_writing(connection, role)


def _grant_writing(connection: Connection, role: str) -> None:
    _do(connection, "GRANT USAGE ON ALL SEQUENCES IN SCHEMA {} TO {}", _schema(connection), role)
    for mapper in Base.registry.mappers:
        model: Any = mapper.class_
        _do(connection, "GRANT INSERT ON {} TO {}", model.__tablename__, role)
        if columns := _changed_by_acts(model):
            named = ", ".join(map(_quoted(connection), columns))
            _do(connection, f"GRANT UPDATE ({named}) ON {{}} TO {{}}", model.__tablename__, role)


def _changed_by_acts(model: Any) -> tuple[str, ...]:
    """The columns of a table that acts change in rows that are there."""
    if model in _CHANGES:
        return _CHANGES[model]
    if issubclass(model, FactColumns):
        return _REPLACED
    table = model.__table__
    is_state = "id" in table.c and table.c.id.foreign_keys and table.name not in _NO_STATE
    return tuple(column.name for column in table.c if column.name != "id") if is_state else ()


def revoke(connection: Connection, role: str) -> None:
    """Take all rights in the record from a login. Raises `Refused` if it had none."""
    _known(connection, role)
    if role not in {each.role for each in members(connection)}:
        raise Refused("no-rights-there", f'"{role}" has no rights in this record', where=role)
    _take_away(connection, role)


def _take_away(connection: Connection, role: str) -> None:
    schema = _schema(connection)
    before = {each.role: each.level for each in members(connection)}
    if before.get(role) == "administrator":
        _do(connection, "REVOKE {} FROM {}", _owner(connection), role)
    for what in ("ALL ON ALL TABLES IN SCHEMA", "ALL ON ALL SEQUENCES IN SCHEMA", "ALL ON SCHEMA"):
        _do(connection, f"REVOKE {what} {{}} FROM {{}}", schema, role)


def renew(connection: Connection) -> None:
    """Give every reader and fitter the rights to tables and columns that this program's schema brought."""
    if connection.scalars(text("SELECT version_num FROM alembic_version")).all() != [HEAD]:
        return
    for member in members(connection):
        if member.level != "administrator":
            grant(connection, member.level, member.role)


def _owner(connection: Connection) -> str:
    """Whose the record is, whose rights administrators get.

    A record that was made by whoever may do everything on the server is given to a role of its own, so that an
    administrator of the record does not become one of the server.
    """
    owner, may_all, own, has_schema = connection.execute(
        text("""
        SELECT tableowner, rolsuper, current_database() || '_' || schemaname || '_owner', nspowner = pg_roles.oid
        FROM pg_tables JOIN pg_roles ON rolname = tableowner JOIN pg_namespace ON nspname = schemaname
        WHERE schemaname = current_schema() AND tablename = 'journal'
        """)
    ).one()
    if not may_all:
        may_give = text("SELECT pg_has_role(:owner, 'MEMBER WITH ADMIN OPTION')")
        if not connection.scalar(may_give, {"owner": owner}):
            own = _quoted(connection)(owner)
            raise Refused(
                "rights-of-the-owner",
                f'This record is owned by the login "{owner}", and no login may hand on its own rights',
                where=owner,
                hint=f"have whoever looks after the server do it once, in psql: GRANT {own} TO LOGIN WITH ADMIN OPTION",
            )
        return str(owner)
    if not connection.scalar(text("SELECT count(*) FROM pg_roles WHERE rolname = :own"), {"own": own}):
        _do(connection, "CREATE ROLE {} NOLOGIN", own)
    if has_schema:
        _do(connection, "ALTER SCHEMA {} OWNER TO {}", _schema(connection), own)
    else:
        _do(connection, "GRANT USAGE, CREATE ON SCHEMA {} TO {}", _schema(connection), own)
    tables = text("SELECT tablename FROM pg_tables WHERE schemaname = current_schema()")
    for table in connection.scalars(tables).all():
        _do(connection, "ALTER TABLE {} OWNER TO {}", table, own)
    functions = text("SELECT CAST(CAST(oid AS regprocedure) AS text) FROM pg_proc WHERE pronamespace = "
                     "(SELECT oid FROM pg_namespace WHERE nspname = current_schema())")  # fmt: skip
    for function in connection.scalars(functions).all():
        connection.exec_driver_sql(f"ALTER FUNCTION {function} OWNER TO {_quoted(connection)(own)}")
    return str(own)


def _known(connection: Connection, role: str) -> None:
    """Refuse whoever may give no rights here (a server passes over that in silence), and unknown logins."""
    owner, may_give = connection.execute(
        text("SELECT tableowner, pg_has_role(tableowner, 'MEMBER') FROM pg_tables"
             " WHERE schemaname = current_schema() AND tablename = 'journal'")
    ).one()  # fmt: skip
    if not may_give:
        raise Refused("not-an-administrator", "Only an administrator of this record may say who may do what in it")
    may_all = connection.execute(text("SELECT rolsuper FROM pg_roles WHERE rolname = :role"), {"role": role}).first()
    if may_all is None:
        raise Refused(
            "unknown-login",
            f'The server knows no login "{role}"',
            where=role,
            hint=f"make it first, on the server: createuser --pwprompt {role}",
        )
    if may_all[0] or role == owner:
        raise Refused(
            "may-do-everything",
            f'"{role}" owns this record or the server, and may do everything',
            where=role,
            hint="give rights to a login of its own for each person",
        )


def _schema(connection: Connection) -> str:
    return str(connection.scalar(text("SELECT current_schema()")))


def _do(connection: Connection, statement: str, *names: str) -> None:
    connection.exec_driver_sql(statement.format(*map(_quoted(connection), names)))


def _quoted(connection: Connection) -> Any:
    return connection.dialect.identifier_preparer.quote_identifier
