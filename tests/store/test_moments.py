"""An act has one moment, later than all that was written of its things, and its day begins in the record's own zone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.views import facts_of
from inventory.opening import make_record, open_record
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.parts.tables import Note
from inventory.record import actions as clocks
from inventory.seals import actions as seals
from inventory.store.days import clock, zone
from inventory.store.record import Record
from inventory.store.tables import JournalEntry, RecordInfo, WrongClock
from inventory.verification import verify
from tests.build import BY, make_part

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)
SetClock = Callable[[datetime], None]


@pytest.fixture
def set_clock(monkeypatch: pytest.MonkeyPatch) -> SetClock:
    """Set the clock that everything is written by from now on."""

    def set_to(moment: datetime) -> None:
        monkeypatch.setattr(clock, "now", lambda: moment)

    return set_to


def _note(record: Record, tag: str, text: str, on: str | None = None) -> str:
    with record.write() as session:
        return parts.note(session, BY, tag, text, on=on)


def _moments(record: Record, tag: str) -> list[str]:
    """The moments of a part's entries, in the order of its chain."""
    with record.read() as session:
        entries = sa.select(JournalEntry.at).where(JournalEntry.thing_id == part_row(session, tag).id)
        return list(session.scalars(entries.order_by(JournalEntry.sequence)))


def _refused(record: Record, tag: str) -> Refused:
    with pytest.raises(Refused) as refused:
        _note(record, tag, "hums")
    assert refused.value.code == "clock-behind"
    return refused.value


def _set_zone(record: Record, name: str | None) -> None:
    """As if the record had been made on a machine in that zone."""
    with record.engine.begin() as plain:
        plain.execute(sa.update(RecordInfo).values(zone=name))


def test_moments_of_a_thing_grow_while_the_clock_stands_still_and_goes_back(
    record: Record, set_clock: SetClock
) -> None:
    set_clock(NOON)
    tag, other = make_part(record), make_part(record)
    _note(record, tag, "one")
    set_clock(NOON - timedelta(hours=3))
    _note(record, tag, "two")
    _note(record, other, "of another part")
    set_clock(NOON + timedelta(hours=1))
    _note(record, tag, "three")

    moments = _moments(record, tag)
    assert moments == sorted(set(moments))
    for earlier, later in (moments[1:3], _moments(record, other)):
        assert datetime.fromisoformat(later) - datetime.fromisoformat(earlier) == timedelta(microseconds=1)
    with record.read() as session:
        facts = facts_of(session, part_row(session, tag).id, [Note])
    assert [fact.values["text"] for fact in facts] == ["one", "two", "three"]
    assert [fact.ranked for fact in facts] == moments[1:]
    assert verify(record).ok


def test_what_is_looked_at_last_counts_though_the_clock_went_back(record: Record, set_clock: SetClock) -> None:
    set_clock(NOON)
    tag = make_part(record)
    with record.write() as session:
        seals.note_seal(session, BY, tag, "cap", "intact")
    set_clock(NOON - timedelta(hours=2))
    with record.write() as session:
        seals.note_seal(session, BY, tag, "cap", "missing")

    with record.read() as session:
        assert part_row(session, tag).seal_state == "missing"
    assert verify(record).ok


def test_an_act_begun_without_a_thing_does_not_write_of_it(record: Record) -> None:
    from inventory.people.actions import begin_act
    from inventory.store.days.dates import when_on
    from inventory.store.facts import make_fact
    from inventory.store.journal import entries as journal

    tag = make_part(record)
    before = verify(record).entries

    def write(session: Any) -> None:
        key = part_row(session, tag).id
        act = begin_act(session, "by hand", BY)
        journal.write(session, act, [make_fact(Note, act, key, when_on(None, act.today), text="hums")])

    with pytest.raises(RuntimeError, match="was not begun with"), record.write() as session:
        write(session)
    assert verify(record).entries == before


@pytest.mark.parametrize(
    ("name", "hour", "day"),
    [
        ("Pacific/Auckland", 12, "2026-04-01"),
        ("America/Los_Angeles", 3, "2026-03-30"),
        ("Europe/Berlin", 12, "2026-03-31"),
        ("Europe/Berlin", 22, "2026-04-01"),
    ],
)
def test_days_begin_in_the_zone_of_the_record(
    record: Record, set_clock: SetClock, name: str, hour: int, day: str
) -> None:
    """Day, `--on`, the day of recording, the day it counts from and that of its being superseded."""
    _set_zone(record, name)
    set_clock(NOON.replace(hour=hour, minute=30))
    tag = make_part(record)
    fact = _note(record, tag, "hums", on="2026~")
    with record.write() as session:
        change.correct(session, BY, fact, {"text": "rattles"}, "misheard")
    _note(record, tag, "today")

    with record.read() as session:
        old, anew, today = facts_of(session, part_row(session, tag).id, [Note], superseded=True)
        assert zone.today_in(session) == date.fromisoformat(day)
    assert (old.recorded_on, old.counts_from, old.superseded_on) == (day, day, day)
    assert (anew.recorded_on, today.on, today.counts_from) == (day, day, day)
    tomorrow = (date.fromisoformat(day) + timedelta(days=1)).isoformat()
    with pytest.raises(Refused) as refused:
        _note(record, tag, "to come", on=tomorrow)
    assert refused.value.code == "date-in-the-future"


