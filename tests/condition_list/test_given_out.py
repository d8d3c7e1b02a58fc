"""Written is not given out: numbers, and to whom a list went, on either engine."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from inventory.condition_list.actions import give_out
from inventory.condition_list.queries import CONDITION_LIST
from inventory.errors import Refused
from inventory.given_out.actions import given
from inventory.given_out.load_anchor import anchor_now
from inventory.given_out.queries import written_papers
from inventory.given_out.tables import GivenOut
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.journal import entries as journal
from inventory.store.record import Record
from tests.condition_list.conftest import OnDay
from tests.condition_list.workshop import BY, Workshop


def test_a_list_is_written_first_and_given_to_several_later(workshop: Workshop, on_day: OnDay, tmp_path: Path) -> None:
    with workshop.record.read() as session:
        then = anchor_now(session)
    drawn = give_out(workshop.record, BY, tmp_path / "a.json")
    on_day("2026-04-03")
    given(workshop.record, BY, CONDITION_LIST, 1, "Halmer Insurance", "2026-04-02")
    given(workshop.record, BY, CONDITION_LIST, 1, "Ilvar Teske")

    with workshop.record.read() as session:
        (paper,) = written_papers(session, CONDITION_LIST)
    assert (paper.fingerprint, paper.written_on, paper.as_of) == (drawn.fingerprint, "2026-03-31", "2026-03-31")
    assert paper.anchor == then
    assert paper.given == (("Halmer Insurance", "2026-04-02"), ("Ilvar Teske", "2026-04-03"))
    for number, on, code in ((2, None, "no-such-paper"), (1, "2026-03-30", "given-before-written")):
        with pytest.raises(Refused) as refusal:
            given(workshop.record, BY, CONDITION_LIST, number, "Ilvar Teske", on)
        assert refusal.value.code == code


def test_two_who_write_at_once_get_two_numbers(workshop: Workshop, tmp_path: Path) -> None:
    files = [tmp_path / f"{name}.csv" for name in "abcd"]
    with ThreadPoolExecutor(4) as pool:
        numbers = [drawn.number for drawn in pool.map(lambda path: give_out(workshop.record, BY, path), files)]

    assert sorted(numbers) == [1, 2, 3, 4]


def test_a_list_of_an_older_version_keeps_its_number_and_can_be_given(record: Record) -> None:
    with record.write() as session:
        act = begin_act(session, "condition-list", BY, RECORD_THING)
        old = {"what": CONDITION_LIST, "number": 5, "fingerprint": "0" * 64}
        journal.write(session, act, [make_fact(GivenOut, act, RECORD_THING, when_on(None, act.today), **old)])
    with record.read() as session:
        assert [(paper.number, paper.given_to) for paper in written_papers(session, CONDITION_LIST)] == [
            (5, "not known")
        ]
    given(record, BY, CONDITION_LIST, 5, "Ilvar Teske")
    with record.read() as session:
        (paper,) = written_papers(session, CONDITION_LIST)
    assert (paper.form, [name for name, _ in paper.given]) == (1, ["Ilvar Teske"])
