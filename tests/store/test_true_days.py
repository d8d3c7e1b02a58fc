"""What was known on a day goes by the days on which it was really written, where that is stated of a wrong clock."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
import sqlalchemy as sa

from inventory.condition_list.actions import condition_list
from inventory.facts import change
from inventory.facts.views import facts_of, facts_of_many
from inventory.parts import actions as parts
from inventory.parts.queries import entered_on, part_row
from inventory.parts.tables import Note
from inventory.record import actions as clocks
from inventory.seals import actions as seals
from inventory.store.days import clock
from inventory.store.facts import AsOf, as_of
from inventory.store.record import Record
from inventory.store.tables import RecordInfo, WrongClock
from inventory.verification import verify
from tests.build import BY, make_part
from tests.counted import counted

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)
#: What the wrong clock says at noon of that day.
WRONG = NOON.replace(year=2031)
DAYS = tuple(NOON.date() + timedelta(days=number) for number in range(6))
Clock = Callable[[datetime], None]


@pytest.fixture
def at(record: Record, monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Set the clock; the record's days are those of UTC."""
    with record.engine.begin() as plain:
        plain.execute(sa.update(RecordInfo).values(zone="Etc/UTC"))
    return lambda moment: monkeypatch.setattr(clock, "now", lambda: moment)


def _note(record: Record, tag: str, text: str) -> str:
    with record.write() as session:
        return parts.note(session, BY, tag, text)


def _known(record: Record, tag: str, day: date) -> tuple[list[str], list[str]]:
    """The notes known on a day, as the statement of the ORM and the SQL text have them."""
    with record.read() as session:
        state = AsOf.known(session, None, day, date(2027, 1, 1))
        key = part_row(session, tag).id
        rows = session.scalars(as_of(sa.select(Note).where(Note.thing_id == key), Note, state))
        one = [row.text for row in rows]
        other = [view.values["text"] for view in facts_of_many(session, [key], [Note], state)[key]]
    return sorted(one), sorted(other)


def _story(record: Record, at: Clock, true_day: str | None) -> tuple[str, dict[str, str]]:
    """Two notes, then on the second and fourth day what a clock five years ahead wrote: a note, and a correction."""
    at(NOON)
    tag = make_part(record)
    facts = {text: _note(record, tag, text) for text in ("hums", "rattles")}
    at(WRONG + timedelta(days=1))
    facts["late"] = _note(record, tag, "late")
    at(WRONG + timedelta(days=3))
    with record.write() as session:
        facts["corrected"] = change.correct(session, BY, facts["hums"], {"text": "sings"}, "misheard")
    at(NOON + timedelta(days=5))
    with record.write() as session:
        moments = clocks.moments_between(session, None, None)
        stated = clocks.state_wrong(session, BY, moments, "flat battery", true_day=true_day)
    facts["stated"] = stated.id
    return tag, facts


def test_what_was_known_on_a_day_goes_by_the_true_days(record: Record, at: Clock) -> None:
    tag, facts = _story(record, at, "2026-04-01")
    expected = {
        0: ["hums", "rattles"],
        1: ["hums", "late", "rattles"],
        2: ["hums", "late", "rattles"],
        3: ["late", "rattles", "sings"],
        5: ["late", "rattles", "sings"],
    }
    for number, texts in expected.items():
        assert _known(record, tag, DAYS[number]) == (texts, texts), number
    with record.read() as session:
        views = {view.id: view for view in facts_of(session, part_row(session, tag).id, [Note], superseded=True)}
        (stated,) = clocks.clocks(session).wrong
    assert views[facts["late"]].recorded_on == "2026-04-01"
    assert views[facts["hums"]].superseded_on == views[facts["corrected"]].recorded_on == "2026-04-03"
    assert (stated.true_day, stated.true_until) == ("2026-04-01", "2026-04-03")
    assert verify(record).ok


def test_without_a_true_day_and_once_taken_back_the_clock_counts(record: Record, at: Clock) -> None:
    tag, facts = _story(record, at, "2026-04-01")
    with record.write() as session:
        change.withdraw(session, BY, facts["stated"], "it was right")
    assert _known(record, tag, DAYS[5]) == (["hums", "rattles"],) * 2
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_act(session, facts["late"]), "ahead, nobody knows since when")
    assert _known(record, tag, DAYS[5]) == (["hums", "rattles"],) * 2


