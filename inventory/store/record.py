"""Making, opening and leaving a record."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from functools import cached_property
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeAlias

from inventory.errors import Refused
from inventory.store.connection import commit_count as tally
from inventory.store.connection.readonly import Source, fetch_all, look_at_file
from inventory.store.connection.refusals import is_missing_table, plain_refusal
from inventory.store.connection.version import HEAD, REVISIONS
from inventory.store.files import LOG_ENDINGS, SQLITE_HEADER, named_path, refuse_taken
from inventory.store.systems import open_private, private_folder, quoted, sync_folder, take_name, why_not
from inventory.store.words.near import NAMES_MEANT, NamesMeant

if TYPE_CHECKING:
    from sqlalchemy import URL, Connection, Engine
    from sqlalchemy.orm import Session

    from inventory.reference.data import Reference

__all__ = ["Record", "default_target", "make_record", "open_record", "plain_refusal"]


#: Makes what is handed down to the sessions of a record.
Prepare = Callable[[], Mapping[str, Any]]
#: Makes the schema of a new record at an address and its rows, in the transaction of a connection.
Fill = Callable[["URL", "Connection"], None]
#: Told of a record and its revision before it is brought up to another; may refuse.
BeforeUpgrade: TypeAlias = "Callable[[Record, str], None]"
#: Writes what follows from a new schema, given the revision before; in the same transaction.
AfterUpgrade: TypeAlias = "Callable[[Session, str], None]"
#: An address with a slash too few, which would be taken for the path of a file.
_NEARLY_ADDRESS = re.compile(r"postgres(ql)?(\+\w+)?:(?!//)", re.IGNORECASE)


class Record:
    """An open record. `read()` and `write()` give sessions; a write is one transaction and commits at its end.

    `acts` are the keys of the acts that were written through it, oldest first. `brought_up_from`: the older revision of
    the schema at which it was opened, if it was. `names_meant`: what somebody answered about names that look misspelt;
    sessions have it.

    `look()` gives what SQL text can be asked of. On one file it needs no SQLAlchemy, which is imported with the
    first session: a browser stands, and a find has answered, before that.
    """

    def __init__(self, target: str, prepare: Prepare = dict, by: str = "") -> None:
        self._target = target
        self._prepare = prepare
        self._by = by
        self._engine: Engine | None = None
        self._making = Lock()
        self.acts: list[str] = []
        self.names_meant = NamesMeant()
        self.brought_up_from: str | None = None

    @cached_property
    def url(self) -> URL:
        """The record's address."""
        from inventory.store.connection.engine import record_url

        return record_url(self._target)

    @property
    def engine(self) -> Engine:
        """The engine, made when it is first wanted; threads may want it at once."""
        from inventory.store.connection.engine import make_engine

        with self._making:
            if self._engine is None:
                self._engine = make_engine(self.url, by=self._by)
            return self._engine

    @cached_property
    def given(self) -> Mapping[str, Any]:
        """Passed to every session of this record, in its `info`; the store does not read it."""
        return self._prepare()

    @property
    def reference(self) -> Reference:
        """The reference data in force for this record now."""
        with self.readonly() as source:
            found: Reference = self.given["limits"].at(source)
        return found

    @property
    def path(self) -> Path | None:
        """The file, where the record is one."""
        return _file(self._target)

    @property
    def shown(self) -> str:
        """Where the record is, without any password."""
        if self.path is not None:
            return str(self.path)
        from inventory.store.connection.engine import shown

        return shown(self.url)

    @property
    def is_gone(self) -> bool:
        """Whether it is a file that is not in its place now: its disk or share went away, or it was moved."""
        return self.path is not None and not os.path.exists(self.path)

    def _refuse_if_gone(self) -> None:
        """Refuse what an open connection would still read, or write into a file that nobody finds again."""
        if self.is_gone:
            raise Refused(
                "record-away",
                f"{self.shown} is not there at the moment",
                where=self.shown,
                hint="check the disk, the network or where the file was moved to, then do it again",
            )

    @contextmanager
    def readonly(self) -> Iterator[Source]:
        """A read-only source for SQL text: one state of the record."""
        if self.path is None:
            with self.read() as session:
                yield session
            return
        self._refuse_if_gone()
        with plain_refusal(self.shown), look_at_file(self.path) as connection:
            yield connection

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session that sees one state of the record and changes nothing."""
        from inventory.store.journal.guard import RecordSession

        self._refuse_if_gone()
        info = {**self.given, NAMES_MEANT: self.names_meant}
        with plain_refusal(self.shown), RecordSession(self.engine, autoflush=False, info=info) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """A session for one act: committed at the end, or nothing changed."""
        from inventory.store.connection.engine import WRITES
        from inventory.store.journal.guard import ACTS, RecordSession
        from inventory.store.journal.log import give_places

        self._refuse_if_gone()
        engine = self.engine.execution_options(**{WRITES: True})
        info = {**self.given, NAMES_MEANT: self.names_meant}
        opened = RecordSession(engine, autoflush=False, expire_on_commit=False, info=info)
        with self._naming_who_writes(), plain_refusal(self.shown), opened as session:
            yield session
            give_places(session)  # here, where nothing can have been written yet if the connection goes
            with plain_refusal(self.shown, at_commit=True):
                session.commit()
            self.acts += session.info.get(ACTS, ())

    @contextmanager
    def _naming_who_writes(self) -> Iterator[None]:
        """Say in a refusal whom this record has been waiting for, if a server tells."""
        try:
            yield
        except Refused as refused:
            if refused.code != "record-busy" or self.path is not None:
                raise
            from inventory.store.connection.server import who_writes

            writer = who_writes(self.engine)
            if writer is None:
                raise
            raise Refused(refused.code, writer, where=self.shown, hint=refused.hint) from refused

    def close(self) -> None:
        """Close the file or the connection."""
        if self._engine is not None:
            self._engine.dispose()


def _file(target: str) -> Path | None:
    """The file that a target names, or None for a server's address."""
    if _NEARLY_ADDRESS.match(target):
        raise Refused(
            "not-an-address",
            "The record's address cannot be read",
            hint="write it as postgresql://NAME@HOST/DATABASE, or give the path of a file",
        )
    return None if "://" in target else named_path(target)


