"""A removal corrected to another car takes strip-down and position along; what is withdrawn brings back what it replaced."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inventory.cars import actions as cars
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.how_known import FROM_POSITION
from inventory.facts.take_back import last_act, withdraw_act
from inventory.facts.views import facts_of
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff, LoggedPart
from inventory.teardown.queries import open_strip_downs, status
from inventory.verification import verify
from tests.build import BY

ONE, OTHER = "Green tourer", "Blue coupe"


def act(record: Record, does: Callable[..., Any], *values: object, **named: object) -> Any:
    with record.write() as session:
        return does(session, BY, *values, **named)


def off(record: Record, car: str) -> list[tuple[int, str | None]]:
    with record.read() as session:
        (now,) = [status(session, each) for each in open_strip_downs(session) if each.car == car]
    return [(each.sequence, each.position) for each in now.removed]


@pytest.fixture
def logged(record: Record) -> LoggedPart:
    act(record, cars.add_car, ONE)
    act(record, cars.add_car, OTHER)
    act(record, teardown.begin, ONE)
    coming = ComingOff(position="air horn", axis="across", how_known=FROM_POSITION)
    found: LoggedPart = act(record, teardown.log, Markings("relay"), coming, car=ONE)
    return found


def test_the_car_of_a_removal_takes_strip_down_number_and_position_along(record: Record, logged: LoggedPart) -> None:
    with pytest.raises(Refused) as refused:
        act(record, change.correct, logged.fact, {"car": OTHER}, "wrong car")
    assert refused.value.code == "no-strip-down"
    act(record, teardown.begin, OTHER)
    act(record, teardown.log, Markings("relay"), ComingOff(position="sump"), car=OTHER)
    with pytest.raises(Refused) as refused:
        act(record, change.correct, logged.fact, {"position": "sump"}, "wrong place")
    assert refused.value.code == "unknown-position"
    act(record, change.correct, logged.fact, {"car": OTHER}, "wrong car")
    assert (off(record, ONE), off(record, OTHER)) == ([], [(2, "air horn"), (1, "sump")])  # in the order of coming off
    assert verify(record).ok


def test_what_is_withdrawn_brings_back_what_it_replaced_and_gives_way_again(record: Record, logged: LoggedPart) -> None:
    def axes() -> list[tuple[str, str]]:
        with record.read() as session:
            facts = facts_of(session, logged.part_id)
        return [(fact.values["axis"], fact.how_known) for fact in facts if fact.table == "removal"]

    first = act(record, change.correct, logged.fact, {"axis": "along"}, "looked again", how_known="seen")
    second = act(record, change.correct, first, {"axis": "upright"}, "no")
    assert axes() == [("upright", "seen")]
    withdrawn = act(record, change.withdraw, second, "it was right")
    assert axes() == [("along", "seen")]
    with record.read() as session:
        (again,) = change.brought_back(session, withdrawn)
    act(record, change.withdraw, withdrawn, "it was not")
    assert axes() == [("upright", "seen")]
    with record.read() as session:
        assert change.fact_row(session, again).superseded_by
        last = last_act(session, BY, record.acts)
    assert last is not None
    act(record, withdraw_act, last.key, "once more")
    assert axes() == [("along", "seen")]
    assert verify(record).ok


def test_a_correction_of_what_the_list_offered_is_no_look(record: Record, logged: LoggedPart) -> None:
    fact = act(record, change.correct, logged.fact, {"axis": "along"}, "wrong")
    with record.read() as session:
        assert change.fact_row(session, fact).how_known == "stated"
