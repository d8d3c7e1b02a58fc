"""Many keys looked up with one parameter; keys handed out before their rows are written."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import func, select

from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.tables import Marking, Note, Part
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal.insert import insert
from inventory.store.journal.keys import reserve, supersede_all
from inventory.store.many import among
from inventory.store.record import Record
from inventory.store.tables import columns_of
from tests.build import BY
from tests.counted import counted

#: Texts that a way of putting keys into a statement might change.
SERIALS = (
    "7",
    "007",
    "1e5",
    'a "quoted" one',
    "it's",
    "a\\b",
    "[1, 2]",
    "ünï 針 🔧",
    " blank ",
    "null",
    "$1",
    "what?",
    ":keys",
)


def found(record: Record, column: Any, keys: Any) -> list[Any]:
    with record.read() as session:
        return list(session.scalars(select(column).where(among(column, keys)).order_by(Part.id)))


@pytest.fixture
def numbered(record: Record) -> Record:
    """A record with a part for each serial."""
    with record.write() as session:
        for serial in SERIALS:
            add_part(session, BY, Markings(kind="relay", serial=serial))
    return record


def test_texts_and_numbers_are_found_as_they_are(numbered: Record) -> None:
    kept = [serial.strip() for serial in SERIALS]

    assert found(numbered, Part.serial, SERIALS) == [serial for serial in kept if serial in SERIALS]
    assert found(numbered, Part.serial, kept[3:6]) == kept[3:6]
    assert found(numbered, Part.serial, ["7.0", "0x7", 'A "QUOTED" ONE', ""]) == []
    with numbered.read() as session:
        every = list(session.scalars(select(Part.id).order_by(Part.id)))
    assert found(numbered, Part.id, set(every[2:])) == every[2:]
    assert found(numbered, Part.id, []) == []


def test_a_hundred_thousand_keys_are_as_few_statements_as_one(numbered: Record) -> None:
    with counted(numbered) as one:
        found(numbered, Part.id, [1])
        found(numbered, Part.serial, ["7"])
    with counted(numbered) as many:
        parts = found(numbered, Part.id, range(100_000))
        serials = found(numbered, Part.serial, [*SERIALS, *map(str, range(1_000, 101_000))])

    assert (len(parts), len(serials)) == (len(SERIALS), len(SERIALS) - 1)  # one serial lost its blanks
    assert len(many) == len(one)


def test_facts_that_supersede_others_get_their_keys_together(numbered: Record) -> None:
    with numbered.write() as session:
        act = begin_act(session, "test", BY)
        old = list(session.scalars(select(Marking).order_by(Marking.id)))
        anew = [make_fact(Marking, act, each.thing_id, when_on(None, act.today)) for each in old]
        with counted(numbered) as count:
            supersede_all(session, act, zip(old, anew, strict=True))
        further = reserve(session, Marking, 1)

        assert len(count) == 1
        keys = [each.id for each in anew]
        assert [each.superseded_by for each in old] == [f"marking-{key}" for key in keys]
        assert {each.superseded_on for each in old} == {act.today.isoformat()}
        assert len({*keys, *further, *(each.id for each in old)}) == 2 * len(old) + 1
        session.rollback()


def test_rows_with_and_without_nulls_go_in_as_they_are(record: Record) -> None:
    with record.write() as session:
        tag = add_part(session, BY, Markings(kind="relay"))
        thing = session.scalar(select(Part.id).where(Part.tag == tag))
        act = begin_act(session, "test", BY)
        notes = [make_fact(Note, act, thing or 0, when_on(None, act.today), text=f"note {place}") for place in range(3)]
        for note, key in zip(notes, reserve(session, Note, 3), strict=True):
            note.id = key
        notes[1].told = "about noon"
        notes[2].reason = ""
        images = [dict(vars(note)) for note in notes]

        insert(session.connection(), Note, images)

        rows = [dict(row._mapping) for row in session.execute(select(Note.__table__).order_by(Note.id))]
        assert rows == [{name: image[name] for name in columns_of(Note)} for image in images]
        assert session.scalar(select(func.count()).select_from(Note)) == 3
        session.rollback()