def test_a_clock_that_was_behind_is_mended_too(record: Record, at: Clock) -> None:
    """Hours behind, over midnight: by its clock it was known on the day before."""
    at(NOON)
    tag = make_part(record)
    at(NOON.replace(hour=23))
    _note(record, tag, "truly of the first of April")
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_entries(session, "4"), "slow", true_day="2026-03-31")
        stated = sa.select(WrongClock.id)
        assert session.scalar(stated) == 1
    at(NOON + timedelta(days=2))
    with record.write() as session:
        change.withdraw(session, BY, "wrong_clock-1", "the day was wrong")
        moments = clocks.moments_of_entries(session, "4")
    with record.write() as session:
        clocks.state_wrong(session, BY, moments, "slow", true_day="2026-04-01")
    assert _known(record, tag, DAYS[0]) == ([], [])
    assert _known(record, tag, DAYS[1])[0] == ["truly of the first of April"]


def test_the_list_tells_what_was_recorded_later_by_the_true_days(record: Record, at: Clock) -> None:
    at(NOON)
    tag = make_part(record)
    with record.write() as session:
        fact = seals.note_seal(session, BY, tag, "cap", "intact")
    at(WRONG)
    with record.write() as session:
        change.withdraw(session, BY, fact, "another part")
        seals.note_seal(session, BY, tag, "label", "missing")
    other = make_part(record)
    at(NOON + timedelta(days=3))
    with record.write() as session:
        clocks.state_wrong(
            session, BY, clocks.moments_between(session, None, None), "flat battery", true_day="2026-04-01"
        )
    at(NOON + timedelta(days=5))
    with record.read() as session:
        later = condition_list(session, DAYS[0], DAYS[0]).later
        assert {(each.tag, each.happened, each.recorded_on) for each in later if each.tag == tag} == {
            (tag, "taken back", "2026-04-01"),
            (tag, "recorded", "2026-04-01"),
        }
        assert entered_on(session)[part_row(session, other).id] == "2026-04-01"
        assert not [each for each in condition_list(session, DAYS[1], DAYS[1]).later if each.tag == tag]


def test_a_correction_of_a_fact_of_2031_stands_in_the_order_of_writing(record: Record, at: Clock) -> None:
    """Its day is mended by a correction; what a right clock wrote later that day still counts as later."""
    at(NOON)
    tag = make_part(record)
    at(WRONG)
    with record.write() as session:
        wrong = seals.note_seal(session, BY, tag, "cap", "never fitted")
    at(NOON + timedelta(hours=1))
    with record.write() as session:
        moments = clocks.moments_of_act(session, wrong)
        stated = clocks.state_wrong(session, BY, moments, "flat battery", true_day="2026-03-31")
    assert stated.dated == (wrong,)
    with record.write() as session:
        right = seals.note_seal(session, BY, tag, "cap", "intact")
    with record.write() as session:
        mended = change.correct(session, BY, wrong, {"on": "2026-03-31"}, stated.id)
    with record.read() as session:
        facts = facts_of(session, part_row(session, tag).id)
    assert [fact.id for fact in facts if fact.table == "seal_sighting"] == [mended, right]
    assert verify(record).ok


def test_with_nothing_stated_no_statement_is_sent_twice_or_gets_longer(record: Record, at: Clock) -> None:
    at(NOON)
    tag = make_part(record)
    _note(record, tag, "hums")
    with record.read() as session:
        key = part_row(session, tag).id
        with counted(record) as sent:
            for _ in range(3):
                facts_of(session, key)
            list(session.scalars(as_of(sa.select(Note), Note, AsOf.known(session, None, DAYS[0], DAYS[5]))))
    assert sum("true_day" in statement and "moments" in statement for statement in sent) <= 2
    assert not any(
        f"{column} {many}" in each
        for each in sent
        for column in ("recorded", "superseded_by")
        for many in ("IN (", "= ANY")
    )