def default_target() -> str:
    """MATCHMARK_RECORD, else the record in the platform's folder for a person's own data."""
    if named := os.environ.get("MATCHMARK_RECORD"):
        return named
    from platformdirs import user_data_path

    return str(user_data_path("matchmark") / "record.db")


def make_record(target: str, prepare: Prepare = dict, fill: Fill | None = None) -> Record:
    """Make an empty record where there is none; with `fill`, one with other content."""
    record = Record(target, prepare)
    with plain_refusal(record.shown):
        if record.path is not None:
            _make_file(record.path, fill or _begin)
        else:
            _fill(record.url, fill or _begin)
    tally.add()
    return record


def _begin(url: URL, connection: Connection) -> None:
    """Make an empty record with its first entry."""
    from sqlalchemy.orm import Session

    from inventory.store.begin import first_entry
    from inventory.store.connection.migration import upgrade

    upgrade(url, connection=connection)
    with Session(connection, autoflush=False) as session:
        first_entry(session)


def _fill(url: URL, fill: Fill) -> None:
    """Turn an empty database into a record, in one transaction."""
    from sqlalchemy.exc import DBAPIError

    from inventory.store.connection.engine import WRITES, make_engine, shown
    from inventory.store.connection.server import MADE_MEANWHILE

    exists = Refused("record-exists", f"There is already a record at {shown(url)}")
    engine = make_engine(url, foreign_keys=False)
    try:
        with engine.connect() as connection:
            if _revision(connection) is not None:
                raise exists
        with engine.execution_options(**{WRITES: True}).begin() as connection:
            fill(url, connection)
    except DBAPIError as problem:
        if getattr(problem.orig, "sqlstate", "") in MADE_MEANWHILE:
            raise exists from None
        if getattr(problem.orig, "sqlstate", "") == "42501":
            raise Refused(
                "no-right-to-make",
                f"This login may not make a record at {shown(url)}",
                hint="have the database made for it, on the server: createdb --owner LOGIN DATABASE",
            ) from None
        raise
    finally:
        engine.dispose()


def open_record(
    target: str,
    prepare: Prepare = dict,
    before_upgrade: BeforeUpgrade = lambda *_: None,
    after_upgrade: AfterUpgrade = lambda *_: None,
    by: str = "",
) -> Record:
    """Open a record of this program's version; an older one is brought up to it, a newer one not touched.

    `prepare` makes what sessions are handed down; it is asked for once, with the first session. `before_upgrade` is
    called before an older record is touched. `by`: who works, for those who have to wait for this record.
    """
    record = Record(target, prepare, by)
    if record.path is not None:
        _look_at_file(record.path)
    try:
        _bring_up(record, before_upgrade, after_upgrade)
    except BaseException:
        record.close()
        raise
    return record


