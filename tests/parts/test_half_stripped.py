"""What the first screen counts of cars half taken apart is what the strip-down lists."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inventory.cars import actions as cars
from inventory.facts import change
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.teardown.load_open_cars import OpenCar, any_car, open_cars
from inventory.teardown.queries import open_strip_downs, status
from tests.build import BY, make_car

CAR, OTHER = "Green tourer", "Blue coupe"
RELAY = Markings("relay", "Tolvranne", "12-R4")


def act(record: Record, does: Callable[..., Any], *values: object, **named: object) -> Any:
    with record.write() as session:
        return does(session, BY, *values, **named)


def listed(record: Record) -> list[OpenCar]:
    """The same from what `status` lists."""
    with record.read() as session:
        every = [status(session, strip_down) for strip_down in open_strip_downs(session)]
    return [
        OpenCar(
            now.strip_down.car,
            now.strip_down.since,
            len(now.removed),
            len(now.still_on),
            now.removed[-1].on if now.removed else None,
        )
        for now in every
    ]


def counted(record: Record) -> list[OpenCar]:
    with record.readonly() as source:
        return open_cars(source)


def test_a_record_without_a_car(record: Record) -> None:
    with record.readonly() as source:
        assert not any_car(source)
    assert counted(record) == []


def test_counts_are_those_of_the_lists_at_every_step(record: Record) -> None:
    make_car(record, CAR)
    make_car(record, OTHER)
    for name in ("left wing", "air horn", "sump"):
        act(record, cars.list_position, CAR, name, cars.Listing(None, "relay"))
    with record.readonly() as source:
        assert any_car(source)
    assert counted(record) == []

    act(record, teardown.begin, CAR, on="2026-03-10")
    assert counted(record) == listed(record) == [OpenCar(CAR, "2026-03-10", 0, 4, None)]

    first = act(record, teardown.log, RELAY, ComingOff("left wing"), car=CAR, on="2026-03-11")
    assert counted(record) == listed(record) == [OpenCar(CAR, "2026-03-10", 1, 3, "2026-03-11")]

    act(record, teardown.log, RELAY, ComingOff("firewall"), car=CAR, on="2026-03-12")
    act(record, teardown.log, RELAY, ComingOff(), car=CAR, on="2026-03-09")
    assert counted(record) == listed(record) == [OpenCar(CAR, "2026-03-10", 3, 3, "2026-03-09")]

    stays = act(record, teardown.stays_on, CAR, "sump", "the stud turns")
    assert counted(record) == listed(record) == [OpenCar(CAR, "2026-03-10", 3, 2, "2026-03-09")]

    act(record, change.withdraw, stays, "it came loose")
    act(record, change.withdraw, first.fact, "another car")
    assert counted(record) == listed(record)
    assert counted(record)[0].still_on == 4

    act(record, teardown.begin, OTHER, on="2026-02")
    assert counted(record) == listed(record)
    assert [each.car for each in counted(record)] == [OTHER, CAR]

    act(record, teardown.close, CAR)
    assert counted(record) == listed(record) == [OpenCar(OTHER, "2026-02", 0, 1, None)]


@pytest.mark.parametrize("again_off", [False, True])
def test_a_position_that_another_part_was_fitted_to_is_still_on(record: Record, again_off: bool) -> None:
    make_car(record, CAR)
    act(record, teardown.begin, CAR, on="2026-03-10")
    logged = act(record, teardown.log, RELAY, ComingOff("inner wing"), car=CAR)
    act(record, teardown.close, CAR)
    act(record, teardown.fit, logged.tag, "inner wing", car=CAR, override="wanted there")
    act(record, teardown.begin, CAR)
    if again_off:
        act(record, teardown.log, Markings(), ComingOff("inner wing"), car=CAR, tag=logged.tag)

    assert counted(record) == listed(record)
    assert counted(record)[0].still_on == (0 if again_off else 1)
