"""A record file that somebody made to do harm: it is not opened, or read within bounds, and never ends the program."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import suppress
from pathlib import Path

import pytest

from inventory.errors import Damaged, Refused
from inventory.opening import make_record, open_record
from inventory.store.connection.guarded import LONGEST
from inventory.store.record import Record
from inventory.verification import verify
from tests.cli.conftest import Shop, file_shop

__all__ = ["file_shop"]

FOREIGN = {
    "trigger": "CREATE TRIGGER t AFTER INSERT ON note BEGIN UPDATE valuation SET amount = '1'; END",
    "view": "ALTER TABLE note RENAME TO note2; CREATE VIEW note AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i FROM n) SELECT * FROM n",
    "virtual table": "CREATE VIRTUAL TABLE more USING fts5(text)",
    "table with conditions": "CREATE TABLE more (a, b AS (zeroblob(999999999)))",
    "computed index": "CREATE INDEX more ON note (printf('%1000d', id))",
}
DEEP = "[" * 200_000
#: What stands where in the file; a row of each is on record.
VALUES = (
    ("log_head.frontier", "0" * 5_000_000), ("log_head.size", (1 << 63) - 1), ("log_head.size", "many"), ("journal.images", DEEP),
    ("journal.images", '{"made":NaN}'), ("journal.at", "9999-99"), ("bench_run.readings", DEEP), ("bench_run.conditions", '{"ambient": NaN}'),
    ("record_info.zone", "../" * 40_000), ("part.extra", DEEP), ("alembic_version.version_num", "9" * 4000),
)  # fmt: skip


def _change(path: str, sql: str, *values: object) -> None:
    held = sqlite3.connect(path)
    if values:
        held.execute(sql, values)
    else:
        held.executescript(sql)
    held.commit()
    held.close()


@pytest.mark.parametrize("what", FOREIGN)
def test_a_file_with_what_runs_by_itself_is_not_opened(sqlite_target: str, what: str) -> None:
    _change(sqlite_target, FOREIGN[what])
    with pytest.raises(Damaged, match=f"has a {what} that matchmark did not make") as refused:
        open_record(sqlite_target)
    assert refused.value.code == "record-has-foreign-objects"


def test_a_plain_table_and_index_of_somebody_else_are_harmless(sqlite_target: str) -> None:
    _change(sqlite_target, 'CREATE TABLE mine (a); CREATE UNIQUE INDEX "my own" ON mine (a)')
    open_record(sqlite_target).close()


@pytest.mark.parametrize(("where", "value"), VALUES, ids=[f"{where}-{str(value)[:9]}" for where, value in VALUES])
def test_no_value_ends_the_program(file_shop: Shop, crafted: Path, where: str, value: object) -> None:
    """Read, written to and verified; where it cannot be, a sentence says so. JSON stays JSON, without NaN."""
    shutil.copyfile(crafted, file_shop.target)
    table, _, column = where.partition(".")
    _change(file_shop.target, f"UPDATE {table} SET {column} = ? WHERE rowid = (SELECT max(rowid) FROM {table})", value)
    for words in (["part", "find", "--json"], ["part", "note", "K4127-7", "seen", "--json"], ["verify", "--json"]):
        said = file_shop.run(*words)
        assert said.status in (0, 1, 3), (words, said.err[:300])
        json.loads(said.out, parse_constant=pytest.fail)
        assert len(said.err) < 100_000


@pytest.fixture(scope="module")
def crafted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with a run and a note, made once."""
    from inventory.cli import main

    path = tmp_path_factory.mktemp("crafted") / "shop.db"
    for words in (
        ["new"],
        ["part", "add", "--tag", "K4127-7", "--kind", "pressure sensor"],
        [
            "bench",
            "run",
            "hold",
            "K4127-7",
            "--reading",
            "0s=50cmHg",
            "--reading",
            "10s=48cmHg",
            "--resolution",
            "1cmHg",
        ],
        ["part", "note", "K4127-7", "clicks"],
    ):
        assert main([*words, "--record", str(path), "--by", "Ines", "--json"]) == 0
    return path


def test_a_value_beyond_the_bound_is_not_read(sqlite_target: str) -> None:
    _change(sqlite_target, "UPDATE record_info SET identity = zeroblob(?)", LONGEST + 1000)
    record = open_record(sqlite_target)
    with pytest.raises(Refused) as refused:
        verify(record)
    assert refused.value.code == "record-damaged"
    record.close()


def test_the_log_of_another_file_is_no_way_in(tmp_path: Path, sqlite_target: str) -> None:
    """A write-ahead log put beside a record: its pages are refused or seen by verify, never half taken as true."""
    make_record(str(tmp_path / "other.db")).close()
    held = sqlite3.connect(tmp_path / "other.db")
    held.executescript(
        "PRAGMA journal_mode=WAL; PRAGMA wal_autocheckpoint=0; UPDATE record_info SET made_by = 'x'; INSERT INTO thing VALUES (999, 'car')"
    )
    shutil.copyfile(tmp_path / "other.db-wal", f"{sqlite_target}-wal")
    held.close()
    try:
        record: Record = open_record(sqlite_target)
    except Refused:
        return
    with suppress(Refused):
        assert not verify(record).ok
    record.close()
