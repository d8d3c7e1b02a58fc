"""Which label is on which part: rolls, wrong and swapped labels, what stays on the car. On both engines."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.card import card_of
from inventory.errors import Refused
from inventory.facts import change
from inventory.facts.take_back import last_act, withdraw_act
from inventory.labels import actions as labels
from inventory.labels.queries import belongs, next_tag, remark_on, rolls, stuck_labels
from inventory.parts import actions as parts
from inventory.parts import queries, tags
from inventory.parts.load_lines import find
from inventory.parts.markings import Markings
from inventory.sheets.actions import read_sheet
from inventory.sheets.report import SheetRefused
from inventory.store.record import Record
from inventory.verification import verify
from tests.build import BY, make_part

RELAY = Markings(kind="relay", part_number="TR 12 003")


def _free() -> str:
    return tags.issue(1, lambda _: ())[0]


def _found(record: Record, word: str) -> list[str]:
    with record.readonly() as source:
        return [line.tag for line in queries.lines(source, find(source, [word]).keys)]


def _refused(record: Record, code: str, act: object) -> Refused:
    with pytest.raises(Refused) as told, record.write() as session:
        act(session)  # type: ignore[operator]
    assert told.value.code == code
    return told.value


def test_a_wrong_label_is_put_right_and_its_history_goes_with_the_part(record: Record) -> None:
    old, new = make_part(record), _free()
    with record.write() as session:
        parts.note(session, BY, old, "came off hard")
        labels.wrong(session, BY, old, new)

    with record.read() as session:
        card = card_of(session, new)
        assert [fact.values["text"] for fact in card["notes"]] == ["came off hard"]
        with pytest.raises(Refused, match=f"{old} is on no part now.*{new}"):
            queries.part_row(session, old)
        assert f"for what is {new} today" in remark_on(session, old)
    assert _found(record, old) == [new] == _found(record, new)
    assert make_part(record, RELAY, tag=old) == old  # free again: it never was on another part
    assert _found(record, old) == sorted([new, old])
    assert verify(record).ok


def test_taking_it_back_gives_the_old_label_unless_another_part_has_it_by_now(record: Record) -> None:
    old, new = make_part(record), _free()
    with record.write() as session:
        labels.wrong(session, BY, old, new)
    with record.write() as session:
        act = last_act(session, BY, record.acts)
        assert act is not None and act.what == "labels wrong"
        back = withdraw_act(session, BY, act.key, "it was right")
    with record.read() as session:
        assert queries.part_row(session, old).tag == old
    with record.write() as session:
        change.withdraw(session, BY, back[0], "no, it was wrong")
    with record.read() as session:
        fact = card_of(session, new)["labellings"][0].id
    make_part(record, RELAY, tag=old)

    _refused(record, "name-taken", lambda session: change.withdraw(session, BY, fact, "it was right"))
    assert verify(record).ok


def test_two_parts_exchange_their_labels_and_back(record: Record) -> None:
    one, other = make_part(record), make_part(record, RELAY)
    with record.write() as session:
        facts = labels.swap(session, BY, one, other)
    with record.read() as session:
        assert (queries.part_row(session, one).kind, queries.part_row(session, other).kind) == (
            "relay",
            "pressure sensor",
        )
    _refused(record, "name-taken", lambda session: change.withdraw(session, BY, facts[0], "half of it"))
    with record.write() as session:
        act = last_act(session, BY, record.acts)
        assert act is not None
        withdraw_act(session, BY, act.key, "they were right")
    with record.read() as session:
        assert queries.part_row(session, one).kind == "pressure sensor"
    assert verify(record).ok


def test_a_label_that_stood_for_two_parts_is_never_used_again(record: Record) -> None:
    one, other, new = make_part(record), make_part(record, RELAY), _free()
    with record.write() as session:
        labels.swap(session, BY, one, other)
        labels.wrong(session, BY, one, new)

    refused = _refused(record, "label-spent", lambda session: parts.add_part(session, BY, RELAY, tag=one))
    assert new in refused.message and other in refused.message
    _refused(record, "label-spent", lambda session: labels.wrong(session, BY, other, one))
    taken = _refused(record, "label-taken", lambda session: labels.wrong(session, BY, other, new))
    assert f"labels swap {other} {new}" in (taken.hint or "")


def test_a_roll_keeps_its_tags_for_itself_and_says_which_are_left(record: Record) -> None:
    with record.write() as session:
        roll = labels.new_roll(session, BY, 5, 2)
        second = labels.new_roll(session, BY, 3, 0)
    make_part(record, RELAY, tag=roll.tags[1])

    assert (roll.number, second.number, len({*roll.tags, *second.tags})) == (1, 2, 8)
    with record.read() as session:
        assert queries.unissued(session, [*roll.tags, next_tag(session)]) == set(roll.tags)
        assert rolls(session)[0].left == (roll.tags[0], *roll.tags[2:])
        assert remark_on(session, roll.tags[0]) == ""
        assert remark_on(session, roll.tags[1]) == ""  # that part may come off again
        assert "on no roll of this record" in remark_on(session, _free())
    taken = _refused(record, "label-taken", lambda session: parts.add_part(session, BY, RELAY, tag=roll.tags[1]))
    assert "already on a relay" in taken.message and "roll 1 printed twice" in (taken.hint or "")
    _refused(record, "roll-too-long", lambda session: labels.new_roll(session, BY, 0, 2))
    assert verify(record).ok


def test_without_any_roll_a_label_written_by_hand_is_no_surprise(record: Record) -> None:
    with record.read() as session:
        assert remark_on(session, _free()) == ""


def test_labels_on_the_car_side_say_whether_they_belong(record: Record) -> None:
    tag, other, free = make_part(record), make_part(record, RELAY), _free()
    with record.write() as session:
        fact = labels.stick(session, BY, f"{tag} C1", "plug")
        assert labels.stick(session, BY, f"{tag}C1", "Plug") == fact  # said again: nothing new
    _refused(record, "car-side-label-used", lambda session: labels.stick(session, BY, f"{tag} C1", "hose"))
    _refused(record, "car-side-of-another", lambda session: labels.stick(session, BY, f"{tag} C2", "hose", tag=other))
    _refused(record, "not-a-car-side-label", lambda session: labels.stick(session, BY, tag, "hose"))

    with record.read() as session:
        yes, unnoted = belongs(session, tag, f"{tag}C1H"), belongs(session, tag, f"{tag} C2")
        no, unknown = belongs(session, other, f"{tag} C1"), belongs(session, tag, f"{free} C1")
        web, own = belongs(session, tag, f"https://x.example/{tag}"), belongs(session, tag, tag)
        part = queries.part_row(session, tag).id
        assert [(code.printed, on) for code, on in stuck_labels(session, part)] == [(f"{tag} C1", "plug")]
    assert yes.fits and "on the plug" in yes.says and unnoted.fits
    assert not no.fits and no.of == tag and "pressure sensor" in no.says and "no place noted" in no.says
    assert not (unknown.fits or web.fits or own.fits)
    assert verify(record).ok


def test_a_label_on_the_car_stays_with_its_part_when_the_parts_label_was_wrong(record: Record) -> None:
    old, new = make_part(record), _free()
    with record.write() as session:
        labels.stick(session, BY, f"{old} C1", "plug")
        labels.wrong(session, BY, old, new)
        labels.stick(session, BY, f"{old} C2", "hose", tag=new)
    make_part(record, RELAY, tag=old)

    with record.read() as session:
        assert belongs(session, new, f"{old} C1").fits
        assert not belongs(session, old, f"{old} C1").fits
        assert not belongs(session, old, f"{old} C3").fits  # nobody noted which of the two it is of


def test_a_sheet_from_before_makes_no_second_part_of_a_label_that_was_wrong(record: Record, tmp_path: Path) -> None:
    old, new = make_part(record, RELAY), _free()
    with record.write() as session:
        labels.wrong(session, BY, old, new)
    for row in (f"tag,kind\n{old},relay\n", f"tag,mishap\n{old},dropped\n"):
        path = tmp_path / "sheet.csv"
        path.write_text(row, encoding="utf-8")
        with pytest.raises(SheetRefused) as refused:
            read_sheet(record, path, BY)
        assert f"what was recorded under it is {new} today" in str(refused.value.report.as_dict())


def test_a_sheet_from_before_a_swap_makes_no_part_the_other_one(record: Record, tmp_path: Path) -> None:
    relay, sensor = make_part(record, RELAY), make_part(record, Markings("pressure sensor", serial="71-40822"))
    path = tmp_path / "sheet.csv"
    path.write_text(f"tag,kind,serial,condition\n{relay},relay,,2\n{sensor},pressure sensor,71-40822,2\n", "utf-8")
    with record.write() as session:
        labels.swap(session, BY, relay, sensor)
    with pytest.raises(SheetRefused) as refused:
        read_sheet(record, path, BY)
    told = [each["problem"] for each in refused.value.report.as_dict()["problems"]]
    assert [f"was on the part {other} before" in says for other, says in zip((sensor, relay), told, strict=True)] == [
        True,
        True,
    ]
    path.write_text(f"tag,kind,serial,condition\n{sensor},relay,,2\n{relay},pressure sensor,71-40822,2\n", "utf-8")
    assert read_sheet(record, path, BY).changed == 2
    assert verify(record).ok
