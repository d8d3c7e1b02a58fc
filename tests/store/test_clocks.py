"""Whose time is it? What was looked at last counts at every door, whatever the clocks of those who wrote it said.

The clock is set through `store.days.clock`, as `tests/store/test_moments.py` does; on PostgreSQL it stands for the
server's. Each case is two looks at one part, each by the clock of another machine.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.card import card_of
from inventory.cli import main
from inventory.condition_list.actions import condition_list
from inventory.condition_list.load_since import lists_overtaken
from inventory.condition_list.queries import CONDITION_LIST
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.views import facts_of
from inventory.given_out.actions import given, written
from inventory.pairing.load import load_candidates_as_of
from inventory.parts import actions as parts
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.places import actions as places
from inventory.record import actions as clocks
from inventory.seals import actions as seals
from inventory.seals.tables import SealSighting
from inventory.store.begin import RECORD_THING
from inventory.store.days import clock
from inventory.store.facts import NOW
from inventory.store.record import Record
from inventory.store.tables import JournalEntry, RecordInfo
from inventory.verification import verify
from tests.build import BY, make_part

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)
#: Minutes between the right clock and that of the first and the second who look, and the zones of their machines.
SKEWS = {
    "the first is ten minutes fast": (10, 0, "", ""),
    "the second is ten minutes slow": (0, -10, "", ""),
    "over midnight": (725, 1, "", ""),
    "zones at the ends of the earth": (0, 1, "Pacific/Kiritimati", "Etc/GMT+12"),
    "a zone taken for another": (14 * 60, -9 * 60, "", ""),
    "nearly a day behind": (0, -1439, "", ""),
    "one microsecond apart": (0, 1e-6 / 60, "", ""),
    "both at once": (0, 0, "", ""),
}
Clock = Callable[[datetime], None]


@pytest.fixture
def at(record: Record, monkeypatch: pytest.MonkeyPatch) -> Iterator[Clock]:
    """Set the clock of whoever writes next; the record's days are those of UTC."""
    with record.engine.begin() as plain:
        plain.execute(sa.update(RecordInfo).values(zone="Etc/UTC"))
    yield lambda moment: monkeypatch.setattr(clock, "now", lambda: moment)
    monkeypatch.undo()
    time.tzset()


def _look(record: Record, tag: str, state: str, condition: int) -> None:
    with record.write() as session:
        seals.note_seal(session, BY, tag, "cap", state)
        parts.assess(session, BY, tag, condition)
        places.put(session, BY, tag, f"shelf {condition}")


