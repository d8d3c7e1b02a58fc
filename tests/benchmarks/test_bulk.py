"""What the journal costs a part in a bulk write, beside sqlite3 putting the same rows in bare.

MATCHMARK_BENCH_BULK sets another size.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from inventory.facts.write import write
from inventory.opening import open_record
from inventory.parts.actions import new_parts
from inventory.parts.tables import Marking
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal import entries as journal
from inventory.store.record import Record
from inventory.store.tables import Base
from tests.benchmarks.made import made_parts
from tests.benchmarks.report import table, timed

PARTS = int(os.environ.get("MATCHMARK_BENCH_BULK", "100000"))
TABLES = ("thing", "part", "marking", "search_entry", "journal", "log")
NAMES = ("kind", "maker", "part_number", "serial", "match_code")


def test_bulk(sqlite_template: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = timed(lambda: write_parts(_fresh(tmp_path / "whole.db", sqlite_template), PARTS))
    with sqlite3.connect(tmp_path / "whole.db") as written:
        rows = {name: written.execute(f"SELECT * FROM {name}").fetchall() for name in TABLES}
        schema = [line for (line,) in written.execute("SELECT sql FROM sqlite_master WHERE type='table'") if line]
    bare = timed(lambda: _bare(tmp_path / "bare.db", schema, rows))
    monkeypatch.setattr(journal, "_entries", lambda *_: [])
    without = timed(lambda: write_parts(_fresh(tmp_path / "without.db", sqlite_template), PARTS))
    table(
        f"Bulk write of {PARTS:,} parts (per part), against sqlite3 putting the same rows in",
        [
            ("facts, row, search text, journal", whole / PARTS, bare / PARTS),
            ("the same without the journal", without / PARTS, bare / PARTS),
            ("so the journal costs", (whole - without) / PARTS, bare / PARTS),
        ],
        unit="us",
        scale=1e6,
    )


def _fresh(path: Path, template: bytes) -> Record:
    path.write_bytes(template)
    return open_record(str(path))


def write_parts(record: Record, count: int) -> None:
    """Write so many parts with one marking each, in one act."""
    with record.write() as session:
        act = begin_act(session, "bulk", "bench")
        when = when_on(None, act.today)
        rows: list[Base] = []
        for made, (thing, part) in zip(made_parts(count), new_parts(session, count), strict=True):
            values = {name: made[name] for name in NAMES}
            state = "read" if made["match_code"] else None
            rows += [thing, part, make_fact(Marking, act, thing.id, when, match_code_state=state, **values)]
        write(session, act, rows)


def _bare(path: Path, schema: list[str], rows: dict[str, list[tuple[object, ...]]]) -> None:
    connection = sqlite3.connect(path)
    for line in schema:
        if not line.startswith("CREATE TABLE 'search_index_") and "alembic" not in line:
            connection.execute(line)
    for name, several in rows.items():
        marks = ", ".join("?" * len(several[0]))
        connection.executemany(f"INSERT INTO {name} VALUES ({marks})", several)
    connection.execute("INSERT INTO search_index(search_index) VALUES ('rebuild')")
    connection.commit()
    connection.close()
