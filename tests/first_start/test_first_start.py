"""The checks of a first start: in order, answered in words or by a run, until all are done; on both engines."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.facts import change
from inventory.first_start.actions import Checked, answer_checks
from inventory.first_start.checklist import FirstStart
from inventory.first_start.queries import first_start, first_starts_waiting
from inventory.parts.markings import Markings
from inventory.reference.data import PROGRAM
from inventory.reference.first_start import start_checks
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from tests.build import BY, CAR, make_car


def do(record: Record, what: Any, *given: Any, **more: Any) -> Any:
    with record.write() as session:
        return what(session, BY, *given, **more)


def now(record: Record) -> FirstStart:
    with record.read() as session:
        found = first_start(session, car_named(session, CAR).id)
    assert found is not None
    return found


def waiting(record: Record) -> list[str]:
    with record.read() as session:
        return [each.car for each in first_starts_waiting(session)]


@pytest.fixture
def apart(record: Record) -> str:
    """A car with a relay off; gives its tag."""
    make_car(record)
    do(record, teardown.begin, CAR, on="2026-02-01")
    return str(do(record, teardown.log, Markings(kind="relay"), ComingOff(position="wing"), on="2026-02-02").tag)


def test_it_waits_once_everything_is_on_until_every_check_is_done(record: Record, apart: str) -> None:
    assert (now(record).off, waiting(record)) == (("wing",), [])
    do(record, change.correct, "strip_down-1", {"care": "on stands"}, "forgotten")
    assert now(record).off == ("wing",)
    do(record, teardown.fit, apart, "wing", on="2026-03-01")
    assert (now(record).off, waiting(record)) == ((), [CAR])
    for check in start_checks():
        assert now(record).next.name == check.name  # type: ignore[union-attr]
        if check.run:
            assert check.run in PROGRAM.measured_kind("car").procedures
        do(record, answer_checks, CAR, [Checked(check.name, "", "good")])
    assert (now(record).next, waiting(record)) == (None, [])
    do(record, teardown.log, Markings(), ComingOff(position="wing"), tag=apart)
    do(record, teardown.close, CAR)
    assert now(record).next is None, "the same strip-down"
    do(record, teardown.begin, CAR)
    do(record, teardown.log, Markings(kind="relay"), ComingOff(position="scuttle"))
    assert now(record).next.name == start_checks()[0].name, "a new one"  # type: ignore[union-attr]


def test_what_is_not_good_stays_next_until_it_is_good(record: Record, apart: str) -> None:
    do(record, answer_checks, CAR, [Checked("extinguisher", "", "good"), Checked("leaks", "drops", "not good")])
    leaks = now(record).next
    assert leaks is not None
    assert (leaks.name, leaks.state, leaks.found) == ("leaks", "not good", "drops")
    assert now(record).before("earths") == ("leaks", "ignition")
    do(record, answer_checks, CAR, [Checked("leaks", "dry", "good")])
    assert now(record).next.name == "ignition"  # type: ignore[union-attr]
    do(record, change.withdraw, now(record).steps[1].fact, "another car")
    assert now(record).next.name == "leaks"  # type: ignore[union-attr]
    with pytest.raises(Refused, match="Say what is not good"):
        do(record, answer_checks, CAR, [Checked("leaks", " ", "not good")])
    with pytest.raises(Refused) as refused:
        do(record, answer_checks, CAR, [Checked("leeks", "", "good")])
    assert "leaks" in str(refused.value.hint)


def test_a_run_on_the_car_since_it_was_apart_answers_a_measured_check(record: Record, apart: str) -> None:
    do(record, bench.run, CAR, "manifold vacuum", ["idle=45kPa"], {}, on="2026-01-01")
    assert {step.name: step.state for step in now(record).steps}["vacuum"] == "open"
    do(record, bench.run, CAR, "manifold vacuum", ["idle=45kPa"], {}, on="2026-03-01")
    vacuum = next(step for step in now(record).steps if step.name == "vacuum")
    assert (vacuum.state, vacuum.fact, vacuum.done) == ("measured", "bench_run-2", True)
