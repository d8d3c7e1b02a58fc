"""Writing the texts that parts are found by, and their index on both engines."""

from __future__ import annotations

from functools import cache
from typing import Any

from sqlalchemy import Connection, select, text
from sqlalchemy.orm import Session

from inventory.store.connection.engine import is_sqlite
from inventory.store.journal.insert import insert
from inventory.store.many import among
from inventory.store.tables import SearchEntry

__all__ = ["index"]


def index(session: Session, texts: dict[int, str], *, fresh: bool = False) -> None:
    """Write the search texts of parts, by key; inside the caller's transaction. `fresh`: none of them has one yet."""
    if not texts:
        return
    connection = session.connection()
    old: dict[int, str] = {} if fresh else dict(connection.execute(_texts_held(), {"keys": list(texts)}).all())
    new = [{"part_id": key, "text": value} for key, value in texts.items() if key not in old]
    changed = [(key, old[key], value) for key, value in texts.items() if key in old and old[key] != value]
    if new:
        insert(connection, SearchEntry, new)
    if changed:
        connection.execute(
            text("UPDATE search_entry SET text = :text WHERE part_id = :part_id"),
            [{"part_id": key, "text": new} for key, _, new in changed],
        )
    if is_sqlite(connection):
        _index_sqlite(connection, new, changed)


@cache
def _texts_held() -> Any:
    return select(SearchEntry.part_id, SearchEntry.text).where(among(SearchEntry.part_id))


def _index_sqlite(connection: Connection, new: list[dict[str, object]], changed: list[tuple[int, str, str]]) -> None:
    """FTS5 keeps no text here, so an old one is removed by giving it again."""
    if changed:
        connection.execute(
            text("INSERT INTO search_index(search_index, rowid, text) VALUES ('delete', :key, :old)"),
            [{"key": key, "old": old} for key, old, _ in changed],
        )
    rows = [(row["part_id"], row["text"]) for row in new] + [(key, now) for key, _, now in changed]
    if rows:
        connection.exec_driver_sql("INSERT INTO search_index(rowid, text) VALUES (?, ?)", rows)
