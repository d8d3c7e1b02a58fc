"""How Alembic reaches a record: the same engine settings as the program, foreign keys checked at the end."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection

import inventory.declared
from inventory.store.connection.engine import WRITES, is_sqlite, make_engine
from inventory.store.connection.rights import renew
from inventory.store.connection.server import hold_schema
from inventory.store.tables import Base


def _ours(item: object, name: str | None, kind: str, reflected: bool, compare_to: object) -> bool:
    """Leave the search index, which no model describes, out of comparisons: on SQLite tables, else an index."""
    ours = kind not in ("table", "index") or not str(name).startswith("search_index")
    return ours or not reflected or compare_to is not None


def _run(connection: Connection) -> None:
    if not is_sqlite(connection):
        hold_schema(connection)
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        compare_server_default=True,
        include_object=_ours,
        transaction_per_migration=False,
    )
    context.run_migrations()
    if not is_sqlite(connection):
        renew(connection)
    else:
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if broken:
            raise RuntimeError(f"the schema change would orphan rows: {broken[:5]}")


assert inventory.declared
given = context.config.attributes.get("connection")
if given is not None:
    _run(given)
else:
    engine = make_engine(context.config.attributes["url"], foreign_keys=False).execution_options(**{WRITES: True})
    with engine.begin() as opened:
        _run(opened)
    engine.dispose()
