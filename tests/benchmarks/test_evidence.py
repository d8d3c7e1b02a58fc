"""The evidence on a hundred thousand made parts, on both engines, and where its time goes.

MATCHMARK_BENCH_EVIDENCE sets another size. A tenth of the parts have a hold and their resistance measured, half a seal
looked at, a fifth a claim; a third came off a car, a twentieth was worked on. The floor is the same rows read by the
bare driver.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from typing import Any

import pytest
from sqlalchemy import insert, text
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import runs_of_many
from inventory.bench.tables import BenchRun
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.load_facts import facts_of_parts
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.evidence.tables import Claim
from inventory.opening import open_record
from inventory.parts.tables import Work
from inventory.reference.data import PROGRAM
from inventory.seals.tables import SealSighting
from inventory.store.connection.engine import WRITES, is_sqlite
from inventory.store.facts import NOW
from inventory.store.record import Record
from inventory.teardown.tables import Removal
from tests.benchmarks.made import FIRST, fill, made_parts
from tests.benchmarks.report import table, timed

PARTS = int(os.environ.get("MATCHMARK_BENCH_EVIDENCE", "100000"))
#: Hand and car of every made fact: keys that no part has.
HAND, CAR = FIRST - 2, FIRST - 1
TABLES = (SealSighting, Claim, Work, Removal)


def told_of(number: int, kind: str) -> Iterator[tuple[type[Any], dict[str, Any]]]:
    """The facts of one made part: readings and days vary, so that no two holds are judged alike."""
    if kind == "pressure sensor" and number % 5 < 3:
        tenth = (number % 10, number // 10 % 10, number // 100 % 10)
        readings = [f"0s=50.{tenth[0]}cmHg", f"5s=49.{tenth[1]}cmHg", f"10s=48.{tenth[2]}cmHg"]
        yield BenchRun, {"procedure": "hold", "readings": json.dumps(readings), "conditions": "{}"}
        ohms = [f"primary={90 + number % 100 / 10}ohm", f"secondary={350 + number % 70 / 10}ohm"]
        yield BenchRun, {"procedure": "resistance", "readings": json.dumps(ohms), "conditions": "{}"}
    if number % 2:
        yield SealSighting, {"seal": "cap", "state": "intact" if number % 3 else "missing"}
    if number % 5 == 0:
        yield Claim, {"said": "tested", "came_out": "pass", "source": "seller", "proof": "none"}
    if number % 3 == 0:
        yield Removal, {"car_id": CAR}
    if number % 20 == 0:
        yield Work, {"what": "heated", "area": "on the unit"}


def tell(record: Record, count: int) -> int:
    """Write the made facts; gives how many."""
    rows: dict[type[Any], list[dict[str, Any]]] = {model: [] for model in (*TABLES, BenchRun)}
    for number, part in enumerate(made_parts(count)):
        day = f"20{10 + number % 16}-03-{1 + number % 28:02d}"
        shared = {
            "thing_id": FIRST + number, "so_from": day, "earliest": day, "latest": day, "counts_from": day,
            "recorded": f"{day}T10:00:00.000000Z", "recorded_on": day, "ranked": f"{day}T10:00:00.000000Z",
            "by_id": HAND, "how_known": "seen",
        }  # fmt: skip
        for model, values in told_of(number, str(part["kind"])):
            rows[model].append(shared | values)
    keys = {"hand": HAND, "car": CAR}
    with record.engine.execution_options(**{WRITES: True}).begin() as connection:
        connection.execute(text("INSERT INTO thing (id, kind) VALUES (:hand, 'contact'), (:car, 'car')"), keys)
        connection.execute(text("INSERT INTO car (id, name_folded, name) VALUES (:car, 'green', 'Green')"), keys)
        for model, several in rows.items():
            connection.execute(insert(model), several)
        if not is_sqlite(connection):
            connection.execute(text("ANALYZE"))  # as the server does by itself within a minute
    return sum(map(len, rows.values()))


@pytest.mark.parametrize("engine", ["sqlite", "postgres"])
def test_evidence(engine: str, request: pytest.FixtureRequest) -> None:
    record = open_record(request.getfixturevalue(f"{engine}_target"))
    fill(record, PARTS)
    facts = tell(record, PARTS)
    kinds = {FIRST + number: str(part["kind"]) for number, part in enumerate(made_parts(PARTS))}
    with record.read() as session:
        runs_of_many(session, list(kinds)[:60])  # units and fits are imported once
        bare = timed(lambda: _bare(session))
        runs = timed(lambda: runs_of_many(session, list(kinds)))
        found: dict[int, Evidence] = {}
        others = timed(lambda: facts_of_parts(session, list(kinds), NOW, runs={}, mixtures={}))
        whole = timed(lambda: found.update(evidence_of_many(session, list(kinds))))
        weighed = timed(lambda: _weigh(kinds, found))
    table(
        f"Evidence on {PARTS:,} parts with {facts:,} facts, {engine}",
        [
            ("runs read and judged", runs, bare),
            ("all other facts read", others, bare),
            ("all tests weighed", weighed, bare),
            ("all together", whole, bare),
        ],
        unit="s",
        scale=1.0,
    )
    record.close()


def _weigh(kinds: dict[int, str], found: dict[int, Evidence]) -> None:
    for key, one in found.items():
        appraise_evidence(kinds[key], one.tests, one.events, PROGRAM, day="2026-04-15", variant=one.variant)


def _bare(session: Session) -> None:
    for model in (*TABLES, BenchRun):
        session.connection().exec_driver_sql(f"SELECT * FROM {model.__tablename__}").fetchall()
