"""Who belongs with whom at a hundred thousand a side: one sensor's candidates, and the plan of the whole shelf.

MATCHMARK_BENCH_PAIRS sets another size. Parts lie in up to a hundred groups by number; eleven letters, a sixth without;
seals as they come; a tenth of the control units opened; a fifth of the parts off one car with their mate. The floor of
the plan is one sort of both sides by group and chance; that of the candidates the bare driver reading the group's rows.

One sensor is timed as somebody has it who already has the record open: connection made, statements compiled and pages
read once. What opening costs, and the first question after it, is not in the figure; reasons are timed by themselves.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator

import pytest
from sqlalchemy import text

from inventory.opening import open_record
from inventory.pairing.candidate import SENSOR_KIND, UNIT_KIND, Candidate, OnRecord, SealState, StripDown
from inventory.pairing.findings.fit import Fits
from inventory.pairing.judgements import candidates
from inventory.pairing.load import Scope, load_candidates
from inventory.pairing.plan.shelf_plan import plan
from inventory.pairing.queries import fits_on_record, mates
from inventory.parts.tags import issue
from inventory.store.connection.engine import WRITES, is_sqlite
from inventory.store.record import Record
from tests.benchmarks.made import FIRST
from tests.benchmarks.report import in_turn, table, timed

PARTS = int(os.environ.get("MATCHMARK_BENCH_PAIRS", "100000"))
GROUPS = (10, 100)
CODES = ("", "", *"KMNPRTVXHJ")
SEALS: tuple[SealState, ...] = ("intact", "intact", "not seen", "missing")


def made_shelf(count: int, groups: int) -> tuple[list[Candidate], list[Candidate], Fits]:
    """So many sensors and as many control units, a fifth of them off one car with a mate."""
    chance = random.Random(count + groups)
    together = dict(zip(chance.sample(range(count), count // 5), chance.sample(range(count), count // 5), strict=True))
    group_of: dict[int, int] = {}
    sensors = []
    for number in range(count):
        group, code = chance.randrange(groups), chance.choice(CODES)
        ran = StripDown(f"{number}", "Green", mate=f"U{together[number]:06}") if number in together else None
        if number in together:
            group_of[together[number]] = group
        sensors.append(
            Candidate(
                f"S{number:06}", SENSOR_KIND, f"S {group}", f"s{group}", chance.random(), code,
                "read" if code else "not looked at", seal_state=chance.choice(SEALS), strip_down=ran,
                document_count=number % 3,
            )
        )  # fmt: skip
    mate_of = {unit: sensor for sensor, unit in together.items()}
    units = []
    for number in range(count):
        group, code = group_of.get(number, chance.randrange(groups)), chance.choice(CODES)
        ran = StripDown(f"{mate_of[number]}", "Green", mate=f"S{mate_of[number]:06}") if number in mate_of else None
        units.append(
            Candidate(
                f"U{number:06}", UNIT_KIND, f"U {group}", f"u{group}", chance.random(), code,
                "read" if code else "not looked at", strip_down=ran, document_count=number % 3,
                opened=OnRecord("cover off") if chance.random() < 0.1 else None,
            )
        )  # fmt: skip
    return sensors, units, Fits.of([(f"s{group}", f"u{group}") for group in range(groups)], [])


def test_plan() -> None:
    plan(*made_shelf(500, 10))  # numpy and the solver are imported once
    rows = []
    for groups in GROUPS:
        for count in (PARTS // 10, PARTS):
            sensors, units, fits = made_shelf(count, groups)
            ours, floor = in_turn(lambda: plan(sensors, units, fits), lambda: _sorted(sensors, units), runs=3)  # noqa: B023
            rows.append((f"{count:,} x {count:,} in {groups} groups, {count // 5:,} off one car", ours, floor))
    table("Plan of a shelf, its columns read", rows, unit="s", scale=1.0)


def _sorted(*sides: list[Candidate]) -> None:
    for side in sides:
        sorted(side, key=lambda half: (half.part_number_squeezed, half.match_code, -half.p_serviceable, half.tag))


def made_rows(count: int, kind: str, first: int) -> Iterator[dict[str, object]]:
    """Rows of parts as a sheet read in leaves them: number and letter, nothing tested."""
    for place in range(count):
        code = CODES[place // 100 % len(CODES)]
        yield {
            "id": first + place,
            "tag": f"U{place:06}" if kind == UNIT_KIND else issue(1, lambda _: [])[0],
            "kind": kind,
            "number": f"{'S' if kind == SENSOR_KIND else 'U'} {place % 100}",
            "squeezed": f"{'s' if kind == SENSOR_KIND else 'u'}{place % 100}",
            "code": code or None,
            "state": "read" if code else "not looked at",
        }


_PART = (
    "INSERT INTO part (id, tag, kind, part_number, part_number_squeezed, match_code, match_code_state, seal_state, "
    "whose, fitted) VALUES (:id, :tag, :kind, :number, :squeezed, :code, :state, 'not seen', 'own', 'no')"
)
_MARKING = (
    "INSERT INTO marking (thing_id, kind, part_number, match_code, match_code_state, so_from, earliest, latest, "
    "counts_from, recorded, recorded_on, ranked, by_id, how_known) VALUES (:id, :kind, :number, :code, :state, "
    "'2026-01-05', '2026-01-05', '2026-01-05', '2026-01-05', '2026-01-05T10:00:00.000000Z', '2026-01-05', "
    "'2026-01-05T10:00:00.000000Z', :id, 'seen')"
)


def filled(record: Record) -> str:
    """`PARTS` control units of a hundred numbers, and one sensor of the first. Gives the sensor's tag."""
    from inventory.parts import actions

    with record.engine.execution_options(**{WRITES: True}).begin() as connection:
        (sensor,) = made_rows(1, SENSOR_KIND, FIRST + PARTS)
        rows = [*made_rows(PARTS, UNIT_KIND, FIRST), sensor | {"code": "K", "state": "read"}]
        connection.execute(text("INSERT INTO thing (id, kind) VALUES (:id, 'part')"), rows)
        connection.execute(text(_PART), rows)
        connection.execute(text(_MARKING), rows)
        if not is_sqlite(connection):
            connection.execute(text("ANALYZE"))
    with record.write() as session:
        for number in range(100):
            actions.state_fit(session, "Ines", f"S {number}", f"U {number}")
    return str(sensor["tag"])


