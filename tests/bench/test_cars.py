"""A car takes runs, with the pair that was on it that day; parts and cars are told apart by name."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy.orm import Session

from inventory.bench import actions as bench
from inventory.bench.load_things import measured_thing
from inventory.bench.runs.load_installed_pair import Event, fact_on_car
from inventory.bench.runs.queries import runs_of
from inventory.cars import actions as cars
from inventory.errors import Refused
from inventory.facts import change
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.verification import verify
from tests.build import BY, CAR, SENSOR, UNIT, make_car, make_part

MIXTURE = ["idle CO=2.0%", "cruise lambda=1.00", "full load lambda=0.89"]
ON, OFF = True, False


def _tested(session: Session, on: str) -> tuple[dict[str, Any], str]:
    judgement = bench.run(session, BY, CAR, "mixture", MIXTURE, {}, on=on).judgement
    return judgement.figures, judgement.reasons[-1].says


def test_a_car_is_measured_with_the_pair_that_was_on_it(record: Record) -> None:
    key = make_car(record)
    sensor, unit = make_part(record, SENSOR), make_part(record, UNIT)
    with record.write() as session:
        for tag, position in ((sensor, "wing"), (unit, "shelf")):
            cars.list_position(session, BY, CAR, position, cars.Listing())
            teardown.fit(session, BY, tag, position, car=CAR, on="2024-05-01")
        teardown.begin(session, BY, CAR, on="2025-06-01")
        teardown.log(session, BY, SENSOR, ComingOff(), tag=sensor, car=CAR, on="2025-06-01")

        before, said_before = _tested(session, "2024-04-30")
        fitted, said = _tested(session, "2024-05-01")
        after, said_after = _tested(session, "2025-06-02")

    assert fitted["pair"] == {"sensor": sensor, "unit": unit}
    assert said == f"with sensor {sensor} and control unit {unit}, which were on the car that day"
    assert ("pair" in before, "pair" in after) == (False, False)
    assert said_before == "no sensor and no control unit on the car that day, by the record, so it proves no pair"
    assert said_after == f"no sensor and control unit {unit} on the car that day, by the record, so it proves no pair"
    with record.read() as session:
        assert [run.procedure for run in runs_of(session, key)] == ["mixture"] * 3
    assert verify(record).problems == ()


@pytest.mark.parametrize(
    ("events", "on"),
    [
        ([("2024-05-01", ON, 1)], True),
        ([("2024-05-01", ON, 2)], False),
        ([("2024-05-01", ON, 1), ("2024-05-09", OFF, 1)], False),
        ([("2024-05-01", ON, 1), ("2024-05-10", OFF, 1)], True),
        ([("2024-05-11", OFF, 1)], True),
        ([("2024-05-11", OFF, 2)], False),
        ([("2024-05-11", ON, 1)], False),
        ([("2024-05-01", OFF, 1), ("2024-05-11", OFF, 1)], False),
        ([], False),
    ],
)
def test_what_was_on_a_car_on_a_day(events: list[tuple[str, bool, int]], on: bool) -> None:
    told = [Event(day, way, car, f"fact-{place}") for place, (day, way, car) in enumerate(events)]

    assert bool(fact_on_car(told, 1, "2024-05-10")) == on


def test_a_part_is_found_by_its_tag_and_a_car_by_its_name(record: Record) -> None:
    key = make_car(record)
    tag = make_part(record, SENSOR)

    with record.read() as session:
        assert (measured_thing(session, "green TOURER").id, measured_thing(session, CAR).kind) == (key, "car")
        assert measured_thing(session, tag.replace("-", "").lower()).shown == tag
        for typed, code in (("Green tourist", "unknown-car"), ("xyzzy", "not-a-tag")):
            with pytest.raises(Refused) as refused:
                measured_thing(session, typed)
            assert refused.value.code == code


def test_a_run_on_a_car_is_corrected_and_taken_back_as_any(record: Record) -> None:
    key = make_car(record)
    with record.write() as session:
        run = bench.run(session, BY, CAR, "fuel pressure", ["idle=1.0bar"], {}, on="2024-05-01")
        corrected = change.correct(session, BY, run.fact.id, {"idle": "2.05bar"}, "misread")
    with record.read() as session:
        assert [each.judgement.verdict for each in runs_of(session, key)] == ["pass"]
    with record.write() as session:
        change.withdraw(session, BY, corrected, "it was read right")
    with record.read() as session:
        (again,) = runs_of(session, key)
        assert again.judgement.verdict == "undecided", "what was corrected counts again"
    with record.write() as session:
        change.withdraw(session, BY, again.fact.id, "wrong car")
    with record.read() as session:
        assert runs_of(session, key) == []
    assert verify(record).problems == ()


def test_a_test_of_parts_is_not_done_on_a_car(record: Record) -> None:
    make_car(record)
    with record.write() as session, pytest.raises(Refused) as refused:
        bench.run(session, BY, CAR, "hold", ["0s=50cmHg", "10s=48cmHg"], {})
    assert refused.value.code == "procedure-not-for-kind"
