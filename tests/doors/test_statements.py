"""What a door asks of a record takes as many statements for thousands of parts as for ten, on either engine."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.bench.tables import BenchRun
from inventory.card import card_of
from inventory.cars.tables import Car
from inventory.condition_list.actions import condition_list
from inventory.evidence.load_due import due_on_shelf
from inventory.evidence.queries import evidence_of_many
from inventory.facts.write import write
from inventory.opening import Record, make_record
from inventory.pairing.queries import shelf_plan
from inventory.parts.actions import add_part, state_fit
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.parts.tables import Note, Part
from inventory.people.actions import begin_act
from inventory.sheets import read_sheet
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, make_fact
from inventory.store.journal.images import canonical
from inventory.teardown.actions import fit
from tests.build import BY, CAR, make_car
from tests.counted import counted

#: As many parts as a record has in a run of CI; MATCHMARK_MANY=10000 asks what the benchmarks ask.
FEW, MANY = 30, int(os.environ.get("MATCHMARK_MANY", "600"))
HEAD = "kind,maker,part number,serial,match code,seal,seal state,condition,place,value,value currency,notes"


def filled(record: Record, folder: Path, count: int) -> Record:
    """A record of so many parts, half of them sensors and half control units, one in fifty with a run.

    Two of them are on a car, with a mixture for every fifth part.
    """
    rows = [HEAD]
    for row in range(count):
        kind, number = ("pressure sensor", "HV 204 118") if row % 2 else ("control unit", "HV 310 118")
        rows.append(f"{kind},Ostrell,{number},{row:06},K,cap,intact,2,shelf {row % 9},850,EUR,note {row}")
    (folder / "parts.csv").write_text("\n".join(rows))
    read_sheet(record, folder / "parts.csv", BY)
    with record.write() as session:
        state_fit(session, BY, "HV 204 118", "HV 310 118")
    runs = ["maker,part number,serial,procedure,readings,on"]
    for row in range(1, count, 50 if count == MANY else 5):
        if row % 2:
            runs.append(f"Ostrell,HV 204 118,{row:06},hold,0s=50cmHg; 10s=48cmHg,2026-03-12")
    (folder / "runs.csv").write_text("\n".join(runs))
    read_sheet(record, folder / "runs.csv", BY)
    _mixtures(record, count // 5)
    with record.read() as session:
        assert session.scalar(select(func.count()).select_from(Part)) == count
    return record


def _mixtures(record: Record, count: int) -> None:
    make_car(record)
    with record.write() as session:
        for kind in ("pressure sensor", "control unit"):
            tag = session.scalars(select(Part.tag).where(Part.kind == kind).order_by(Part.serial.desc())).first()
            fit(session, BY, tag or "", f"place of the {kind}", car=CAR, on="2026-02-10")
    with record.write() as session:
        car = session.scalars(select(Car.id)).one()
        act = begin_act(session, "test", BY, car)
        day = when_on("2026-03-12", act.today)
        right = {"procedure": "mixture", "readings": canonical(["cruise CO=0.8%", "full load CO=4.5%"])}
        write(session, act, [make_fact(BenchRun, act, car, day, conditions="{}", **right) for _ in range(count)])


@pytest.fixture
def two(engine_name: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Record, Record]]:
    """A record of ten parts and one of thousands."""
    made = []
    for count in (FEW, MANY):
        target = str(tmp_path / f"{count}.db")
        if engine_name == "postgres":
            target = request.getfixturevalue("new_database")("template0")
        made.append(filled(make_record(target), tmp_path, count))
    yield made[0], made[1]
    for record in made:
        record.close()


def listed(session: Session) -> int:
    return len(condition_list(session).items)


def planned(session: Session) -> int:
    return len(shelf_plan(session).pairs)


def weighed(session: Session) -> int:
    return len(evidence_of_many(session, list(session.scalars(select(Part.id)))))


def due(session: Session) -> int:
    shelf = due_on_shelf(session)
    return sum(len(tests) for tests in shelf.by_currency.values()) + shelf.settled


def test_a_question_takes_as_many_statements_for_thousands_of_parts_as_for_ten(two: tuple[Record, Record]) -> None:
    for ask in (listed, planned, weighed, due):
        sent = []
        for record, count in zip(two, (FEW, MANY), strict=True):
            with record.read() as session:
                ask(session)  # what is read once for each process
            with counted(record) as statements, record.read() as session:
                assert ask(session) >= count // 2 - 1
            sent.append(len(statements))
        assert sent[0] == sent[1], ask.__name__
        assert sent[0] < 180


def test_a_card_takes_as_many_statements_for_a_thousand_facts_as_for_a_hundred(record: Record) -> None:
    sent, tags = [], {}
    for count in (100, 1_000):
        with record.write() as session:
            tag = add_part(session, BY, Markings(kind="pressure sensor", serial=f"{count}"))
            act = begin_act(session, "test", BY, part_row(session, tag).id)
            day = when_on("2026-03-12", act.today)
            thing = part_row(session, tag).id
            notes = [make_fact(Note, act, thing, day, text=f"note {place}") for place in range(count)]
            runs = [_run(act, thing, day, place) for place in range(count // 10)]
            write(session, act, [*notes, *runs])
        tags[count] = tag
    for count, tag in tags.items():
        with counted(record) as statements, record.read() as session:
            assert len(card_of(session, tag).runs) == count // 10
        sent.append(len(statements))

    assert sent[0] == sent[1] < 95


def _run(act: Act, thing: int, day: When, place: int) -> BenchRun:
    readings = canonical(["0s=50cmHg", f"10s={49 - place % 9}cmHg"])
    return make_fact(BenchRun, act, thing, day, procedure="hold", readings=readings, conditions="{}")
