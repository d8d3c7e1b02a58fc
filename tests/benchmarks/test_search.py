"""Search in a million made parts, on both engines, beside a bare FTS5 query of the same words.

MATCHMARK_BENCH_PARTS sets another size. The browser's question is timed: at most 1,001 keys, then the
lines of the first screen; the floor is the FTS5 match alone, at most 1,001 rowids.
"""

from __future__ import annotations

import os
import random
import sqlite3

import pytest

from inventory.opening import open_record
from inventory.parts import load_lines as finding
from inventory.store.words.search import LIMIT, folded_words, matching
from tests.benchmarks.made import fill, made_parts
from tests.benchmarks.report import percentile, table, timed

PARTS = int(os.environ.get("MATCHMARK_BENCH_PARTS", "1000000"))
QUESTIONS = 300


def questions() -> list[list[str]]:
    """Words as they are typed: half a number, a serial, a code with a state, a kind."""
    chosen = random.Random(7)
    asked = []
    for row in list(made_parts(20_000))[:: 20_000 // QUESTIONS]:
        number, serial = str(row["part_number"]), str(row["serial"])
        asked.append(
            chosen.choice([[number[-7:]], [serial], [serial[-4:], "intact"], ["K", "intact"], [str(row["kind"])]])
        )
    return asked


@pytest.mark.parametrize("engine", ["sqlite", "postgres"])
def test_search(engine: str, request: pytest.FixtureRequest, tmp_path: object) -> None:
    record = open_record(request.getfixturevalue(f"{engine}_target"))
    fill(record, PARTS)
    floor = _bare_index()
    ours, bare = [], []
    with record.read() as session:
        for words in questions():
            bare.append(timed(lambda words=words: _bare(floor, words)))
            ours.append(timed(lambda words=words: _ask(session, words)))
    rows = [
        (f"p50, {PARTS:,} parts, {engine}", percentile(ours, 0.5), percentile(bare, 0.5)),
        (f"p95, {PARTS:,} parts, {engine}", percentile(ours, 0.95), percentile(bare, 0.95)),
    ]
    table("Search as the browser asks", rows)
    record.close()


def _ask(session: object, words: list[str]) -> None:
    found = finding.find(session, words, limit=LIMIT)  # type: ignore[arg-type]
    finding.window(session, found.keys, 0, 40)  # type: ignore[arg-type]


def _bare_index() -> sqlite3.Connection:
    from tests.benchmarks.made import _text

    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE VIRTUAL TABLE bare USING fts5(text, tokenize='trigram case_sensitive 1', content='')")
    rows = ((row["id"], _text(row)) for row in made_parts(PARTS))
    connection.executemany("INSERT INTO bare(rowid, text) VALUES (?, ?)", rows)
    return connection


def _bare(connection: sqlite3.Connection, words: list[str]) -> None:
    _, parameters = matching(folded_words(words), "sqlite")
    connection.execute(f"SELECT rowid FROM bare WHERE bare MATCH ? LIMIT {LIMIT}", [parameters["phrase"]]).fetchall()
