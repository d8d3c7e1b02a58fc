"""Drafts: on disk at every question, private, never lost to a file that does not read."""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path

import pytest

from inventory.errors import Refused
from inventory.opening import make_record, open_record
from inventory.store.record import Record
from tui.drafts import Draft, Drafts, drafts_of
from tui.sitting import Sitting
from tui.ticks import Tick, from_answers


@pytest.fixture
def drafts(tmp_path: Path) -> Drafts:
    return Drafts(tmp_path / "r.drafts-ines-bench.json")


def draft(key: str = "off:Green tourer", **values: object) -> Draft:
    return Draft(key=key, what="part 14 off the Green tourer", stopped_at="cap seal", **values)  # type: ignore[arg-type]


def test_kept_draft_is_read_by_another_run(drafts: Drafts) -> None:
    drafts.save(draft(answers={"serial": ["71-40822", "own"]}))

    again = Drafts(drafts.path).get("off:Green tourer")

    assert again is not None
    assert again.answers == {"serial": ["71-40822", "own"]}
    assert again.stopped_at == "cap seal"
    assert not again.left


def test_file_is_private(drafts: Drafts) -> None:
    drafts.save(draft())

    assert stat.S_IMODE(os.stat(drafts.path).st_mode) == 0o600


def test_saving_again_replaces_and_dropping_leaves_the_others(drafts: Drafts) -> None:
    drafts.save(draft(answers={"serial": ["1", "own"]}))
    drafts.save(draft(answers={"serial": ["12", "own"]}))
    drafts.save(draft(key="seal:K4127-7"))
    drafts.drop("seal:K4127-7")

    assert [kept.answers for kept in drafts.all()] == [{"serial": ["12", "own"]}]


def test_leaving_is_noted_so_that_a_stop_can_be_told_from_it(drafts: Drafts) -> None:
    drafts.save(draft())
    drafts.leave()

    assert [kept.left for kept in drafts.all()] == [True]


def test_file_that_does_not_read_is_kept_aside(drafts: Drafts) -> None:
    drafts.path.write_text('{"drafts": [')

    assert drafts.all() == ()
    assert drafts.path.with_suffix(".unread").read_text() == '{"drafts": ['


@pytest.mark.parametrize(
    "held",
    [
        '{"drafts": [{"key": "k", "what": "w", "stopped_at": "s", "answers": ["serial"]}]}',
        '{"drafts": [{"key": "k", "what": "w", "stopped_at": "s", "answers": {"serial": [7, "own"]}}]}',
        '{"drafts": [{"key": "k", "what": "w", "stopped_at": "s", "saved": 5}]}',
        '{"drafts": [{"key": ["k"], "what": null, "stopped_at": "s"}]}',
        "[" * 100_000,
    ],
)
def test_file_that_reads_and_holds_something_else_is_kept_aside_too(drafts: Drafts, held: str) -> None:
    drafts.path.write_text(held)

    assert drafts.all() == ()
    assert drafts.path.with_suffix(".unread").read_text() == held


def test_tick_with_a_time_that_is_none_is_not_ticked() -> None:
    answers = {"K4127-7 part": ["yes", "+"], "K4127-7 at": ["yesterday", "+"], "D2222-6 at": ["2026-03-12", "+"]}

    assert from_answers(answers) == {"K4127-7": Tick(part="yes")}


def test_disk_that_does_not_take_it_is_said_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    drafts = Drafts(tmp_path / "file" / "d.json")

    with pytest.raises(Refused) as refused:
        drafts.save(draft())
    assert refused.value.code == "draft-not-kept"


def test_each_person_has_a_file_of_their_own(tmp_path: Path) -> None:
    record: Record = make_record(str(tmp_path / "r.db"))
    paths = {drafts_of(record, name).path for name in ("Ines", "ines", "Ole/..", "Ole")}
    record.close()

    assert len(paths) == 4
    assert {path.parent for path in paths} == {tmp_path}


def test_a_second_browser_of_a_person_keeps_its_drafts_to_itself_until_the_first_has_ended(
    sqlite_target: str,
) -> None:
    record = open_record(sqlite_target)
    first, second = Sitting(record, "Ines"), Sitting(record, "Ines")
    assert (first.drafts.taken, Sitting(record, "Otto").drafts.taken) == ("", "")
    assert re.fullmatch("[0-2][0-9]:[0-5][0-9]", second.drafts.taken)

    first.drafts.save(draft(answers={"serial": ["1", "own"]}))
    second.drafts.save(draft(answers={"serial": ["2", "own"]}))

    assert [each.answers["serial"][0] for each in second.drafts.all()] == ["2"]
    assert [each.answers["serial"][0] for each in drafts_of(record, "Ines").all()] == ["1"]
    first.end()
    assert [each.answers["serial"][0] for each in Sitting(record, "Ines").drafts.all()] == ["1"]
    record.close()
