"""Asking in SQL text: of both engines alike, of one state, and only to read."""

from __future__ import annotations

import pytest
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.opening import open_record
from inventory.parts import load_lines as finding
from inventory.store.connection.readonly import among, engine_of, fetch_all
from inventory.store.record import Record
from tests.build import make_part


def test_rows_and_parameters_are_the_same_of_whatever_is_asked(record: Record) -> None:
    tags = sorted(make_part(record) for _ in range(3))
    places, parameters = among([2, 3, 5])
    asked = (
        ("SELECT tag FROM part ORDER BY tag", {}, [(tag,) for tag in tags]),
        ("SELECT tag FROM part WHERE tag = :tag", {"tag": tags[1]}, [(tags[1],)]),
        ("SELECT tag FROM part WHERE tag = :tag", {"tag": "none"}, []),
        (f"SELECT 1 WHERE 3 IN ({places})", parameters, [(1,)]),
        (f"SELECT 1 WHERE 4 IN ({places})", parameters, []),
    )

    with record.readonly() as source, record.read() as session:
        for sql, given, rows in asked:
            assert fetch_all(source, sql, given) == rows
            assert fetch_all(session, sql, given) == rows
            assert fetch_all(session.connection(), sql, given) == rows


def test_a_look_names_its_engine(record: Record) -> None:
    with record.readonly() as source, record.read() as session:
        name = record.engine.dialect.name

        assert {engine_of(source), engine_of(session), engine_of(session.connection())} == {name}


def test_finds_are_the_same_by_a_look_and_by_a_session(record: Record) -> None:
    tags = [make_part(record) for _ in range(3)]

    with record.readonly() as source, record.read() as session:
        found = finding.find(source, [tags[0]])
        assert found == finding.find(session, [tags[0]])
        assert [line.tag for line in finding.lines(source, found.keys)] == [tags[0]]
        assert finding.lines(source, found.keys) == finding.lines(session, found.keys)
        assert finding.near(source, ["nothing"]) == finding.near(session, ["nothing"])


def test_a_look_at_a_file_sees_one_state(sqlite_target: str) -> None:
    record = open_record(sqlite_target)
    with record.readonly() as source:
        before = fetch_all(source, "SELECT count(*) FROM part")
        make_part(record)

        assert fetch_all(source, "SELECT count(*) FROM part") == before
    with record.readonly() as source:
        assert fetch_all(source, "SELECT count(*) FROM part") != before
    record.close()


def test_a_look_at_a_file_writes_nothing(sqlite_target: str) -> None:
    record = open_record(sqlite_target)

    with pytest.raises(Refused) as refused, record.readonly() as source:
        fetch_all(source, "DELETE FROM contact")

    assert refused.value.code == "record-not-writable"
    record.close()


def test_what_a_driver_says_in_a_look_is_a_sentence(record: Record) -> None:
    with pytest.raises(Refused) as refused, record.readonly() as source:
        fetch_all(source, "SELECT anything FROM nowhere")

    assert refused.value.code == "record-refused"
    assert "nowhere" in refused.value.message


def test_a_file_is_opened_and_asked_without_an_engine(sqlite_target: str) -> None:
    record = open_record(sqlite_target)
    with record.readonly() as source:
        assert not isinstance(source, Session)
        assert fetch_all(source, "SELECT count(*) FROM part") == [(0,)]

    assert record._engine is None
    record.close()
