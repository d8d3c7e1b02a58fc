"""Whether the parts of a car on record may go on, and fitting one that may not, on both engines."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.cars import actions as cars
from inventory.cars.queries import car_named
from inventory.contradictions import actions as contradictions
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.views import facts_of
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.provenance import actions as provenance
from inventory.refit import actions as refit
from inventory.refit import write_jobs
from inventory.refit.load_plan import plan_of, with_readiness
from inventory.refit.load_ready import readiness
from inventory.refit.readiness import PositionReady
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.teardown.write_second import BOTH, Second
from tests.build import BY, CAR, SENSOR, UNIT, make_car

PASSES = ["0s=50cmHg", "5s=50cmHg", "10s=50cmHg"]
FALLS = ["0s=50cmHg", "5s=35cmHg", "10s=25cmHg"]
TIGHT = {"resolution": "1cmHg", "blank": ["0s=50cmHg", "10s=50cmHg"]}


def do(record: Record, what: Any, *given: Any, **more: Any) -> Any:
    with record.write() as session:
        return what(session, BY, *given, **more)


def strip(record: Record, ran: str | None = "yes") -> str:
    """A car whose sensor came off, and its control unit; gives the sensor's tag."""
    make_car(record)
    do(record, teardown.begin, CAR, ran=ran, on="2026-02-01")
    coming = ComingOff(position="inner wing", axis="across", seals=[("cap", "intact")])
    do(record, teardown.log, UNIT, ComingOff(position="behind the seat"), on="2026-02-02")
    return str(do(record, teardown.log, SENSOR, coming, on="2026-02-02").tag)


def state(record: Record, name: str = "inner wing", car: str = CAR) -> PositionReady:
    with record.read() as session:
        return next(each for each in readiness(session, car_named(session, car).id) if each.position == name)


def rules(found: PositionReady) -> list[str]:
    return [each.rule for each in (*found.stops, *found.notes)]


def test_a_missing_hold_is_a_note_only_while_the_car_ran_on_it_untouched(record: Record) -> None:
    sensor = strip(record)
    assert (state(record).state, rules(state(record))) == ("note", ["hold-missing"])
    work = do(record, parts.log_work, sensor, "heated", "on the unit", on="2026-03-01")
    assert (state(record).state, rules(state(record))) == ("stop", ["hold-missing"])
    do(record, change.withdraw, work, "another one")
    do(record, bench.run, sensor, "hold", PASSES, TIGHT, on="2026-03-02")
    assert (state(record).state, rules(state(record))) == ("ready", [])
    do(record, change.add, "mishap", sensor, {"mishap": "dropped"}, on="2026-03-03")
    assert rules(state(record)) == ["hold-stale"]
    do(record, bench.run, sensor, "hold", FALLS, TIGHT, on="2026-03-04")
    assert rules(state(record)) == ["test-failed"]
    do(record, bench.run, sensor, "hold", PASSES, TIGHT, on="2026-03-06")
    assert rules(state(record)) == ["does-not-fit-and-would-stop"], "a pass after a fail, nothing mended between"
    do(record, contradictions.settle, sensor, "test hold", "the earlier look was wrong", why="the hose was off")
    assert rules(state(record)) == []


@pytest.mark.parametrize("ran", ["no", "not known", None])
def test_without_word_that_the_car_ran_a_missing_hold_stops(record: Record, ran: str | None) -> None:
    strip(record, ran)
    assert (state(record).state, rules(state(record))) == ("stop", ["hold-missing"])


def test_the_answer_whether_it_ran_may_be_given_later(record: Record) -> None:
    strip(record, None)
    do(record, change.correct, "strip_down-1", {"ran": "yes"}, "asked the keeper")
    assert (state(record).state, rules(state(record))) == ("note", ["hold-missing"])


def test_a_short_hold_on_a_rig_not_proved_stops(record: Record) -> None:
    sensor = strip(record)
    do(record, bench.run, sensor, "hold", FALLS, {"resolution": "1cmHg"}, on="2026-03-02")
    assert rules(state(record)) == ["hold-short"]


def test_a_sensor_of_another_car_is_stopped_by_what_is_a_note_on_its_own(record: Record) -> None:
    strip(record)
    do(record, cars.add_car, "Blue coupe")
    do(record, teardown.begin, "Blue coupe", ran="yes", on="2026-02-01")
    off = do(record, teardown.log, Markings(kind="pressure sensor"), ComingOff(position="wing"), car="Blue coupe").tag
    assert state(record, "wing", "Blue coupe").state == "note"
    with pytest.raises(Refused) as refused:
        do(record, refit.fit, off, "inner wing", car=CAR)
    assert refused.value.code == "not-ready"
    assert "no hold of our own" in refused.value.message
    assert "no letter was clearly read" in refused.value.message
    assert "HV 310 002" not in refused.value.message, "no number of its own is read, so none misfits"


