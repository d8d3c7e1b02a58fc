"""Out, what leaves the house: seen first, names asked one by one, written, and given to somebody."""

from __future__ import annotations

import json
import stat
from datetime import date
from pathlib import Path
from typing import Any
from zipfile import ZipFile

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


def test_half_of_a_pair_is_offered_for_sale_only_if_that_is_agreed_to(
    browse: Any, record: Record, shop: dict[str, str], folder: Path
) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.open_part(shop["sensor"])
        await walk.settle()
        walk.frame.go_to("out", walk.view.part_tag())
        await walk.settle()
        await walk.answer("5")
        await walk.press("enter")
        assert 'What "tested" means here' in walk.text()
        await walk.press("enter")
        assert shop["unit"] in walk.text()
        assert list(folder.iterdir()) == []
        await walk.press("enter")
        assert walk.said == "Type 1 or 2."
        await walk.answer("1")
        await walk.press("enter")
        assert walk.said.startswith("Sale sheet no. 1 is written")
        await walk.answer("A buyer from Nordhaven")

    browse(walked)
    assert [each.suffix for each in folder.iterdir()] == [".pdf"]


def test_a_passport_and_a_claim_take_no_document_unasked(
    browse: Any, record: Record, shop: dict[str, str], folder: Path, tmp_path: Path
) -> None:
    invoice = tmp_path / "invoice.txt"
    invoice.write_text("sold by Wanda Prell")
    with record.write() as session:
        note_value(session, "Wanda Prell", shop["sensor"], "850", "EUR", document=invoice)

    async def walked(walk: Any) -> None:
        for answers in (("4", shop["sensor"], "", "2", ""), ("3", "B2", date.today().isoformat(), "", "1", "")):
            walk.frame.go_to("out")
            await walk.settle()
            for answer in answers:
                await walk.answer(answer) if answer else await walk.press("enter")
            if "names somebody" in walk.said:
                await walk.answer("1")
            assert "is written" in walk.said
            await walk.press("enter")

    browse(walked)
    held = {path.name.partition("-")[0]: ZipFile(path).namelist() for path in folder.iterdir()}
    assert not [name for name in held["passport"] if "invoice" in name]
    assert [name for name in held["claim"] if "documents/" in name]


def test_what_a_paper_cannot_be_made_of_is_asked_again(
    browse: Any, record: Record, shop: dict[str, str], folder: Path
) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("paper out", ("setting", shop["sensor"]))
        await walk.settle()
        await walk.press("enter")
        await walk.press("enter")
        assert "Answer this first" in walk.said
        await walk.answer("HV 310 118 K")
        await walk.press("enter")
        assert "No work on" in walk.said
        assert "On which machine?" in walk.text()
        await walk.press("escape", "escape", "escape")
        assert walk.view.where() == "Today"
        walk.frame.go_to("paper out", ("after", ""))
        await walk.settle()
        await walk.press("enter", "enter")
        assert "What must never be parted" in walk.text()

    browse(walked)
    assert list(folder.iterdir()) == []


def test_progress_is_told_after_a_while_and_now_and_then(
    browse: Any, record: Record, shop: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    moments = iter([1.0, 1.2, 1.4, 1.5, 2.0])
    monkeypatch.setattr("tui.screens.leaving.monotonic", lambda: next(moments))

    async def walked(walk: Any) -> None:
        walk.frame.go_to("paper out", ("after", ""))
        view, said = walk.view, []
        monkeypatch.setattr(view, "post_message", lambda message: said.append(message.words))
        report = view.progress(Path("list.pdf"))
        for done in range(5):
            report(done * 10, 100)
        monkeypatch.undo()
        assert said == [
            "Writing list.pdf: item 20 of 100, about 2 s left",
            "Writing list.pdf: item 40 of 100, about 2 s left",
        ]

    browse(walked)


def test_the_page_for_those_who_come_after_is_called_so(
    browse: Any, record: Record, shop: dict[str, str], folder: Path
) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("paper out", ("after", ""))
        await walk.settle()
        for _ in range(6):
            if "is written" not in walk.said:
                await walk.press("enter")
        assert walk.said.startswith("Page for those who come after no. 1 is written")

    browse(walked)
    assert len(list(folder.iterdir())) == 1
