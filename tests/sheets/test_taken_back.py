"""A sheet that was read in is one act: taken back it leaves the record saying what it said before, and it can return."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from inventory.errors import Refused
from inventory.facts import change, take_back
from inventory.facts.views import facts_of
from inventory.parts import actions as parts
from inventory.parts.queries import part_row
from inventory.people.queries import contacts
from inventory.provenance.actions import note_provenance
from inventory.store.begin import RECORD_THING
from inventory.verification import verify
from tests.counted import counted
from tests.seven import seven_facts
from tests.sheets.conftest import BY, Desk

FIRST = [
    ["kind", "serial", "place", "value", "value currency", "price", "price currency", "notes"],
    ["relay", "9001", "Shelf A", "100", "EUR", "10", "EUR", "first"],
]
SECOND = [
    FIRST[0],
    ["relay", "9001", "Shelf B", "120", "EUR", "12", "EUR", "first; second"],
    ["relay", "9002", "Shelf C", "50", "EUR", "5", "EUR", ""],
]


def told(desk: Desk) -> dict[str, Any]:
    """What the record says of each part, without ids and times of writing."""
    gone = {"id", "recorded", "reason", "superseded_by", "tag"}

    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items() if key not in gone}
        return [plain(each) for each in value] if isinstance(value, list) else value

    return {tag: plain(desk.card(tag).as_dict()) for tag in desk.tags()}


def take_all_back(desk: Desk) -> None:
    with desk.record.write() as session:
        past = take_back.last_act(session, BY, desk.record.acts)
        assert past is not None
        take_back.withdraw_act(session, BY, past.key, "wrong sheet")


def test_a_read_is_taken_back_and_returns(desk: Desk) -> None:
    desk.read(desk.csv(FIRST))
    before = told(desk)
    desk.read(desk.csv([["Teil", *SECOND[0][1:]], *SECOND[1:]]), mapping={"Teil": "kind"}, keep_answers=True)
    after = told(desk)
    assert len(after) == 2

    take_all_back(desk)
    assert told(desk) == before
    with desk.record.read() as session:
        assert {fact.table for fact in facts_of(session, RECORD_THING)} == {"withdrawal", "sheet_reading"}

    take_all_back(desk)
    assert told(desk) == after
    assert verify(desk.record).problems == ()
    with desk.record.read() as session:
        standing = {fact.table for fact in facts_of(session, RECORD_THING)}
        assert standing == {"sheet_mapping", "sheet_reading", "withdrawal"}
        assert part_row(session, desk.tags()[0]).kind == "relay"


def test_asking_and_taking_back_send_as_many_statements_for_twenty_rows_as_for_hundreds(desk: Desk) -> None:
    """And bringing back too. Before each a small sheet was read, so that what statements depend on is there."""
    desk.read(seven_facts(desk.folder / "first.csv", 300, first=5000))
    sent: list[list[int]] = []
    for first, rows in ((0, 20), (1000, 400)):
        desk.read(seven_facts(desk.folder / f"{rows}.csv", rows, first=first))
        counts = []
        for _ in ("taken back", "brought back", "taken back again"):
            with counted(desk.record) as asked, desk.record.read() as session:
                past = take_back.last_act(session, BY, desk.record.acts)
            assert past is not None
            with counted(desk.record) as done, desk.record.write() as session:
                take_back.withdraw_act(session, BY, past.key, "wrong sheet")
            counts += [len(asked), len(done)]
        sent.append(counts)

    assert sent[0] == sent[1]
    assert max(sent[0]) < 120
    assert verify(desk.record).problems == ()


def test_a_large_read_is_counted_by_kind_and_its_first_facts_are_shown(desk: Desk) -> None:
    desk.read(seven_facts(desk.folder / "many.csv", 60))

    with desk.record.read() as session:
        past = take_back.last_act(session, BY, desk.record.acts)

    assert past is not None
    kinds = ("marking", "seal_sighting", "assessment", "move", "provenance", "valuation", "note")
    assert {past.counts[kind] for kind in kinds} == {60}
    assert past.things >= 60
    assert 0 < len(past.facts) < 20


def test_places_and_people_that_a_read_made_stay_and_the_rest_goes(desk: Desk) -> None:
    desk.read(desk.csv([[*FIRST[0], "acquired from"], [*FIRST[1], "Marta Lindqvist"]]))
    take_all_back(desk)

    with desk.record.read() as session:
        assert "Marta Lindqvist" in [person.name for person in contacts(session)]
        (tag,) = [tag for (tag,) in session.execute(text("SELECT tag FROM part"))]
        assert [fact.table for fact in facts_of(session, part_row(session, tag).id)] == ["withdrawal"] * 5
    assert verify(desk.record).problems == ()


def test_what_was_superseded_since_is_left_and_nothing_is_left_the_second_time(desk: Desk) -> None:
    desk.read(desk.csv(FIRST))
    key = desk.record.acts[-1]
    (tag,) = desk.tags()
    with desk.record.write() as session:
        change.correct(session, BY, "note-1", {"text": "looked at again"}, "misread")
        parts.assess(session, BY, tag, 2)
        note_provenance(session, BY, tag, "bought", price="11", currency="EUR")
    with desk.record.write() as session:
        take_back.withdraw_act(session, BY, key, "wrong sheet")

    with desk.record.read() as session:
        standing = [fact.table for fact in facts_of(session, part_row(session, tag).id) if fact.table != "withdrawal"]
    assert sorted(standing) == ["assessment", "note", "provenance"]
    with pytest.raises(Refused) as refused, desk.record.write() as session:
        take_back.withdraw_act(session, BY, key, "once more")
    assert refused.value.code == "only-description"
    with pytest.raises(Refused) as refused, desk.record.write() as session:
        take_back.withdraw_act(session, BY, "0" * 16, "no such act")
    assert refused.value.code == "nothing-to-take-back"
    assert verify(desk.record).problems == ()