@pytest.mark.parametrize("engine", ["sqlite", "postgres"])
def test_one_sensor(engine: str, request: pytest.FixtureRequest) -> None:
    record = open_record(request.getfixturevalue(f"{engine}_target"))
    tag = filled(record)
    with record.read() as session:
        found = mates(session, tag)
        fits, (one,) = fits_on_record(session), load_candidates(session, Scope("part.tag = :tag", {"tag": tag}))
        fitting = load_candidates(session, Scope("part.part_number_squeezed = 'u0'"))
        judged, _ = in_turn(lambda: candidates(one, fitting, fits), lambda: None)
        ours, floor = in_turn(lambda: mates(session, tag), lambda: _bare(record))
        every = timed(lambda: load_candidates(session, Scope()))
        words = timed(lambda: [pair.as_dict() for pair in found])
    table(
        f"One sensor against {PARTS:,} control units, {len(found)} of them candidates, {engine}",
        [
            ("graded and sorted, from the record", ours, floor),
            (f"graded and sorted, the {len(fitting):,} that fit read before", judged, floor),
            ("their reasons put into words", words, floor),
            (f"the columns of all {PARTS:,}", every, floor),
        ],
    )
    record.close()


def _bare(record: Record) -> None:
    with record.engine.connect() as connection:
        asked = "SELECT * FROM part WHERE kind = 'control unit' AND part_number_squeezed = 'u0'"
        connection.exec_driver_sql(asked).fetchall()
