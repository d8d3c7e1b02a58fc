"""A car's history, with the mileage of that time."""

from __future__ import annotations

from inventory.facts.change import add
from inventory.history.load_car import car_history
from inventory.parts.actions import log_work
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tests.build import BY, CAR, make_car, make_part


def test_what_happened_is_told_with_the_mileage_and_only_while_the_part_was_on(record: Record) -> None:
    make_car(record)
    tag = make_part(record, on="2019-01-01")
    with record.write() as session:
        for reading, day in (("84210", "2020-01-01"), ("84900", "2022-01-01"), ("1200", "2023-01-01")):
            add(session, BY, "mileage", CAR, {"reading": reading, "unit": "km"}, on=day)
        log_work(session, BY, tag, "cleaned", "outside", on="2019-06-01")
        teardown.fit(session, BY, tag, "inner wing", car=CAR, on="2020-02-01")
        log_work(session, BY, tag, "new hose", "outside", on="2022-01-01")

    with record.read() as session:
        found = car_history(session, CAR)

    told = [(entry.on, entry.sort, entry.tag, entry.mileage) for entry in found.entries if entry.sort != "counter"]
    assert told == [
        ("2020-02-01", "fitted", tag, "84210 km on 2020-01-01"),
        ("2022-01-01", "done", tag, "84900 km"),
    ]
    assert found.gaps == ("the counter fell from 84900 on 2022-01-01 to 1200 on 2023-01-01",)
