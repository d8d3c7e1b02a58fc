"""Making, opening and leaving a record."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine, text
from sqlalchemy.exc import OperationalError, ProgrammingError
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.store import tally
from inventory.store.engine import WRITES, is_sqlite, make_engine, record_url, shown
from inventory.store.guard import guard
from inventory.store.refusals import plain_refusal
from inventory.store.version import HEAD, REVISIONS

__all__ = ["Record", "default_target", "make_record", "open_record", "plain_refusal"]

_SQLITE_HEADER = b"SQLite format 3\x00"


@dataclass(frozen=True)
class Record:
    """An open record. `read()` and `write()` give sessions; a write is one transaction and commits at its end."""

    url: URL
    engine: Engine

    @property
    def path(self) -> Path | None:
        """The file, where the record is one."""
        return Path(self.url.database or "") if is_sqlite(self.engine) else None

    @property
    def shown(self) -> str:
        """Where the record is, without any password."""
        return shown(self.url)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session that sees one state of the record and changes nothing."""
        with plain_refusal(self.shown), Session(self.engine, autoflush=False) as session:
            guard(session)
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """A session for one act: committed at the end, or nothing changed."""
        engine = self.engine.execution_options(**{WRITES: True})
        with plain_refusal(self.shown), Session(engine, autoflush=False, expire_on_commit=False) as session:
            guard(session)
            yield session
            with plain_refusal(self.shown, at_commit=True):
                session.commit()

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()


def default_target() -> str:
    """MATCHMARK_RECORD, else the record in the platform's folder for a person's own data."""
    if named := os.environ.get("MATCHMARK_RECORD"):
        return named
    from platformdirs import user_data_path

    return str(user_data_path("matchmark") / "record.db")


def make_record(target: str) -> Record:
    """Make an empty record where there is none."""
    url = record_url(target)
    with plain_refusal(shown(url)):
        if url.get_backend_name() == "sqlite":
            _make_file(url)
        else:
            _fill(url)
    tally.add()
    return Record(url, make_engine(url))


def _fill(url: URL) -> None:
    """Bring an empty database up to a record with its first entry, in one transaction."""
    from inventory.store.begin import first_entry
    from inventory.store.migration import upgrade  # alembic: about 200 ms, needed here only

    engine = make_engine(url, foreign_keys=False)
    try:
        if _revision(engine) is not None:
            raise Refused("record-exists", f"There is already a record at {shown(url)}. It was not touched")
        with engine.execution_options(**{WRITES: True}).begin() as connection:
            upgrade(url, connection=connection)
            with Session(connection, autoflush=False) as session:
                first_entry(session)
    finally:
        engine.dispose()


def open_record(target: str) -> Record:
    """Open a record of this program's version; an older one is brought up to it, a newer one not touched."""
    url = record_url(target)
    if url.get_backend_name() == "sqlite":
        _look_at_file(Path(url.database or ""))
    with plain_refusal(shown(url)):
        engine = make_engine(url)
        revision = _revision(engine)
        if revision is None:
            engine.dispose()
            raise Refused(
                "not-a-record",
                f"{shown(url)} is not a matchmark record. It was not touched",
                hint="name the record, or make one elsewhere: matchmark --record PATH new",
            )
        if revision not in REVISIONS:
            engine.dispose()
            raise Refused(
                "record-is-newer",
                f"This record was made by a later matchmark (schema {revision}); this one knows up to {HEAD}. "
                "It was not opened and not touched",
                hint="install the later matchmark, then open it again",
            )
        if revision != HEAD:
            from inventory.store.migration import upgrade

            upgrade(url)
    return Record(url, engine)


def _revision(engine: Engine) -> str | None:
    """The schema revision in the database, or None where it holds no record."""
    try:
        with engine.connect() as connection:
            revision = connection.scalar(text("SELECT version_num FROM alembic_version"))
            return None if revision is None else str(revision)
    except (OperationalError, ProgrammingError) as problem:
        if "alembic_version" in str(problem.orig):
            return None
        raise


def _make_file(url: URL) -> None:
    """Make the file under another name; it takes its own once it is whole, so none is ever found half made."""
    path = Path(url.database or "")
    part = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        if path.exists():
            raise _exists(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        with closing(sqlite3.connect(part)) as connection:
            connection.execute("PRAGMA journal_mode=WAL")
        _fill(url.set(database=str(part)))
        _take_name(part, path)
    except (OSError, ValueError, sqlite3.Error) as problem:
        raise Refused(
            "folder-not-writable",
            f"No record could be made at {path}: {_why(problem)}. Nothing was changed",
            hint="choose a folder you may write in: matchmark --record FOLDER/record.db new",
        ) from None
    finally:
        _remove(part)


def _take_name(part: Path, path: Path) -> None:
    """Give a file its name, unless another took it meanwhile."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise _exists(path) from None
    except OSError:  # a disk that knows no links
        part.rename(path)


def _exists(path: Path) -> Refused:
    return Refused("record-exists", f"There is already a file at {path}. It was not touched")


def _remove(part: Path) -> None:
    with suppress(OSError, ValueError):
        for name in (part.name, f"{part.name}-wal", f"{part.name}-shm"):
            part.with_name(name).unlink(missing_ok=True)


def _look_at_file(path: Path) -> None:
    """Refuse, with a plain sentence, what cannot be a record."""
    try:
        with path.open("rb") as file:
            header = file.read(len(_SQLITE_HEADER))
    except FileNotFoundError:
        raise Refused(
            "no-record", f"There is no record at {path}", hint=f"to make one: matchmark --record {path} new"
        ) from None
    except IsADirectoryError:
        raise Refused("not-a-record", f"{path} is a folder; a record is a file") from None
    except (OSError, ValueError) as problem:
        raise Refused("record-not-readable", f"{path} cannot be read: {_why(problem)}") from None
    if header != _SQLITE_HEADER:
        raise Refused("not-a-record", f"{path} is not a matchmark record. It was not touched")


def _why(problem: BaseException) -> str:
    return problem.strerror.lower() if isinstance(problem, OSError) and problem.strerror else str(problem)