def _bring_up(record: Record, before_upgrade: BeforeUpgrade, after_upgrade: AfterUpgrade) -> None:
    with record.readonly() as source:
        revision = _revision(source)
    if revision is None:
        if record.path is None:
            from inventory.store.connection.server import refuse_without_right

            with plain_refusal(record.shown), record.engine.connect() as connection:
                refuse_without_right(connection, record.shown)
            raise Refused(
                "no-record",
                f"There is no record at {record.shown} yet",
                hint=f"to make one: matchmark --record {quoted(record.shown)} new",
            )
        raise Refused(
            "not-a-record",
            f"{record.shown} is not a matchmark record",
            hint="give another path, or make a record elsewhere: matchmark --record PATH new",
        )
    if revision not in REVISIONS:
        from importlib.metadata import version

        raise Refused(
            "record-is-newer",
            f"This record was written by a later matchmark than this, which is {version('matchmark')} (its schema is "
            f"{revision}, this one knows up to {HEAD}). It was not opened and not touched",
            hint="install the later matchmark",
        )
    if revision != HEAD:
        before_upgrade(record, revision)
        with plain_refusal(record.shown):
            _upgrade(record, after_upgrade)


def _upgrade(record: Record, after_upgrade: AfterUpgrade) -> None:
    """Bring the schema up, and what follows from it, in one transaction: killed within it, the record is as before."""
    from inventory.store.connection.engine import WRITES, make_engine
    from inventory.store.connection.migration import upgrade
    from inventory.store.journal.guard import RecordSession

    engine = make_engine(record.url, foreign_keys=False).execution_options(**{WRITES: True})
    try:
        with engine.begin() as connection:
            revision = _revision(connection)
            if revision is None or revision == HEAD:
                return  # somebody else was quicker
            upgrade(record.url, connection=connection)
            with RecordSession(connection, autoflush=False, info=dict(record.given)) as session:
                after_upgrade(session, revision)
                session.commit()  # gives the entries their places; the transaction is the connection's
            record.brought_up_from = revision
    finally:
        engine.dispose()


def _revision(source: Source) -> str | None:
    """The schema revision in the database, or None where it holds no record."""
    try:
        rows = fetch_all(source, "SELECT version_num FROM alembic_version")
    except Exception as problem:
        if is_missing_table(problem):
            return None
        raise
    return str(rows[0][0]) if rows else None


def _make_file(path: Path, fill: Fill) -> None:
    """Make the file under another name; it takes its own once it is whole, so none is ever found half made."""
    from inventory.store.connection.engine import record_url

    part = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        _refuse_place(path)
        private_folder(path.parent)
        os.close(open_private(part, os.O_EXCL))
        with closing(sqlite3.connect(part)) as connection:
            connection.execute("PRAGMA journal_mode=WAL")
        _fill(record_url(str(part)), fill)
        _give_name(part, path)
    except (OSError, ValueError, sqlite3.Error) as problem:
        raise Refused(
            "folder-not-writable",
            f"A record cannot be made at {path}: {why_not(problem)}",
            hint="choose a folder you may write in: matchmark --record FOLDER/record.db new",
        ) from None
    finally:
        _remove(part)


def _refuse_place(path: Path) -> None:
    """Refuse what is taken, what belongs to a record, and where SQLite would read an old log into the new file."""
    logs = [path.with_name(f"{path.name}{ending}") for ending in LOG_ENDINGS]
    left = next((each for each in logs if each.exists()), None)
    with suppress(FileNotFoundError):
        path.stat()  # a name that no disk takes raises what the caller tells
        raise _exists(path)
    refuse_taken(path)
    if left is not None:
        raise Refused(
            "log-left-over",
            f"{left} is left over from another record: what it holds would be read into a new one",
            where=str(left),
            hint="choose another name, or move that file to where its record is",
        )


def _give_name(part: Path, path: Path) -> None:
    """Give the finished file its name, unless another has taken it meanwhile."""
    try:
        take_name(part, path)
        sync_folder(path.parent)
    except FileExistsError:
        raise _exists(path) from None


def _exists(path: Path) -> Refused:
    return Refused("record-exists", f"There is already a file at {path}")


def _remove(part: Path) -> None:
    with suppress(OSError, ValueError):
        for name in (part.name, f"{part.name}-wal", f"{part.name}-shm"):
            part.with_name(name).unlink(missing_ok=True)


def _look_at_file(path: Path) -> None:
    """Refuse, with a plain sentence, what cannot be a record."""
    try:
        with path.open("rb") as file:
            header = file.read(len(SQLITE_HEADER))
    except FileNotFoundError:
        raise Refused(
            "no-record", f"There is no record at {path}", hint=f"to make one: matchmark --record {quoted(path)} new"
        ) from None
    except IsADirectoryError:
        raise Refused("not-a-record", f"{path} is a folder; a record is a file") from None
    except (OSError, ValueError) as problem:
        raise Refused("record-not-readable", f"{path} cannot be read: {why_not(problem)}") from None
    if header != SQLITE_HEADER:
        raise Refused("not-a-record", f"{path} is not a matchmark record")
