"""Reads of which record, at which state, a copy is made, and whether that state fits its journal."""

from __future__ import annotations

from importlib.metadata import version

from sqlalchemy import Connection, func, select
from sqlalchemy.orm import Session

from inventory.copies.manifest import About
from inventory.copies.write_backup import Checked
from inventory.given_out.load_anchor import anchor_now
from inventory.given_out.load_checked import problems_found
from inventory.store.connection.version import HEAD
from inventory.store.days import clock
from inventory.store.tables import LogPlace

__all__ = ["about", "checked"]

#: So many of the problems are written into a backup; `verify` says all.
_TOLD = 100


def about(connection: Connection) -> About:
    """Which record it is. Its schema may be of any revision."""
    identity = connection.exec_driver_sql("SELECT identity FROM record_info ORDER BY id LIMIT 1").scalar()
    revision = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    engine = connection.dialect.name
    return About(str(identity), str(revision), engine, clock.stamp(clock.now()), version("matchmark"))


def checked(session: Session) -> Checked:
    """Whether the record fits, as for a paper on all of it, and how far its log reaches.

    One of an older schema is not checked. Documents are not looked at: each is copied with its own digest.
    """
    connection = session.connection()
    if about(connection).revision != HEAD:
        return Checked(0, None, None)
    size = connection.scalar(select(func.count()).select_from(LogPlace.__table__)) or 0
    if problems := problems_found(session):
        return Checked(size, None, tuple(problem.says for problem in problems[:_TOLD]))
    return Checked(size, anchor_now(session).text, ())
