"""Reads of which record, at which state, a copy is made, and whether that state fits its journal."""

from __future__ import annotations

from importlib.metadata import version

from sqlalchemy import Connection
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from inventory.copies.manifest import About
from inventory.copies.write_backup import Checked
from inventory.store.bulk import collector_resting
from inventory.store.connection.refusals import is_undecodable
from inventory.store.connection.version import HEAD
from inventory.store.days import clock
from inventory.store.journal.log import anchor
from inventory.store.verify.log import log_problems, read_log
from inventory.store.verify.replay import replay_problems

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
    """Whether rows, journal and log fit each other, and how far the log reaches. One of an older schema is not checked.

    Documents are not looked at: each is copied with its own digest.
    """
    connection = session.connection()
    if about(connection).revision != HEAD:
        return Checked(0, None, None)
    with collector_resting():
        try:
            log = read_log(session)
            problems = [*replay_problems(session)[1], *log_problems(session, log)]
        except OperationalError as problem:
            if not is_undecodable(problem):
                raise
            return Checked(0, None, ("texts of the record cannot be decoded: matchmark verify",))
    size = log.tree.size
    said = tuple(problem.says for problem in problems[:_TOLD])
    return Checked(size, None if said else anchor(session, size, log.tree.root().hex()), said)