def test_a_record_without_a_zone_goes_by_the_machine(
    record: Record, set_clock: SetClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    _set_zone(record, None)
    set_clock(NOON)
    with record.read() as session:
        assert zone.today_in(session) == NOON.astimezone().date()
        assert zone.in_zone(NOON, None).utcoffset() == NOON.astimezone().utcoffset()


def test_a_new_record_keeps_the_zone_of_its_machine(empty_target: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "America/Los_Angeles")
    record = make_record(empty_target)
    found = verify(record)
    record.close()

    assert (found.ok, found.zone, found.as_dict()["zone"]) == (True, "America/Los_Angeles", "America/Los_Angeles")


@pytest.mark.parametrize(
    ("said", "link", "name", "expected"),
    [
        ("Europe/Berlin", "", "", "Europe/Berlin"),
        (":Europe/Berlin", "", "", "Europe/Berlin"),
        ("CET-1CEST", "/usr/share/zoneinfo/Asia/Tokyo", "Asia/Tokyo", None),
        ("", "/usr/share/zoneinfo/Asia/Tokyo", "", "Asia/Tokyo"),
        ("", "/usr/share/zoneinfo/posix/Asia/Tokyo", "", "Asia/Tokyo"),
        ("", "/var/db/timezone/zoneinfo/Asia/Tokyo", "", "Asia/Tokyo"),
        ("", "/etc/localtime", "Asia/Tokyo\n", "Asia/Tokyo"),
        ("", "/etc/localtime", "nowhere", None),
        ("", "/etc/localtime", "", None),
    ],
)
def test_the_zone_of_a_machine_is_told_by_what_it_says_of_it(
    said: str, link: str, name: str, expected: str | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "timezone").write_text(name)
    monkeypatch.setenv("TZ", said)
    monkeypatch.setattr(zone, "_NAME", tmp_path / "timezone")
    monkeypatch.setattr(zone.os.path, "realpath", lambda _: link)

    assert zone.machine_zone() == expected


def test_a_zone_that_this_machine_does_not_know_is_refused_and_nothing_is_written(record: Record) -> None:
    tag = make_part(record)
    _set_zone(record, "Nowhere/At_All")

    with pytest.raises(Refused) as refused:
        _note(record, tag, "hums")

    assert refused.value.code == "zone-not-known"
    assert len(_moments(record, tag)) == 1


def test_on_a_server_the_clock_is_the_servers(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    """This machine is five hours fast: on one file that is what counts, on a server it is not."""

    class Fast(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return datetime.now(tz) + timedelta(hours=5)

    monkeypatch.setattr(clock, "datetime", Fast)
    tag = make_part(record)

    (written,) = _moments(record, tag)
    ahead = datetime.fromisoformat(written) - datetime.now(UTC)
    expected = timedelta(hours=5) if record.path is not None else timedelta()
    assert abs(ahead - expected) < timedelta(minutes=5)


def test_a_clock_far_behind_is_refused_and_one_a_little_behind_is_not(record: Record, set_clock: SetClock) -> None:
    _set_zone(record, "Etc/UTC")
    set_clock(NOON)
    tag = make_part(record)
    set_clock(NOON - timedelta(hours=23))
    _note(record, tag, "a day behind, less an hour")
    set_clock(NOON - timedelta(hours=25))
    before = verify(record).anchor

    refusal = _refused(record, tag)

    whose = "This machine's clock" if record.path is not None else "The server's clock"
    assert refusal.message.startswith(f"{whose} says 30 March 2026 1")
    assert "31 March 2026 1" in refusal.message
    assert refusal.hint is not None
    assert "matchmark clock wrong" in refusal.hint
    assert verify(record).anchor == before


def test_it_is_the_newest_entry_that_counts_and_not_the_last(record: Record, set_clock: SetClock) -> None:
    """A machine that is a day behind writes last; a third, two days behind, is refused all the same."""
    set_clock(NOON)
    tag, other = make_part(record), make_part(record)
    set_clock(NOON - timedelta(hours=20))
    _note(record, other, "twenty hours behind")
    set_clock(NOON - timedelta(hours=40))
    _refused(record, tag)


def test_a_wrong_clock_is_stated_and_work_goes_on(record: Record, set_clock: SetClock) -> None:
    set_clock(NOON)
    tag = make_part(record)
    set_clock(NOON.replace(year=2031))
    _note(record, tag, "written five years ahead")
    set_clock(NOON + timedelta(hours=1))
    _refused(record, tag)

    with record.write() as session:
        stated = clocks.state_wrong(session, BY, clocks.moments_between(session, None, None), "the battery was flat")
    _note(record, tag, "and on")

    assert (stated.id, stated.entries, stated.reason) == ("wrong_clock-1", 1, "the battery was flat")
    with record.read() as session:
        row = session.scalars(sa.select(WrongClock)).one()
        today = zone.day_of(NOON + timedelta(hours=1), zone.zone_of(session)).isoformat()
        assert (row.thing_id, row.recorded_on) == (1, today)
        assert row.recorded[:13] in ("2026-03-31T12", "2026-03-31T13"), "a server says what time it is a moment later"
        found = clocks.clocks(session)
    assert [each.id for each in found.wrong] == ["wrong_clock-1"]
    assert found.newest is not None
    assert found.newest.startswith("2026-03-31T1")
    assert _moments(record, tag)[-1].startswith("2026-03-31T1"), "what was stated wrong holds back no moment"
    assert verify(record).problems == ()


def test_a_statement_of_a_clock_behind_is_at_that_clocks_own_moment(record: Record, set_clock: SetClock) -> None:
    """Even where a first statement was itself written in the wrong time, and left some of it out."""
    set_clock(NOON.replace(year=2031))
    tag = make_part(record)
    fact = _note(record, tag, "written ahead")
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_act(session, fact), "ahead")
    set_clock(NOON)
    _refused(record, tag)

    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_between(session, None, None), "the same, whole")
    _note(record, tag, "now")

    with record.read() as session:
        rows = session.scalars(sa.select(WrongClock).order_by(WrongClock.id)).all()
    assert [row.recorded[:4] for row in rows] == ["2031", "2026"]
    assert verify(record).problems == ()


def test_a_statement_is_taken_back_and_the_clock_is_behind_again(record: Record, set_clock: SetClock) -> None:
    set_clock(NOON)
    tag = make_part(record)
    set_clock(NOON + timedelta(days=400))
    fact = _note(record, tag, "ahead")
    set_clock(NOON)
    with record.write() as session:
        stated = clocks.state_wrong(session, BY, clocks.moments_of_act(session, fact), "ahead")
    with record.write() as session:
        change.withdraw(session, BY, stated.id, "it was right")

    _refused(record, tag)
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_act(session, fact), "it was wrong after all")
    _note(record, tag, "on")
    assert verify(record).problems == ()


