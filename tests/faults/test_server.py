"""What a server says when it cannot: deadlocks, locks, time, rights, room and lost connections, in plain words."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import psycopg
import pytest
from sqlalchemy import event, select, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.tables import Note, Part
from inventory.store.connection.refusals import plain_refusal
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import make_part
from tests.cli.conftest import sentence_for_people
from tests.databases import connected

pytestmark = pytest.mark.postgres

LOCK = text("SELECT id FROM thing WHERE id = :key FOR UPDATE")


@pytest.fixture
def crew(postgres_target: str) -> Iterator[Record]:
    """A record on a server."""
    record = open_record(postgres_target)
    yield record
    record.close()


def _key(record: Record, tag: str) -> int:
    with record.read() as session:
        return session.scalars(select(Part.id).where(Part.tag == tag)).one()


def _told(refused: Refused) -> str:
    """The code, once the sentence is found fit for people and free of the driver's words."""
    for word in ("transaction", "psycopg", "SQL", "process", "DETAIL", "backend", "FATAL", "tuple", "statement"):
        assert word not in f"{refused.message} {refused.hint}"
    assert sentence_for_people(f"{refused.message}.\n  {refused.hint}\n")
    return refused.code


def test_of_two_who_wait_for_each_other_one_gives_way_and_is_told(crew: Record) -> None:
    keys = [_key(crew, make_part(crew)) for _ in range(2)]
    both = threading.Barrier(2, timeout=20)

    def lock(first: int, second: int) -> str:
        try:
            with crew.write() as session:
                session.execute(LOCK, {"key": first})
                both.wait()
                session.execute(LOCK, {"key": second})
        except Refused as refused:
            return _told(refused)
        return "done"

    with ThreadPoolExecutor(2) as hands:
        said = list(hands.map(lock, keys, reversed(keys)))

    assert sorted(said) == ["crossed-writes", "done"]


def _changed_meanwhile(session: Session, other: Session, key: int) -> None:
    session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
    session.execute(text("SELECT 1 FROM thing"))
    other.execute(text("UPDATE thing SET kind = kind WHERE id = :key"), {"key": key})
    other.commit()
    session.execute(LOCK, {"key": key})


def _held_by_another(session: Session, other: Session, key: int) -> None:
    other.execute(LOCK, {"key": key})
    session.execute(text("SET LOCAL lock_timeout = '20ms'"))
    session.execute(LOCK, {"key": key})


def _too_long(session: Session, _other: Session, _key: int) -> None:
    session.execute(text("SET LOCAL statement_timeout = '20ms'"))
    session.execute(text("SELECT pg_sleep(20)"))


def _for_reading_only(session: Session, _other: Session, _key: int) -> None:
    session.execute(text("SET TRANSACTION READ ONLY"))
    parts.add_part(session, "Ines", Markings(kind="relay"))


def _thrown_out(session: Session, other: Session, _key: int) -> None:
    throw_out(session, other)
    session.execute(text("SELECT 1"))


def throw_out(session: Session, other: Session) -> None:
    """End a session's connection at the server, and wait until it has ended."""
    own = session.scalar(text("SELECT pg_backend_pid()"))
    assert other.scalar(text("SELECT pg_terminate_backend(:own, 20000)"), {"own": own})


@pytest.mark.parametrize(
    ("act", "code"),
    [
        (_changed_meanwhile, "crossed-writes"),
        (_held_by_another, "record-busy"),
        (_too_long, "took-too-long"),
        (_for_reading_only, "record-not-writable"),
        (_thrown_out, "server-away"),
    ],
)
def test_what_the_server_refuses_is_said_plainly_and_changes_nothing(
    crew: Record, act: Callable[[Session, Session, int], None], code: str
) -> None:
    tag = make_part(crew)
    key = _key(crew, tag)
    before = verify(crew)

    with pytest.raises(Refused) as refused, Session(crew.engine) as other, crew.write() as session:
        act(session, other, key)

    assert _told(refused.value) == code
    assert verify(crew) == before


