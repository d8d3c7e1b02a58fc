"""Counting shelf by shelf: what a scan is, interruption, closing, two who count at once, taking back. Both engines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from inventory.card import card_of
from inventory.cars import actions as cars
from inventory.condition_list.actions import condition_list
from inventory.counting.actions import Closed, close
from inventory.counting.queries import is_closed, lines_now, not_here
from inventory.counting.sheet import Counted
from inventory.counting.write_draft import CountDraft
from inventory.counting.write_scan import Taken, begin_count, open_count, take_off, take_scan
from inventory.errors import Refused
from inventory.facts.take_back import last_act, withdraw_act
from inventory.facts.views import facts_of
from inventory.facts.write import write
from inventory.labels import actions as labels
from inventory.parts import tags
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.parts.tables import Together
from inventory.people.actions import begin_act
from inventory.places import actions as places
from inventory.provenance import actions as provenance
from inventory.seals import actions as seals
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.verification import verify
from tests.build import BY, make_part

RELAY = Markings(kind="relay", part_number="TR 12 003")
SENSOR = Markings(kind="pressure sensor", part_number="HV 204 118")


@pytest.fixture
def draft(tmp_path: Path) -> CountDraft:
    return CountDraft(tmp_path / "w.count-ines.json")


@pytest.fixture
def shelf(record: Record) -> dict[str, str]:
    """A rack with B1 (a, b, sensor) and B2 (c), C1 beside it (d), and one without a place. Tags by letter."""
    with record.write() as session:
        for name, within in (("rack", None), ("B1", "rack"), ("B2", "rack"), ("C1", None)):
            places.add_place(session, BY, name, within=within)
    at = {"a": "B1", "b": "B1", "c": "B2", "d": "C1", "lost": None}
    return {"sensor": make_part(record, SENSOR, place="B1")} | {
        name: make_part(record, RELAY, place=place) for name, place in at.items()
    }


def _scan(record: Record, draft: CountDraft, *codes: str) -> list[Taken]:
    taken = []
    for code in codes:
        with record.read() as session:
            taken.append(take_scan(session, draft, code))
    return taken


def _begin(record: Record, draft: CountDraft, place: str | None, *codes: str) -> list[Taken]:
    with record.read() as session:
        begin_count(session, draft, place)
    return _scan(record, draft, *codes)


def _counted(draft: CountDraft) -> Counted:
    counted = draft.read()
    assert counted is not None
    return counted


def _states(record: Record, draft: CountDraft) -> dict[str, str]:
    with record.read() as session:
        return {line.tag: line.state for line in lines_now(session, _counted(draft))[1]}


def _close(record: Record, draft: CountDraft, moves: Sequence[str] = (), by: str = BY) -> Closed:
    with record.write() as session:
        closed = close(session, by, _counted(draft), [part_row(session, tag).id for tag in moves])
    draft.add(closed=closed.number)
    return closed


def test_a_count_tells_here_not_here_and_elsewhere_and_what_is_left(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    unknown = tags.issue(1, lambda _: ())[0]
    said = _begin(record, draft, "rack", "b1", shelf["a"], shelf["a"], shelf["c"], shelf["lost"], unknown, "oil can")
    assert [each.state for each in said] == ["place", "here", "here", *["elsewhere"] * 2, *["unknown label"] * 2]
    assert said[0].says == "B1: 3 to find" and said[2].again and said[2].says.startswith(f"{shelf['a']} counted ")
    assert said[3].says == f"{shelf['c']} belongs in B2; it lies in B1"
    assert _states(record, draft) == {
        shelf["a"]: "here",
        shelf["b"]: "not here",
        shelf["sensor"]: "not here",
        shelf["c"]: "elsewhere",
        shelf["lost"]: "elsewhere",
        unknown: "unknown label",
        "oil can": "unknown label",
    }
    with record.read() as session:
        house, lines = lines_now(session, _counted(draft))
    assert {house.name(line.place_id) for line in lines if line.state == "unknown label"} == {"B1"}
    _scan(record, draft, shelf["b"])
    with record.read() as session:
        take_off(session, draft, shelf["a"])
    assert _states(record, draft)[shelf["b"]] == "here" and _states(record, draft)[shelf["a"]] == "not here"
    assert draft.path.stat().st_mode & 0o777 == 0o600


def test_an_interruption_loses_nothing_but_the_scan_that_was_cut_off(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, "rack", "B1", shelf["a"], shelf["b"])
    whole = draft.path.read_bytes()
    draft.path.write_bytes(whole[:-9])
    assert shelf["a"] in _states(record, draft) and len(_counted(draft).ticks) == 1
    _scan(record, draft, shelf["b"])
    assert len(_counted(draft).ticks) == 2 and _counted(draft).shelf_id is not None
    with pytest.raises(Refused) as told, record.read() as session:
        begin_count(session, draft, None)
    assert told.value.code == "count-open"


def test_closing_writes_what_was_seen_moves_what_is_wanted_and_keeps_the_place_of_what_is_missing(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, None, "B1", shelf["a"], shelf["c"], shelf["d"])
    closed = _close(record, draft, [shelf["c"]])

    assert [closed.many(state) for state in ("here", "not here", "elsewhere")] == [1, 2, 2]
    with record.read() as session:
        at = {name: card_of(session, tag).line.place for name, tag in shelf.items()}
        missed = {each.tag for each in not_here(session).values()}
        assert card_of(session, shelf["b"]).as_dict()["not_here"]["occasion"] == "count 1"
        assert "not here on" in card_of(session, shelf["b"]).not_here.says  # type: ignore[union-attr]
        assert not card_of(session, shelf["lost"]).not_here  # its place is not known, so no shelf was without it
    assert at == {"a": "B1", "b": "B1", "sensor": "B1", "c": "B1", "d": "C1", "lost": None}
    assert missed == {shelf["b"], shelf["sensor"]}
    with record.read() as session:
        listed = {item.tag: item for item in condition_list(session).items}
    assert {tag for tag, item in listed.items() if item.not_here} == missed
    assert listed[shelf["a"]].last_seen.manner == "count"  # type: ignore[union-attr]
    assert listed[shelf["b"]].not_here in listed[shelf["b"]].remarks
    with pytest.raises(Refused) as told, record.read() as session:
        open_count(session, draft)
    assert told.value.code == "no-count-open"
    assert verify(record).ok


def test_not_here_ends_with_the_first_look_at_the_part(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, "rack", "B1", shelf["a"])
    _close(record, draft)
    with record.write() as session:
        seals.note_seal(session, BY, shelf["sensor"], "cap", "intact")
        places.put(session, BY, shelf["b"], "B2")
    with record.read() as session:
        assert not_here(session) == {}


def test_what_is_sent_out_after_it_was_missed_is_not_missing(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, "rack", "B1", shelf["a"])
    _close(record, draft)
    with record.write() as session:
        provenance.note_provenance(session, BY, shelf["b"], how="sent out")
    with record.read() as session:
        assert [each.tag for each in not_here(session).values()] == [shelf["sensor"]]
        assert {item.tag for item in condition_list(session).items if item.not_here} == {shelf["sensor"]}


def test_only_shelves_that_were_gone_through_are_judged(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, None, "rack", shelf["a"])  # stands at the rack, not at B1
    assert _states(record, draft)[shelf["b"]] == "to count"
    assert [line.tag for line in _close(record, draft).lines] == [shelf["a"]]
    with record.read() as session:
        (found,) = card_of(session, shelf["a"])["counts"]
    assert found.values["found"] == "here" and found.values["place"] == "rack"
    _begin(record, draft, "B1", shelf["a"])  # no shelf is named at all
    assert _states(record, draft)[shelf["b"]] == "not here"


def test_a_closed_count_is_taken_back_and_its_ticks_are_there_again(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    _begin(record, draft, "rack", "B1", shelf["a"], shelf["d"])
    _close(record, draft, [shelf["d"]])
    with record.write() as session:
        act = last_act(session, BY, record.acts)
        assert act is not None and act.what == "stocktake close"
        withdraw_act(session, BY, act.key, "wrong shelf")
    with record.read() as session:
        assert card_of(session, shelf["d"]).line.place == "C1" and not not_here(session)
        assert not is_closed(session, _counted(draft))
    assert len(_counted(draft).ticks) == 2
    assert _close(record, draft).number == 2  # the number of a count that was taken back is not used again
    assert verify(record).ok


def test_two_who_count_at_once_write_nothing_twice_and_miss_nothing_the_other_found(
    record: Record, shelf: dict[str, str], draft: CountDraft, tmp_path: Path
) -> None:
    other = CountDraft(tmp_path / "w.count-jory.json")
    _begin(record, draft, "rack", "B1", shelf["a"])
    _begin(record, other, "rack", "B1", shelf["a"], shelf["b"], "B2", shelf["sensor"])
    _close(record, draft)  # does not find b and the sensor
    second = _close(record, other, [shelf["sensor"]], by="Jory")
    assert second.twice == 1 and [line.tag for line in second.lines if line.state == "here"] == [shelf["b"]]
    with record.read() as session:
        assert [each.tag for each in not_here(session).values()] == [shelf["c"]]
        told = facts_of(session, part_row(session, shelf["a"]).id)
        assert sum(fact.table == "count_line" for fact in told) == 1
        assert card_of(session, shelf["sensor"]).line.place == "B2"
    _begin(record, draft, "rack", "B1", shelf["a"])
    _begin(record, other, "rack", "B1", shelf["b"])
    _close(record, other, by="Jory")
    assert _close(record, draft).many("not here") == 0  # Jory found b while this count was open
    assert verify(record).ok


def test_what_is_away_sold_or_on_a_car_is_not_missing_and_said_where_it_turns_up(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    with record.write() as session:
        cars.add_car(session, BY, "Green tourer")
        cars.list_position(session, BY, "Green tourer", "wing", cars.Listing())
        provenance.note_provenance(session, BY, shelf["a"], how="sold")
        provenance.note_provenance(session, BY, shelf["b"], how="sent out")
        teardown.fit(session, BY, shelf["c"], "wing", car="Green tourer")
    old = shelf["d"]
    new = tags.issue(1, lambda _: ())[0]
    with record.write() as session:
        labels.wrong(session, BY, old, new)
    said = _begin(record, draft, None, "B1", shelf["a"], shelf["c"], old)
    assert [each.state for each in said[1:]] == ["elsewhere", "elsewhere", "unknown label"]
    assert f"{new} today" in said[3].says
    assert "is sold by the record" in said[1].says and "is on wing, Green tourer by the record" in said[2].says
    closed = _close(record, draft, [shelf["a"], shelf["c"]])
    assert _states(record, draft)[shelf["b"]] == "away"
    assert closed.moved == () and [line.tag for line in closed.lines if line.state == "not here"] == [shelf["sensor"]]


def test_what_came_off_as_one_is_asked_about_and_never_ticked_with_the_other(
    record: Record, shelf: dict[str, str], draft: CountDraft
) -> None:
    with record.write() as session:
        keys = [part_row(session, shelf[name]).id for name in "ab"]
        act = begin_act(session, "teardown log", BY, *keys)
        write(session, act, [make_fact(Together, act, keys[0], when_on(None, act.today), other_id=keys[1])])
    (_, said) = _begin(record, draft, "rack", "B1", shelf["a"])
    assert f"came off as one with {shelf['b']}: scan it too" in said.says
    assert _states(record, draft)[shelf["b"]] == "kept with another"
    assert [line.tag for line in _close(record, draft).lines] == sorted(
        [shelf["a"], shelf["sensor"]]
    )  # of b nothing is said


def test_nothing_counted_is_no_count(record: Record, shelf: dict[str, str], draft: CountDraft) -> None:
    with record.write() as session:
        places.add_place(session, BY, "empty box")
    _begin(record, draft, "empty box", "empty box")
    with pytest.raises(Refused) as told:
        _close(record, draft)
    assert told.value.code == "nothing-counted"


def test_a_disk_that_does_not_take_it_is_said(record: Record, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(Refused) as told:
        _begin(record, CountDraft(tmp_path / "file" / "count.json"), None)
    assert told.value.code == "count-not-kept"
