"""Several people at one record: on two things nobody waits, on one thing both facts land, no number is lost."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, select
from sqlalchemy.orm import Session

from inventory.cars import actions as cars
from inventory.contradictions.queries import contradictions_of
from inventory.errors import Refused
from inventory.facts import change, take_back
from inventory.opening import open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import lines_of, part_row
from inventory.parts.tables import Note, Part
from inventory.places import actions as places
from inventory.store.record import Record
from inventory.store.tables import JournalEntry
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.verification import verify
from tests.build import CAR, make_car, make_part

_PATIENCE = 20.0


class Hand:
    """Somebody who has written and not yet committed, until told to go on."""

    def __init__(self, record: Record, act: Callable[[Session], object]) -> None:
        self._record, self._act = record, act
        self._written, self._go_on = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._work)
        self._problem: BaseException | None = None

    def __enter__(self) -> Hand:
        self._thread.start()
        assert self._written.wait(_PATIENCE)
        return self

    def __exit__(self, *_: object) -> None:
        self.commit()

    def commit(self) -> None:
        """Let the act be committed."""
        self._go_on.set()
        self._thread.join(_PATIENCE)
        if self._problem is not None:
            raise self._problem

    def _work(self) -> None:
        try:
            with self._record.write() as session:
                self._act(session)
                self._written.set()
                assert self._go_on.wait(_PATIENCE)
        except BaseException as problem:
            self._problem = problem
            self._written.set()


@pytest.fixture
def crew(postgres_target: str) -> Any:
    """A record on a server, as several people have it open."""
    record = open_record(postgres_target)
    make_car(record)
    yield record
    record.close()


def _do(record: Record, act: Callable[[Session], Any]) -> Any:
    with record.write() as session:
        return act(session)


def _waits(record: Record, meanwhile: Future[Any]) -> bool:
    """Whether the act in `meanwhile` has come to wait for a lock of somebody else's."""
    from sqlalchemy import text

    waiting = text(
        "SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock' AND datname = current_database()"
    )
    for _ in range(200):
        with record.read() as session:
            if session.scalar(waiting):
                return True
        if meanwhile.done():
            return False
        threading.Event().wait(0.02)
    return False


def test_two_people_on_two_things_do_not_wait_for_each_other(crew: Record) -> None:
    one, two = make_part(crew), make_part(crew)
    with Hand(crew, lambda s: parts.note(s, "Ines", one, "first")), ThreadPoolExecutor(1) as other:
        meanwhile = other.submit(_do, crew, lambda s: parts.note(s, "Ines", two, "second"))
        assert meanwhile.result(_PATIENCE)
        with crew.read() as session:
            assert list(session.scalars(select(Note.text))) == ["second"]
    assert verify(crew).ok


def test_two_people_on_one_thing_both_land_with_no_number_lost(crew: Record) -> None:
    tag = make_part(crew)
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: parts.note(s, "Ines", tag, "first")):
            meanwhile = other.submit(_do, crew, lambda s: parts.note(s, "Ines", tag, "second"))
            assert _waits(crew, meanwhile)
        assert meanwhile.result(_PATIENCE)
    with crew.read() as session:
        assert set(session.scalars(select(Note.text))) == {"first", "second"}
    assert _numbers(crew, tag) == [1, 2, 3]
    assert verify(crew).ok


def _numbers(record: Record, tag: str) -> list[int]:
    with record.read() as session:
        key = part_row(session, tag).id
        query = select(JournalEntry.sequence).where(JournalEntry.thing_id == key).order_by(JournalEntry.sequence)
        return list(session.scalars(query))


def test_whoever_waited_works_on_what_the_other_left(crew: Record) -> None:
    """Moved to C1 while somebody who saw it in B2 puts it back to B2: it is in B2."""
    for name in ("B2", "C1"):
        _do(crew, lambda s, name=name: places.add_place(s, "Ines", name))
    tag = make_part(crew, place="B2")
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: places.put(s, "Ines", tag, "C1")):
            meanwhile = other.submit(_do, crew, lambda s: places.put(s, "Ines", tag, "B2"))
            assert _waits(crew, meanwhile)
        meanwhile.result(_PATIENCE)
    with crew.read() as session:
        (line,) = lines_of(session, Part.tag == tag)
    assert line.place == "B2"
    assert verify(crew).problems == ()


@pytest.mark.parametrize("how", ["withdraw", "correct", "take back"])
def test_a_fact_that_two_correct_at_once_is_corrected_by_the_first(crew: Record, how: str) -> None:
    tag = make_part(crew)
    fact = _do(crew, lambda s: parts.note(s, "Ines", tag, "clicks"))
    with crew.read() as session:
        act_key = session.scalars(select(JournalEntry.act_key).where(JournalEntry.act == "part note")).one()
    acts: dict[str, Callable[[Session], object]] = {
        "withdraw": lambda s: change.withdraw(s, "Ines", fact, "wrong part"),
        "correct": lambda s: change.correct(s, "Ines", fact, {"text": "hums"}, "misheard"),
        "take back": lambda s: take_back.withdraw_act(s, "Ines", act_key, "wrong part"),
    }
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: change.correct(s, "Ines", fact, {"text": "rattles"}, "misheard")):
            meanwhile = other.submit(_do, crew, acts[how])
            assert _waits(crew, meanwhile)
        with pytest.raises(Refused) as refused:
            meanwhile.result(_PATIENCE)
    assert refused.value.code in ("fact-superseded", "nothing-to-take-back")
    with crew.read() as session:
        note = session.scalars(select(Note).where(Note.superseded_by.is_(None))).one()
        assert note.text == "rattles"
    assert verify(crew).problems == ()


