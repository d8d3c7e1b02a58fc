"""A sheet that was read in is one act: taken back it leaves the record saying what it said before, and it can return."""

from __future__ import annotations

from typing import Any

from inventory.parts import corrections
from inventory.parts.history import facts_of
from inventory.parts.queries import part_row
from inventory.store.begin import RECORD_THING
from inventory.verification import verify
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


def take_back(desk: Desk) -> None:
    with desk.record.write() as session:
        past = corrections.last_act(session, BY, "")
        assert past is not None
        corrections.withdraw_act(session, BY, past.key, "wrong sheet")


def test_a_read_is_taken_back_and_returns(desk: Desk) -> None:
    desk.read(desk.csv(FIRST))
    before = told(desk)
    desk.read(desk.csv([["Teil", *SECOND[0][1:]], *SECOND[1:]]), said={"Teil": "kind"}, keep=True)
    after = told(desk)
    assert len(after) == 2

    take_back(desk)
    assert told(desk) == before
    with desk.record.read() as session:
        assert [fact.table for fact in facts_of(session, RECORD_THING)] == ["withdrawal"]

    take_back(desk)
    assert told(desk) == after
    assert verify(desk.record).problems == ()
    with desk.record.read() as session:
        assert [fact.table for fact in facts_of(session, RECORD_THING)] == ["sheet_mapping"]
        assert part_row(session, desk.tags()[0]).kind == "relay"
