"""Correcting and reinstating: the fact takes the place of the one it stands for, and no newer one's."""

from __future__ import annotations

from inventory.cars.actions import add_car
from inventory.facts import change, take_back
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.seals.actions import note_seal
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.verification import verify

BY = "Ines"


def test_correcting_an_older_fact_does_not_make_it_the_latest_of_its_day(record: Record) -> None:
    with record.write() as session:
        add_car(session, BY, "Green tourer")
        teardown.begin(session, BY, "Green tourer")
        off = teardown.log(session, BY, Markings(kind="relay"), teardown.ComingOff(position="wing", bag="2"))
    with record.write() as session:
        teardown.fit(session, BY, off.tag, "wing")
    with record.write() as session:
        change.correct(session, BY, off.fact, {"bag": "3"}, "misread")

    with record.read() as session:
        assert part_row(session, off.tag).fitted == "yes"
    assert verify(record).problems == ()


def test_taking_a_withdrawal_back_leaves_a_later_sighting_the_latest(record: Record) -> None:
    with record.write() as session:
        tag = add_part(session, BY, Markings(kind="pressure sensor"))
        older = note_seal(session, BY, tag, "cap", "intact", on="2026~")
    with record.write() as session:
        note_seal(session, BY, tag, "cap", "missing")
    with record.write() as session:
        withdrawal = change.withdraw(session, BY, older, "wrong part")
    with record.write() as session:
        change.withdraw(session, BY, withdrawal, "it was the right one")

    with record.read() as session:
        assert part_row(session, tag).seal_state == "missing"
    assert verify(record).problems == ()


def test_a_label_of_which_everything_was_taken_back_is_free_again(record: Record) -> None:
    with record.write() as session:
        add_car(session, BY, "Green tourer")
        teardown.begin(session, BY, "Green tourer")
    with record.write() as session:
        wrong = teardown.log(session, BY, Markings(kind="relay", serial="1402"), teardown.ComingOff(position="wing"))
    with record.write() as session:
        past = take_back.last_act(session, BY, record.acts)
        assert past is not None
        take_back.withdraw_act(session, BY, past.key, "wrong label")
    with record.write() as session:
        right = teardown.log(session, BY, Markings(kind="injector"), teardown.ComingOff(position="rail"), tag=wrong.tag)

    with record.read() as session:
        part = part_row(session, wrong.tag)
        assert (part.kind, part.serial, right.sequence) == ("injector", None, 2)
    assert verify(record).problems == ()
