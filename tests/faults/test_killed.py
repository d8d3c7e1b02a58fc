"""Killed at random moments: the record opens, verifies clean, has lost nothing acknowledged and holds no half act."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from inventory.opening import make_record, open_record
from inventory.verification import verify
from tests.faults.kills import after_kill, rehearse, run_and_kill
from tests.faults.writer import make_records, write

KILLS = 32
#: Kills are shared out so that the parts of the test can run side by side.
GROUPS = 4


@pytest.mark.parametrize("group", range(GROUPS))
def test_nothing_acknowledged_is_lost_and_no_act_is_half_there(group: int, sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    whole, took = rehearse(record, tmp_path / "rehearsal")
    record.close()
    chance = random.Random(group)
    in_an_act = 0
    for kill in range(KILLS // GROUPS):
        delay = chance.uniform(0, took)
        acknowledged, act = run_and_kill(write, (sqlite_target, tmp_path, 1000 * group + kill + 1), delay)
        in_an_act += bool(act)
        after_kill(sqlite_target, acknowledged, whole)
    assert in_an_act > KILLS // GROUPS // 2, "the kills fell between the acts"


def test_a_record_half_made_never_bears_its_name(tmp_path: Path) -> None:
    chance = random.Random(7)
    for _ in range(6):
        made, _ = run_and_kill(make_records, (tmp_path,), chance.uniform(0, 1.0))
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
    whole, took = rehearse(record, tmp_path / "rehearsal")
    record.close()
    chance = random.Random(3)
    for kill in range(6):
        acknowledged, _ = run_and_kill(write, (postgres_target, tmp_path, kill + 1), chance.uniform(0, took))
        after_kill(postgres_target, acknowledged, whole)


def test_a_record_made_after_a_kill_takes_the_name(tmp_path: Path) -> None:
    """What a killed `new` left beside it is in nobody's way."""
    left = tmp_path / ".record.db.1.new"
    left.write_bytes(b"half")
    record = make_record(str(tmp_path / "record.db"))
    assert verify(record).ok
    record.close()
