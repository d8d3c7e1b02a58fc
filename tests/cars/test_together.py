"""Two people at one car, on PostgreSQL: what one takes away is not written about by another who had seen it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy.orm import Session

from inventory.cars import actions as cars
from inventory.cars import write_names as names
from inventory.errors import Refused
from inventory.opening import open_record
from inventory.parts.markings import Markings
from inventory.refit import write_jobs
from inventory.store.journal import entries as journal
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from tests.build import BY

CAR, PLACE = "Green tourer", "bulkhead"


def _remove(session: Session) -> None:
    names.remove_position(session, "Ulla", CAR, PLACE, "typo")


def _log(session: Session) -> None:
    teardown.log(session, BY, Markings(kind="relay"), ComingOff(position=PLACE))


def _list(session: Session) -> None:
    cars.list_position(session, BY, CAR, PLACE, cars.Listing(kind="relay"))


def _job(session: Session) -> None:
    write_jobs.add_job(session, BY, CAR, "paint", before=PLACE)


def _stays(session: Session) -> None:
    teardown.stays_on(session, BY, CAR, PLACE, "rusted")


@pytest.fixture
def record(postgres_target: str) -> Record:
    """A car that is being taken apart, with one position."""
    opened = open_record(postgres_target)
    with opened.write() as session:
        cars.add_car(session, BY, CAR)
        cars.list_position(session, BY, CAR, PLACE, cars.Listing(kind="relay"))
        teardown.begin(session, BY, CAR)
    return opened


@pytest.mark.parametrize(
    ("first", "second", "code"),
    [
        (_remove, _log, "position-taken-away"),
        (_remove, _list, "position-taken-away"),
        (_remove, _job, "position-taken-away"),
        (_remove, _stays, "position-taken-away"),
        (_log, _remove, "position-in-use"),
        (_job, _remove, "position-in-use"),
    ],
)
def test_position_is_not_taken_away_while_somebody_writes_about_it(
    record: Record,
    first: Callable[[Session], None],
    second: Callable[[Session], None],
    code: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    waits, lock = threading.Event(), journal.lock_things

    def lock_and_tell(session: Session, keys: list[int]) -> None:
        waits.set()
        lock(session, keys)

    def write_second() -> None:
        with record.write() as session:
            second(session)

    with ThreadPoolExecutor(1) as pool:
        with record.write() as session:
            first(session)
            monkeypatch.setattr(journal, "lock_things", lock_and_tell)
            other = pool.submit(write_second)
            assert waits.wait(20), "the second has seen the position, and waits for the first"
        with pytest.raises(Refused) as refused:
            other.result(20)

    assert refused.value.code == code