def test_one_that_is_not_ready_goes_on_only_with_a_reason_that_stays_in_view(record: Record) -> None:
    sensor = strip(record)
    do(record, bench.run, sensor, "hold", FALLS, TIGHT, on="2026-03-02")
    with pytest.raises(Refused) as refused:
        do(record, refit.fit, sensor, "inner wing")
    assert refused.value.code == "not-ready"
    fitted = do(record, refit.fit, sensor, "inner wing", override="to move the car")
    assert [each.rule for each in fitted.ready.stops] == ["test-failed"]
    now = state(record)
    assert (now.state, [each.says for each in now.notes]) == ("on", ["fitted against advice: to move the car"])
    with record.read() as session:
        (told,) = [each for each in facts_of(session, part_row(session, sensor).id) if each.table == "fitting"]
    assert told.says.endswith("; against advice: to move the car")
    with pytest.raises(Refused) as again:
        do(record, refit.fit, sensor, "inner wing", override="once more")
    assert again.value.code == "already-on"


def test_the_listed_axis_and_number_count_and_a_superseded_number_is_one_with_the_new(record: Record) -> None:
    sensor = strip(record)
    do(record, bench.run, sensor, "hold", PASSES, TIGHT, on="2026-03-02")
    with pytest.raises(Refused, match="fore-and-aft") as told:
        do(record, refit.fit, sensor, "inner wing", axis="along")
    assert f'matchmark car position "{CAR}" "inner wing" --axis along' in (told.value.hint or "")
    do(record, cars.list_position, CAR, "inner wing", cars.Listing(1, "pressure sensor", part_number="HV 204 120"))
    assert rules(state(record)) == ["number-for-position"]
    do(record, parts.supersede, "HV 204 118", "HV 204 120")
    assert rules(state(record)) == []
    do(record, cars.list_position, CAR, "inner wing", cars.Listing(1, "pressure sensor", axis="along"))
    assert rules(state(record)) == []
    do(record, refit.fit, sensor, "inner wing", axis="along")


def test_a_car_shows_what_is_on_what_is_away_and_what_is_no_longer_here(record: Record) -> None:
    sensor = strip(record)
    for name in ("left wing", "right wing"):
        do(record, teardown.log, Markings(kind="relay"), ComingOff(position=name))
    lone = do(record, teardown.log, Markings(kind="relay"), ComingOff()).tag
    do(record, cars.list_position, CAR, "tank", cars.Listing(9, "fuel pump"))
    do(record, refit.fit, state(record, "right wing").tag, "right wing")
    do(record, provenance.note_provenance, state(record, "left wing").tag, "sold")
    do(record, provenance.note_provenance, sensor, "sent out")
    with record.read() as session:
        every = readiness(session, car_named(session, CAR).id)
    shown = {each.position: (each.state, each.tag) for each in every}
    assert shown["tank"] == ("on", None)
    assert shown["right wing"][0] == "on"
    assert shown["left wing"] == ("empty", None)
    assert shown["inner wing"] == ("stop", sensor)
    assert shown[""] == ("ready", lone)
    do(record, provenance.note_provenance, sensor, "came back")
    assert state(record).state == "note"


def test_two_parts_that_came_off_one_position_both_stand_there(record: Record) -> None:
    strip(record)
    for second in (None, Second(BOTH)):
        do(record, teardown.log, Markings(kind="relay"), ComingOff(position="wing"), second=second)
    with record.read() as session:
        every = readiness(session, car_named(session, CAR).id)
    both = [each for each in every if each.position == "wing"]
    assert len({each.tag for each in both}) == 2
    assert [each.state for each in both] == ["ready"] * 2, "somebody said that both sat there"


def test_a_part_that_is_to_go_elsewhere_on_its_car_is_judged_there(record: Record) -> None:
    sensor = strip(record)
    do(record, cars.list_position, CAR, "other wing", cars.Listing(kind="pressure sensor", part_number="HV 9"))
    do(record, write_jobs.assign, sensor, "other wing")
    with record.read() as session:
        plan = with_readiness(session, plan_of(session, car_named(session, CAR).id))
    (step,) = (each for each in plan.steps if each.tag == sensor)
    assert (step.position, step.ready) == ("other wing", False)
    assert any("HV 9" in says for says in step.stops)
    with pytest.raises(Refused, match="HV 9"):
        do(record, refit.fit, sensor, "other wing")


def test_a_part_of_another_car_that_is_to_go_on_is_judged_and_fitted_there(record: Record) -> None:
    relay = Markings(kind="relay", part_number="TR 12 003")
    for car in (CAR, "Grey van"):
        make_car(record, car)
        do(record, teardown.begin, car, on="2026-02-01")
    old = do(record, teardown.log, relay, ComingOff(position="relay board"), car=CAR, on="2026-02-02").tag
    other = do(record, teardown.log, relay, ComingOff(position="board"), car="Grey van", on="2026-02-02").tag
    do(record, provenance.note_provenance, old, "sold")
    assert state(record, "relay board").state == "empty"
    do(record, write_jobs.assign, other, "relay board", car=CAR)
    assert (state(record, "relay board").tag, state(record, "relay board").state) == (other, "ready")
    assert state(record, "board", "Grey van").tag is None
    do(record, refit.fit, other, "relay board")
    assert (state(record, "relay board").tag, state(record, "relay board").state) == (other, "on")