def test_what_was_stated_of_a_clock_is_not_corrected_value_by_value(record: Record) -> None:
    fact = _note(record, make_part(record), "hums")
    with record.write() as session:
        stated = clocks.state_wrong(session, BY, clocks.moments_of_act(session, fact), "ahead")
    with pytest.raises(Refused) as refused, record.write() as session:
        change.correct(session, BY, stated.id, {"until_at": "2031-01-01"}, "longer")
    assert refused.value.code == "fact-fixed"


@pytest.mark.parametrize("garbage", ["many years ago", "9999-12-31T23:59:59.999999Z", "2026-03-31 12:00"])
def test_a_moment_that_somebody_made_unreadable_stops_no_work(record: Record, garbage: str) -> None:
    """It is named by `verify`; of the clock nothing can be said by it."""
    tag = make_part(record)
    with record.engine.begin() as plain:
        plain.execute(sa.text("UPDATE journal SET at = :at WHERE act = 'part add'"), {"at": garbage[:27]})

    _note(record, tag, "hums")

    assert len(_moments(record, tag)) == 2
    assert any(problem.table == "journal" for problem in verify(record).problems)


def test_a_statement_that_somebody_made_unreadable_stops_no_work(record: Record) -> None:
    tag = make_part(record)
    fact = _note(record, tag, "hums")
    with record.write() as session:
        clocks.state_wrong(session, BY, clocks.moments_of_act(session, fact), "ahead")
    for garbage in ("7", '{"a":1}', "[7]", "no list"):
        with record.engine.begin() as plain:
            plain.execute(sa.update(WrongClock).values(moments=garbage))
        _note(record, tag, "rattles")
        with record.read() as session:
            assert [each.entries for each in clocks.clocks(session).wrong] == [0]


def test_a_moment_typed_with_a_zone_of_its_own_is_that_moment() -> None:
    local = datetime(2026, 3, 31, 12, tzinfo=timezone(timedelta(hours=2)))
    assert zone.in_zone(local, "Europe/Berlin") == local
    assert zone.in_zone(datetime(2026, 3, 31, 12), "Europe/Berlin") == local


def test_two_acts_of_one_session_follow_each_other(sqlite_target: str, set_clock: SetClock) -> None:
    record = open_record(sqlite_target)
    set_clock(NOON)
    with record.write() as session:
        tag = parts.add_part(session, BY, Markings(kind="relay"))
        parts.note(session, BY, tag, "hums")
        parts.assess(session, BY, tag, 1)
    moments = _moments(record, tag)
    assert moments == sorted(set(moments))
    record.close()
