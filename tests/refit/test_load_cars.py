"""Which cars go back together, and several acts that are taken back as one, on both engines."""

from __future__ import annotations

from typing import Any

from inventory.facts import take_back
from inventory.labels import actions as labels
from inventory.labels.queries import stuck_on_car
from inventory.parts.markings import Markings
from inventory.parts.queries import lines, part_row
from inventory.people.actions import acts_together
from inventory.refit import actions as refit
from inventory.refit.load_cars import CarToRefit, car_meant, cars_to_refit
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.teardown.load_open_cars import going_together
from tests.build import BY, CAR, UNIT, make_car

RELAY = Markings(kind="relay")


def do(record: Record, what: Any, *given: Any) -> Any:
    with record.write() as session:
        return what(session, BY, *given)


def test_cars_that_go_back_together_and_acts_taken_back_as_one(record: Record) -> None:
    make_car(record)
    do(record, teardown.begin, CAR)
    unit, relay = (
        do(record, teardown.log, kind, ComingOff(position=at)).tag for kind, at in ((UNIT, "a"), (RELAY, "b"))
    )
    third = do(record, teardown.log, RELAY, ComingOff(position="c")).tag
    do(record, labels.stick, f"{unit} C1", "plug")
    with record.write() as session, acts_together(session):
        for tag, at in ((unit, "a"), (relay, "b")):
            refit.fit(session, BY, tag, at, override="for a trip")
    with record.read() as session:
        key = part_row(session, unit).id
        assert [(code.printed, on) for code, on in stuck_on_car(session, [key])[key]] == [(f"{unit} C1", "plug")]
        assert cars_to_refit(session) == (CarToRefit(CAR, 2, 3),)
        assert [car_meant(session, of) for of in (CAR, relay, "", "nothing")] == [CAR, CAR, "", ""]
    with record.readonly() as source:
        assert going_together(source) == []  # the strip-down is open
    do(record, teardown.close, CAR)
    with record.readonly() as source:
        assert going_together(source) == [(CAR, 1)]
    with record.write() as session:
        past = take_back.last_act(session, BY, record.acts[:-1])
        assert past is not None
        assert (past.what, past.counts) == ("refit fit", {"fitting": 2})
        take_back.withdraw_act(session, BY, past.key, "both")
    with record.read() as session:
        keys = [part_row(session, tag).id for tag in (unit, relay, third)]
        assert not any(line.fitted for line in lines(session, keys))
    with record.readonly() as source:
        assert going_together(source) == []
