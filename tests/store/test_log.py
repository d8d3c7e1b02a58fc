"""Entries get their places once, just before the commit; what was kept of a record's past is found again in it."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts import change
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.sheets import read_sheet
from inventory.store.journal.log import anchor, root_at
from inventory.store.record import Record
from inventory.store.tables import JournalEntry, LogHead, LogPlace
from inventory.verification import verify
from tests.build import BY, make_part
from tests.counted import counted
from tests.seven import seven_facts


def _log(record: Record) -> list[tuple[int, int, int]]:
    with record.read() as session:
        places = session.execute(sa.select(LogPlace.__table__).order_by(LogPlace.place))
        return [tuple(row) for row in places]  # type: ignore[misc]


def _size(record: Record) -> int:
    with record.read() as session:
        return session.scalars(sa.select(LogHead.size)).one()


def _note(record: Record, tag: str, text: str) -> None:
    with record.write() as session:
        parts.note(session, BY, tag, text)


def test_several_writes_of_one_transaction_get_places_once_and_in_the_end(record: Record) -> None:
    with record.write() as session:
        first = parts.add_part(session, BY, Markings(kind="relay"))
        parts.note(session, BY, first, "hums")
        parts.add_part(session, BY, Markings(kind="relay"))
        assert session.scalars(sa.select(LogHead.size)).one() == 1

    places = _log(record)
    with record.read() as session:
        entries = {tuple(row) for row in session.execute(sa.select(JournalEntry.thing_id, JournalEntry.sequence))}
    assert [place for place, *_ in places] == list(range(1, len(entries) + 1))
    assert {tuple(entry) for _, *entry in places} == entries
    assert verify(record).ok


def test_the_log_costs_a_transaction_three_statements(record: Record) -> None:
    tag = make_part(record)
    with counted(record) as sent:
        _note(record, tag, "hums")
    assert sum("log_head" in statement for statement in sent) == 2
    assert sum(statement.startswith("INSERT INTO log ") for statement in sent) <= 1


def test_an_act_that_is_not_committed_leaves_no_place(record: Record) -> None:
    tag = make_part(record)
    before = _log(record)

    def stop(session: Session) -> None:
        parts.note(session, BY, tag, "hums")
        raise RuntimeError("stopped")

    with pytest.raises(RuntimeError, match="stopped"), record.write() as session:
        stop(session)
    with record.write() as session:
        parts.note(session, BY, tag, "hums")
        session.rollback()
    assert _log(record) == before
    assert verify(record).ok


def test_every_past_anchor_of_a_record_is_found_in_it_and_a_forged_one_is_not(record: Record) -> None:
    kept = []
    for number in range(9):
        make_part(record) if number % 3 else _note(record, make_part(record), "hums")
        found = verify(record)
        kept.append((found.entries, found.anchor))

    with record.read() as session:
        for size, past in kept:
            root = root_at(session, size)
            assert root is not None
            assert anchor(session, size, root) == past
        size, past = kept[4]
        other = root_at(session, size - 1)
        assert other is not None
        assert anchor(session, size, other) != past, "another number of entries gives another anchor"
        assert root_at(session, kept[-1][0] + 1) is None, "there are not so many"
    assert len(dict(kept)) == len(kept)


def test_a_past_anchor_is_not_found_where_an_entry_of_then_was_changed(record: Record) -> None:
    tag = make_part(record)
    past = verify(record)
    _note(record, tag, "hums")
    with record.engine.begin() as plain:
        plain.execute(
            sa.text("UPDATE journal SET hash = :other WHERE sequence = 1 AND act = 'part add'"), {"other": "0" * 64}
        )

    with record.read() as session:
        root = root_at(session, past.entries)
        assert root is not None
        assert anchor(session, past.entries, root) != past.anchor


def test_a_copy_that_is_restored_knows_its_own_past_and_not_what_came_after(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    tag = make_part(record)
    early = verify(record)
    record.close()
    shutil.copy(sqlite_target, tmp_path / "copy.db")
    record = open_record(sqlite_target)
    _note(record, tag, "hums")
    late = verify(record)
    record.close()

    copy = open_record(str(tmp_path / "copy.db"))
    assert verify(copy).anchor == early.anchor
    with copy.read() as session:
        assert root_at(session, late.entries) is None
    _note(copy, tag, "rattles")
    with copy.read() as session:
        root = root_at(session, late.entries)
        assert root is not None
        assert anchor(session, late.entries, root) != late.anchor, "it went another way from there"
    assert verify(copy).ok
    copy.close()


@pytest.mark.parametrize(
    "damage",
    [
        "DELETE FROM log_head",
        "UPDATE log_head SET size = size + 1",
        "UPDATE log_head SET frontier = 'no hash'",
        "UPDATE log_head SET size = 1, frontier = (SELECT substr(frontier, 1, 64) FROM log_head)",
    ],
)
def test_nothing_is_written_where_the_log_cannot_be_gone_on_with(record: Record, damage: str) -> None:
    """The last of these: a head of the past, so that the next places are taken."""
    tag = make_part(record)
    with record.engine.begin() as plain:
        plain.execute(sa.text(damage))
    before = _log(record)

    with pytest.raises(Refused) as refused, record.write() as session:
        parts.note(session, BY, tag, "hums")

    assert refused.value.code == "log-not-whole"
    assert _log(record) == before
    assert not verify(record).ok
    with record.read() as session:
        assert session.scalar(sa.text("SELECT count(*) FROM note")) == 0


def test_many_who_write_at_once_wait_for_the_head_alone_and_never_for_each_other(postgres_target: str) -> None:
    """Each acts on several parts, in any order: whoever holds the head needs nothing more, so nobody waits in a ring."""
    record = open_record(postgres_target)
    tags = [make_part(record) for _ in range(8)]

    def work(number: int) -> None:
        for turn in range(6):
            with record.write() as session:
                parts.note(session, BY, tags[(number + turn) % 8], f"{number} {turn}")
                if turn % 2:
                    parts.add_part(session, BY, Markings(kind="relay"))

    with ThreadPoolExecutor(12) as crew:
        list(crew.map(work, range(12)))

    assert verify(record).problems == ()
    assert _size(record) == len(_log(record))
    record.close()


@pytest.mark.parametrize(("on", "most"), [("2026-03-01", 4700), (None, 6900)])
def test_a_part_of_seven_facts_takes_no_more_than_it_ought(
    on: str | None, most: int, sqlite_target: str, tmp_path: Path
) -> None:
    """Bytes of the file for each part of a sheet, over those of a smaller sheet: what an empty record takes is left out.

    Where nobody says up to which day the sheet was kept, each entry says for each fact that its day is not known.
    """
    record = open_record(sqlite_target)
    sizes = []
    for first, rows in ((0, 200), (200, 1000)):
        report = read_sheet(record, seven_facts(tmp_path / f"{first}.csv", rows, first=first), BY, on=on)
        assert report.added == rows
        with record.engine.connect() as plain:
            plain.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        sizes.append(Path(sqlite_target).stat().st_size)
    record.close()

    assert (sizes[1] - sizes[0]) / 1000 <= most  # with the file, tab and row of each fact


def test_a_withdrawal_is_told_of_the_same_thing_and_gets_its_place(record: Record) -> None:
    tag = make_part(record)
    with record.write() as session:
        fact = parts.note(session, BY, tag, "hums")
    with record.write() as session:
        change.withdraw(session, BY, fact, "wrong part")
    assert _size(record) == len(_log(record)) == verify(record).entries
    assert verify(record).ok