def test_a_connection_lost_at_the_commit_leaves_open_whether_it_was_written(crew: Record) -> None:
    tag = make_part(crew)

    def lose(session: Session) -> None:
        with Session(crew.engine) as other:
            throw_out(session, other)

    def note_and_lose_at_the_commit(session: Session) -> None:
        parts.note(session, "Ines", tag, "seen")
        event.listen(session, "before_commit", lose)

    with pytest.raises(Refused) as refused, crew.write() as session:
        note_and_lose_at_the_commit(session)

    assert _told(refused.value) == "not-known-if-written"
    assert not refused.value.unchanged
    with crew.read() as session:
        assert session.scalars(select(Note.text)).all() == []


def test_a_connection_lost_before_the_commit_leaves_nothing_and_says_so(crew: Record) -> None:
    tag = make_part(crew)

    def note_and_lose(session: Session) -> None:
        parts.note(session, "Ines", tag, "seen")
        with Session(crew.engine) as other:
            throw_out(session, other)

    with pytest.raises(Refused) as refused, crew.write() as session:
        note_and_lose(session)

    assert _told(refused.value) == "server-away"
    assert refused.value.unchanged
    with crew.read() as session:
        assert session.scalars(select(Note.text)).all() == []


@pytest.fixture
def guest(postgres_target: str, database_server: Any) -> Iterator[Callable[[str], str]]:
    """A function that makes a login with this setting, which may read but not write; gives its address."""

    def make(setting: str) -> str:
        database_server.execute(f"CREATE ROLE guest LOGIN {setting}")
        with connected(postgres_target, autocommit=True) as own:
            own.execute("GRANT USAGE ON SCHEMA matchmark TO guest")
            own.execute("GRANT SELECT ON ALL TABLES IN SCHEMA matchmark TO guest")
        return postgres_target.replace("postgres@", "guest@")

    yield make
    with connected(postgres_target, autocommit=True) as own:
        own.execute("DROP OWNED BY guest")
    database_server.execute("DROP ROLE guest")


def test_one_person_too_many_is_told_so(guest: Callable[[str], str]) -> None:
    with pytest.raises(Refused) as refused:
        open_record(guest("CONNECTION LIMIT 0"))

    assert _told(refused.value) == "server-full"


def test_who_may_not_write_is_told_so(crew: Record, guest: Callable[[str], str]) -> None:
    make_part(crew)
    record = open_record(guest(""))

    with pytest.raises(Refused) as refused:
        make_part(record)
    record.close()

    assert _told(refused.value) == "record-not-writable"


@pytest.mark.parametrize(
    ("problem", "code"),
    [
        (psycopg.errors.DiskFull("could not extend file: No space left on device"), "disk-full"),
        (psycopg.errors.TooManyConnections("sorry, too many clients already"), "server-full"),
        (psycopg.errors.CannotConnectNow("the database system is starting up"), "server-away"),
        (psycopg.errors.ConnectionFailure("lost"), "server-away"),
        (psycopg.OperationalError("consuming input failed: server closed the connection unexpectedly"), "server-away"),
    ],
)
def test_what_cannot_be_provoked_is_translated(problem: psycopg.Error, code: str) -> None:
    with pytest.raises(Refused) as refused, plain_refusal("the record"):
        raise OperationalError("SELECT 1", {}, problem)

    assert _told(refused.value) == code


def test_an_encrypted_connection_lost_at_the_commit_is_no_question_of_encryption() -> None:
    lost = psycopg.OperationalError("consuming input failed: SSL SYSCALL error: EOF detected")

    with pytest.raises(Refused) as refused, plain_refusal("the record", at_commit=True):
        raise OperationalError("COMMIT", {}, lost, connection_invalidated=True)

    assert (_told(refused.value), refused.value.unchanged) == ("not-known-if-written", False)
