"""A part that came in: its seals, a new place and how it came are one act with it."""

from __future__ import annotations

from inventory.card import card_of
from inventory.facts.take_back import last_act, withdraw_act
from inventory.parts.markings import Markings
from inventory.places.queries import places
from inventory.provenance.actions import receive
from inventory.store.record import Record
from tests.build import BY


def test_what_came_in_is_one_act(record: Record) -> None:
    with record.write() as session:
        sensor = Markings("pressure sensor", match_code="K", match_code_read_from="seller")
        seals = [("cap", "missing"), ("label", "intact")]
        tag = receive(session, BY, sensor, condition=1, seals=seals, place="shelf B", how="left here by a customer")
    with record.read() as session:
        line = card_of(session, tag).line
        assert (line.seal_state, line.place, line.whose) == ("missing", "shelf B", "customer's")
        assert (line.match_code, line.match_code_read_from, line.condition) == ("K", "seller", "1")
        past = last_act(session, BY, record.acts)
    assert past is not None
    with record.write() as session:
        withdraw_act(session, BY, past.key, "typed wrongly")
    with record.read() as session:
        assert card_of(session, tag).line.seal_state == "not seen"
        assert [place.name for place in places(session)] == ["shelf B"]
