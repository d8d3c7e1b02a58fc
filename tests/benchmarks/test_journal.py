"""What the journal costs: checking a record, taking a read back, and many people writing at once.

`verify` is held against reading the same rows by bare SQL; taking a sheet back against having read it, in the same run.
MATCHMARK_BENCH_JOURNAL sets the number of parts that are verified, MATCHMARK_BENCH_BACK the rows that are taken back.
"""

from __future__ import annotations

import os
import sqlite3
import statistics
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from inventory.facts import take_back
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.sheets import read_sheet
from inventory.store.record import Record
from inventory.verification import verify
from tests.benchmarks.report import in_turn, percentile, table, timed
from tests.benchmarks.test_bulk import write_parts
from tests.build import make_part
from tests.counted import counted
from tests.seven import seven_facts

PARTS = int(os.environ.get("MATCHMARK_BENCH_JOURNAL", "100000"))
ROWS = int(os.environ.get("MATCHMARK_BENCH_BACK", "5000"))
RUNS = int(os.environ.get("RUNS", "3"))
ACTS = 40


def test_verify(sqlite_target: str) -> None:
    record = open_record(sqlite_target)
    write_parts(record, PARTS)
    path = Path(sqlite_target)

    ours, bare = in_turn(lambda: verify(record), lambda: _read_all(path), RUNS)

    record.close()
    table(f"Verifying {PARTS:,} parts, against reading the same rows by bare SQL", [("verify", ours, bare)], "s", 1)


def _read_all(path: Path) -> None:
    with sqlite3.connect(path) as connection:
        named = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'search_index%'"
        )
        for (name,) in named.fetchall():
            connection.execute(f"SELECT * FROM {name}").fetchall()


@pytest.mark.parametrize("engine_name", ["sqlite", "postgres"], indirect=True)
def test_taking_back(record: Record, tmp_path: Path) -> None:
    """A first read so that what is kept from then on is there; then reads of other sheets, each taken back."""
    rows, sent = [], []
    for turn in range(RUNS):
        source = seven_facts(tmp_path / f"{turn}.csv", ROWS, first=turn * ROWS)
        read = timed(lambda source=source: read_sheet(record, source, "Ines"))  # type: ignore[misc]
        ask = timed(lambda: _asked(record))
        with counted(record) as statements:
            back = timed(lambda: _take_back(record))
        sent.append(len(statements))
        again = timed(lambda: _take_back(record))
        rows.append((read, ask, back, again))
    read, ask, back, again = (statistics.median(column) for column in zip(*rows, strict=True))
    table(
        f"Taking back a sheet of {ROWS:,} parts of seven facts ({sent[-1]} statements), against reading it",
        [("asked what it would be", ask, read), ("taken back", back, read), ("and brought back", again, read)],
        "s",
        1,
    )


def _asked(record: Record) -> str:
    with record.read() as session:
        past = take_back.last_act(session, "Ines", record.acts)
    assert past is not None
    return past.key


def _take_back(record: Record) -> None:
    key = _asked(record)
    with record.write() as session:
        take_back.withdraw_act(session, "Ines", key, "wrong sheet")


@pytest.mark.parametrize("writers", [1, 4, 16])
def test_many_writers(postgres_target: str, writers: int) -> None:
    """Everybody writes on a part of their own; they meet only at the head of the log.

    What an act takes of the processor is what one machine carries, whatever else it does meanwhile.
    """
    record = open_record(postgres_target)
    tags = [make_part(record) for _ in range(writers)]
    ready = threading.Barrier(writers)

    def work(tag: str) -> list[float]:
        ready.wait()
        return [timed(lambda number=number: _note(record, tag, number)) for number in range(ACTS)]  # type: ignore[misc]

    started, worked = time.perf_counter(), time.process_time()
    with ThreadPoolExecutor(writers) as crew:
        times = [each for several in crew.map(work, tags) for each in several]
    took, worked = time.perf_counter() - started, time.process_time() - worked

    assert verify(record).ok
    record.close()
    print(
        f"\n{writers} writers in one process, PostgreSQL: {len(times) / took:.0f} acts a second, "
        f"p50 {percentile(times, 0.5) * 1e3:.0f} ms, p99 {percentile(times, 0.99) * 1e3:.0f} ms; "
        f"{worked / len(times) * 1e3:.1f} ms of processor for each act, without the server's"
    )


def _note(record: Record, tag: str, number: int) -> None:
    with record.write() as session:
        parts.note(session, "Ines", tag, f"note {number}")
