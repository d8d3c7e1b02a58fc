"""Out, what leaves the house: seen first, names asked one by one, written, and given to somebody."""

from __future__ import annotations

import json
import stat
from pathlib import Path
from typing import Any

import pytest

from inventory.condition_list.queries import CONDITION_LIST
from inventory.given_out.queries import written_papers
from inventory.store.record import Record
from inventory.valuation.actions import note_value
from inventory.verification import verify


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own, in which the browser was begun."""
    place = tmp_path / "papers"
    place.mkdir()
    monkeypatch.chdir(place)
    return place


def test_from_today_a_list_for_the_insurer_takes_six_presses(
    browse: Any, record: Record, shop: dict[str, str], folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.screens.list_out.ListOut.formats", ("csv",))  # a pdf takes seconds, as test_list_pdf knows

    async def walked(walk: Any) -> None:
        await walk.press("space")
        walk._send("o")
        walk.pressed += 1
        await walk.until(lambda: walk.view.where().startswith("Out"))
        await walk.press("enter")
        assert "condition list for the insurer" in walk.text()
        assert "no value stated on this basis" in walk.text()
        assert verify(record).entries == before
        await walk.press("enter", "enter")
        assert "Condition list no. 1 is written" in walk.said
        assert "Fingerprint" in walk.text()
        await walk.press("enter")
        assert walk.said.endswith("not given out yet.")
        assert walk.pressed == 6

    before = verify(record).entries
    browse(walked)
    (paper,) = folder.iterdir()
    assert paper.name == "condition-list-1.csv"
    assert stat.S_IMODE(paper.stat().st_mode) == 0o600


def test_names_are_asked_one_by_one_and_the_receiver_is_entered(
    browse: Any, record: Record, shop: dict[str, str], folder: Path
) -> None:
    (folder / "list.json").write_text("mine")
    with record.write() as session:
        for source in ("told by Wanda Prell", "Wanda Prell at the fair"):
            note_value(session, "Wanda Prell", shop["sensor"], "850", "EUR", basis="replacement", source=source)

    async def walked(walk: Any) -> None:
        walk.frame.go_to("list out", "insurer")
        await walk.settle()
        await walk.answer("basis")
        await walk.answer("3")
        assert "EUR 850.00 counted" in walk.text()
        await walk.press("enter")
        assert "this text names somebody" in walk.text()
        assert "at the fair" in walk.text()
        await walk.answer("2")
        assert "told by hand 2" in walk.text()
        await walk.press("enter")
        await walk.answer("list.json")
        await walk.answer("replace it")
        await walk.answer("Hollander Mutual")
        assert "given to Hollander Mutual today" in walk.said
        await walk.press("enter")

    browse(walked)
    kept = (folder / "list.json").read_text()
    assert "Wanda Prell at the fair" in kept
    assert "told by Wanda Prell" not in kept
    assert json.loads(kept)["options"]["names"] == "cut"
    with record.read() as session:
        (paper,) = written_papers(session, CONDITION_LIST)
    assert [to for to, _ in paper.given] == ["Hollander Mutual"]


def test_what_cannot_be_drawn_is_said_and_the_list_before_stays(
    browse: Any, record: Record, shop: dict[str, str], folder: Path
) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("list out", "owner")
        await walk.settle()
        for choice, answer, refusal in (("1", "2099-01-01", "in the future"), ("3", "QQQ", "not a currency")):
            await walk.answer(choice)
            await walk.answer(answer)
            assert refusal in walk.said
            await walk.press("escape")
            if walk.frame.line.value:
                await walk.press("escape")
        assert "for the owner" in walk.text()
        await walk.answer("day")
        await walk.answer("2026-01-01")
        assert "as of 1 Jan 2026" in walk.text()
        await walk.press("enter")
        await walk.answer("list.doc")
        assert "not as" in walk.said
        await walk.press("escape", "escape", "escape")
        assert walk.view.where() == "Today"

    before = verify(record).entries
    browse(walked)
    assert verify(record).entries == before
    assert list(folder.iterdir()) == []
