"""Killed at random moments: the record opens, verifies clean, has lost nothing acknowledged and holds no half act."""

from __future__ import annotations

import multiprocessing
import random
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from inventory.opening import make_record, open_record
from inventory.store.journal.images import read_images
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.verification import verify
from tests.faults.writer import Entry, Writer, entries, make_records, write

KILLS = 32
#: Kills are shared out so that the parts of the test can run side by side.
GROUPS = 4
_TOGETHER = multiprocessing.get_context("forkserver")
_TOGETHER.set_forkserver_preload(["tests.faults.writer", "inventory.store.connection.migration", "migrations.versions"])

Shape = tuple[tuple[str, tuple[str, ...]], ...]


def _shapes(record: Record) -> dict[str, Shape]:
    """What each act wrote, by its key: for each thing the act's name and the tables of the rows."""
    query = select(JournalEntry.__table__).order_by(JournalEntry.thing_id, JournalEntry.sequence)
    shapes: dict[str, list[tuple[str, tuple[str, ...]]]] = defaultdict(list)
    with record.read() as session:
        for entry in session.execute(query).mappings():
            written = read_images(dict(entry))
            tables = tuple(sorted(table for table, _, _ in (*written.made, *written.changed)))
            shapes[entry["act_key"]].append((entry["act"], tables))
    return {key: tuple(sorted(shape)) for key, shape in shapes.items()}


def _run_and_kill(target: Callable[..., None], arguments: tuple[Any, ...], delay: float) -> tuple[list[Any], bool]:
    """Start a process, kill it `delay` seconds after its first act; what it acknowledged, and if it was in an act."""
    ours, theirs = _TOGETHER.Pipe(duplex=False)
    process = _TOGETHER.Process(target=target, args=(*arguments, theirs))
    process.start()
    theirs.close()
    assert ours.poll(60), "the writer did not begin"
    time.sleep(delay)
    process.kill()
    process.join()
    said = []
    try:
        while True:
            said.append(ours.recv())
    except EOFError:
        pass
    ours.close()
    assert process.exitcode == -9, f"the writer stopped by itself: {process.exitcode}, {said[-1:]}"
    return [what for word, what in said if word == "done"], said[-1][0] == "begins"


def _rehearse(record: Record, folder: Path) -> tuple[set[Shape], float]:
    """Every kind of act once, undisturbed: the shapes that whole acts have, and how long a round takes."""
    folder.mkdir()
    writer = Writer(record, folder, random.Random(0))
    started = time.monotonic()
    for _, act in writer.acts():
        act()
    took = time.monotonic() - started
    return set(_shapes(record).values()), took


@pytest.mark.parametrize("group", range(GROUPS))
def test_nothing_acknowledged_is_lost_and_no_act_is_half_there(group: int, sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    whole, took = _rehearse(record, tmp_path / "rehearsal")
    record.close()
    chance = random.Random(group)
    in_an_act = 0
    for kill in range(KILLS // GROUPS):
        delay = chance.uniform(0, took)
        acknowledged, stopped_in_one = _run_and_kill(write, (sqlite_target, tmp_path, 1000 * group + kill + 1), delay)
        in_an_act += stopped_in_one
        record = open_record(sqlite_target)
        found = verify(record)
        held: set[Entry] = entries(record)
        acts = _shapes(record)
        record.close()
        assert found.problems == ()
        assert set().union(*acknowledged) <= held
        assert {key: shape for key, shape in acts.items() if shape not in whole} == {}
    assert in_an_act > KILLS // GROUPS // 2, "the kills fell between the acts"


def test_a_record_half_made_never_bears_its_name(tmp_path: Path) -> None:
    chance = random.Random(7)
    for _ in range(6):
        made, _ = _run_and_kill(make_records, (tmp_path,), chance.uniform(0, 1.0))
        named = {path for path in tmp_path.glob("*.db") if not path.name.startswith(".")}
        assert set(made) <= named
        for path in named:
            record = open_record(str(path))
            assert verify(record).ok
            record.close()
        for path in named:
            path.unlink()


@pytest.mark.postgres
def test_a_writer_killed_on_a_server_leaves_no_half_act(postgres_target: str, tmp_path: Path) -> None:
    record = open_record(postgres_target)
    whole, took = _rehearse(record, tmp_path / "rehearsal")
    chance = random.Random(3)
    for kill in range(6):
        acknowledged, _ = _run_and_kill(write, (postgres_target, tmp_path, kill + 1), chance.uniform(0, took))
        assert verify(record).problems == ()
        assert set().union(*acknowledged) <= entries(record)
        assert {key: shape for key, shape in _shapes(record).items() if shape not in whole} == {}
    record.close()


def test_a_record_made_after_a_kill_takes_the_name(tmp_path: Path) -> None:
    """What a killed `new` left beside it is in nobody's way."""
    left = tmp_path / ".record.db.1.new"
    left.write_bytes(b"half")
    record = make_record(str(tmp_path / "record.db"))
    assert verify(record).ok
    record.close()