def _doors(record: Record, target: str, tag: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """What each door says of the seal, and where it says more, of the condition and the place."""
    with record.read() as session:
        part = part_row(session, tag)
        card = card_of(session, tag)
        (item,) = (each for each in condition_list(session).items if each.tag == tag)
        (candidate,) = load_candidates_as_of(session, [part.id], NOW)
        sightings = facts_of(session, part.id, [SealSighting])
        found = {
            "row": (part.seal_state, part.condition),
            "card": (card.line.seal_state, card.line.condition, card.line.place),
            "list": (item.seals_now[0].state, str(item.condition.category) if item.condition else None),
            "pairs": [noted.state for noted in candidate.seals_noted],
            "facts": sightings[-1].values["state"],
        }
    capsys.readouterr()
    assert main(["--record", target, "part", "show", tag, "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    return found | {"json": (shown["seal_state"], shown["condition"], shown["place"])}


RIGHT = {
    "row": ("disturbed", "3"),  # a seal renewed without a paper shows nothing of what was before
    "card": ("disturbed", "3", "shelf 3"),
    "list": ("renewed", "3"),
    "pairs": ["renewed"],
    "facts": "renewed",
    "json": ("disturbed", "3", "shelf 3"),
}


def test_the_last_look_counts_at_every_door(
    record: Record, target: str, at: Clock, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    at(NOON - timedelta(days=1))
    for number in (1, 3):
        with record.write() as session:
            places.add_place(session, BY, f"shelf {number}")
    for number, (name, (first, second, *zones)) in enumerate(SKEWS.items()):
        day = NOON + timedelta(days=4 * number)
        at(day - timedelta(minutes=5))
        tag = make_part(record)
        for minutes, zone, state, condition in zip((first, second), zones, ("missing", "renewed"), (1, 3), strict=True):
            if zone:
                monkeypatch.setenv("TZ", zone)
                time.tzset()
            at(day + timedelta(minutes=minutes))
            _look(record, tag, state, condition)
        at(day + timedelta(days=2))
        assert _doors(record, target, tag, capsys) == RIGHT, name
    assert verify(record).ok


def test_two_machines_in_turn_write_in_the_order_in_which_they_write(record: Record, at: Clock) -> None:
    at(NOON)
    tag = make_part(record)
    for turn in range(6):
        at(NOON + timedelta(minutes=turn + (0 if turn % 2 else 10)))
        with record.write() as session:
            parts.assess(session, BY, tag, turn % 4)
    with record.read() as session:
        part = part_row(session, tag)
        seen = [fact.values["category"] for fact in facts_of(session, part.id) if fact.table == "assessment"]
        entries = sa.select(JournalEntry.at).where(JournalEntry.thing_id == part.id).order_by(JournalEntry.sequence)
        moments = list(session.scalars(entries))
    assert (seen, part.condition) == ([0, 1, 2, 3, 0, 1], "1")
    assert moments == sorted(set(moments))
    assert verify(record).remarks == (), "they are pushed ahead, so nothing falls along the log of this one part"


def test_one_entry_of_2031_does_not_infect_the_rest(record: Record, at: Clock) -> None:
    at(NOON)
    tag, other = make_part(record), make_part(record)
    at(NOON.replace(year=2031))
    with record.write() as session:
        wrong = parts.assess(session, BY, tag, 3)
    at(NOON + timedelta(minutes=1))
    with record.write() as session:
        moments = clocks.moments_between(session, None, None)
        stated = clocks.state_wrong(session, BY, moments, "flat battery", true_day="2026-03-31")
    assert stated.dated == (wrong,)
    for each in (tag, other):
        with record.write() as session:
            parts.assess(session, BY, each, 1)
    with record.write() as session:
        change.correct(session, BY, wrong, {"on": "2026-03-31"}, stated.id)

    with record.read() as session:
        assert [part_row(session, each).condition for each in (tag, other)] == ["1", "1"]
        newest = session.scalars(sa.select(JournalEntry.at).order_by(JournalEntry.at.desc())).all()
        items = condition_list(session).items
    assert [item.condition.category for item in items if item.condition] == [1, 1]
    assert [moment[:4] for moment in newest[:2]] == ["2031", "2026"], "it alone stands there"
    assert verify(record).remarks == ()


def test_a_clock_set_back_to_2019_is_refused_and_told_the_way_out(record: Record, at: Clock) -> None:
    at(NOON)
    tag = make_part(record)
    before = verify(record).anchor
    at(NOON.replace(year=2019))
    with pytest.raises(Refused) as refused, record.write() as session:
        parts.assess(session, BY, tag, 1)
    assert (refused.value.code, "matchmark clock wrong" in (refused.value.hint or "")) == ("clock-behind", True)
    assert verify(record).anchor == before


def test_what_a_slow_clock_writes_after_a_list_was_given_out_overtakes_it(record: Record, at: Clock) -> None:
    at(NOON)
    tag, other = make_part(record), make_part(record)
    at(NOON + timedelta(minutes=30))
    with record.write() as session:
        act = begin_act(session, "test", BY, RECORD_THING)
        written(session, act, RECORD_THING, CONDITION_LIST, 1, "ab" * 32, anchor=None)
    given(record, BY, CONDITION_LIST, 1, "Halmer")
    with record.read() as session:
        assert lists_overtaken(session) == []
    at(NOON + timedelta(minutes=20))
    with record.write() as session:
        parts.assess(session, BY, tag, 1)
    with record.read() as session:
        assert [each.parts for each in lists_overtaken(session)] == [1]
    with record.write() as session:
        parts.assess(session, BY, other, 1)
    with record.read() as session:
        assert [each.parts for each in lists_overtaken(session)] == [2]