def test_a_crew_strips_one_car_and_each_hand_counts_its_own_parts(crew: Record) -> None:
    _do(crew, lambda s: teardown.begin(s, "Ines", CAR))
    _do(crew, lambda s: parts.note(s, "Otto", make_part(crew), "a hand that is known"))

    def log(number: int) -> int:
        coming = ComingOff(position=f"place {number}")
        return int(
            _do(crew, lambda s: teardown.log(s, ("Ines", "Otto")[number % 2], Markings(kind="relay"), coming)).sequence
        )

    with ThreadPoolExecutor(4) as everybody:
        sequence = list(everybody.map(log, range(24)))
    assert sorted(sequence) == sorted([*range(1, 13)] * 2), "each hand has a run of numbers"
    assert verify(crew).problems == ()


def test_a_part_that_two_take_off_at_once_comes_off_once(crew: Record) -> None:
    tag = make_part(crew)
    _do(crew, lambda s: teardown.fit(s, "Ines", tag, "wing", car=CAR))
    _do(crew, lambda s: teardown.begin(s, "Ines", CAR))
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: teardown.log(s, "Ines", Markings(), ComingOff(position="wing"), tag=tag)):
            meanwhile = other.submit(
                _do, crew, lambda s: teardown.log(s, "Ines", Markings(), ComingOff(position="wing"), tag=tag)
            )
            assert _waits(crew, meanwhile)
        with pytest.raises(Refused) as refused:
            meanwhile.result(_PATIENCE)
    assert refused.value.code == "not-on-this-car"
    assert verify(crew).problems == ()


def test_a_position_that_two_fill_at_once_does_not_fit(crew: Record) -> None:
    one, two = make_part(crew), make_part(crew)
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: teardown.fit(s, "Ines", one, "inner wing", car=CAR)):
            meanwhile = other.submit(_do, crew, lambda s: teardown.fit(s, "Ines", two, "inner wing", car=CAR))
            assert _waits(crew, meanwhile)
        meanwhile.result(_PATIENCE)
    with crew.read() as session:
        assert [found.contradiction.about for found in contradictions_of(session, remarks=False)] == [
            "position inner wing"
        ]
    assert verify(crew).problems == ()


def test_a_name_that_two_give_at_once_is_given_once(crew: Record) -> None:
    with ThreadPoolExecutor(1) as other:
        with Hand(crew, lambda s: cars.add_car(s, "Ines", "Blue coupe")):
            meanwhile = other.submit(_do, crew, lambda s: cars.add_car(s, "Ines", "Blue coupe"))
            assert _waits(crew, meanwhile)
        with pytest.raises(Refused) as refused:
            meanwhile.result(_PATIENCE)
    assert refused.value.code == "already-there"
    assert verify(crew).problems == ()


def _write_notes(target: str, tag: str, count: int) -> None:
    """Somebody at another machine, or in another window."""
    record = open_record(target)
    for number in range(count):
        _do(record, lambda s, number=number: parts.note(s, "Ines", tag, f"note {number}"))
    record.close()


def test_two_programs_on_one_file_take_turns(sqlite_target: str) -> None:
    record = open_record(sqlite_target)
    tags = [make_part(record), make_part(record)]
    together = multiprocessing.get_context("forkserver")
    others = [together.Process(target=_write_notes, args=(sqlite_target, tag, 15)) for tag in [*tags, tags[0]]]
    for other in others:
        other.start()
    for other in others:
        other.join(60)
    assert [other.exitcode for other in others] == [0, 0, 0]
    assert _numbers(record, tags[0]) == list(range(1, 32))
    assert _numbers(record, tags[1]) == list(range(1, 17))
    assert verify(record).problems == ()
    record.close()


def test_a_file_that_somebody_else_holds_too_long_says_so(sqlite_target: str, tmp_path: Path) -> None:
    record = open_record(sqlite_target)
    tag = make_part(record)

    @event.listens_for(record.engine, "connect")
    def _hasty(connection: Any, _: object) -> None:
        connection.execute("PRAGMA busy_timeout = 50")

    with Hand(record, lambda s: parts.note(s, "Ines", tag, "first")), pytest.raises(Refused) as refused:
        _do(record, lambda s: parts.note(s, "Ines", tag, "second"))
    assert refused.value.code == "record-busy"
    with record.read() as session:
        assert list(session.scalars(select(Note.text))) == ["first"]
    record.close()
