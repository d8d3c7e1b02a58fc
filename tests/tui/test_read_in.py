"""In and Out: a sheet chosen, its headers answered, tried, read in and taken back; a file written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from inventory.sheets.columns.questions import SheetQuestion, key_of
from inventory.sheets.columns.saved_mappings import saved_mappings
from inventory.store.record import Record
from inventory.verification import verify
from tests.owners.files import write_owner
from tests.owners.owner import SHEETS as OWNERS
from tests.owners.owner import Owner, load_owner
from tests.seven import seven_facts
from tests.tui.conftest import BY

SIZES = [(80, 24), (160, 50), (60, 30)]
ROWS = [
    "Teileliste;;;;",
    "Teil;Serien-;Lager-;gekauft;Preis",
    ";nummer;ort;am;EUR",
    "Drucksensor;71-9001;Regal A1;03.04.2019;1.250,00",
    "Relaiszeug;9002;Regal A2;ca. 2012;12,50",
    "Relaiss;9003;Regal A2;2019;12,50",
    "Summe;;;;1.275,00",
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own, in which the browser was begun."""
    place = tmp_path / "sheets"
    (place / "older").mkdir(parents=True)
    (place / "friend.csv").write_text("\n".join(ROWS) + "\n", encoding="cp1252")
    (place / "picture.jpg").write_bytes(b"\xff\xd8\xff")
    monkeypatch.chdir(place)
    return place


async def to_in(walk: Any) -> None:
    walk.frame.go_to("in")
    await walk.settle()


@pytest.mark.parametrize("size", SIZES)
def test_a_friends_sheet_is_read_in_and_taken_back(
    browse: Any, record: Record, folder: Path, size: tuple[int, int]
) -> None:
    async def walked(walk: Any) -> None:
        await to_in(walk)
        assert "friend.csv" in walk.text()
        assert "picture.jpg" not in walk.text()
        await walk.press("enter")
        assert "Trial, nothing written." in walk.text()
        assert 'the header "Teil"' in walk.text()
        assert "Drucksensor" in walk.text()
        await walk.press("enter")
        assert "Nothing is taken for it" in walk.said
        await walk.press("end", "enter")
        assert "answered first" in walk.said
        await walk.answer("kind")
        assert "Esc takes the answer back." in walk.said
        assert '"Relaiss"' in walk.text()
        await walk.press("escape")
        assert 'the header "Teil"' in walk.text()
        await walk.answer("1")
        assert '"Relaiss"' in walk.text()
        await walk.answer("relay")
        assert "3 rows ready (3 new)" in " ".join(walk.text().split())
        assert verify(record).entries == before
        await walk.press("end", "enter")
        assert "Ctrl+Z takes it back." in walk.said

    before = verify(record).entries
    browse(walked, size)
    with record.read() as session:
        assert [each.by for each in saved_mappings(session)] == [BY]
    assert verify(record).ok


def test_what_cannot_go_in_is_shown_and_put_into_a_workbook_that_needs_no_answer(
    browse: Any, record: Record, folder: Path
) -> None:
    (folder / "friend.csv").write_text("kind;serial;place;Wo\nRelaiss;1;A;\n;;B;links\n;;C;\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter")
        while isinstance(walk.view._rows.item, SheetQuestion):
            await walk.answer("1")
        assert "1 row ready (1 new), 2 cannot go in" in walk.text()
        assert "2 rows to friend to correct.xlsx" in walk.text()
        await walk.press("down", "down")
        assert "rows 3, 4" in walk.text()
        await walk.press("right")
        assert "Wo: links" in walk.text()
        await walk.press("left", "end", "home", "enter")
        assert walk.said == "1 new. 2 rows to correct in friend to correct.xlsx. Ctrl+Z takes it back."
        page = load_workbook(folder / "friend to correct.xlsx")
        page["parts"]["A2"] = page["parts"]["A3"] = "Relais"
        page.save(folder / "friend to correct.xlsx")
        await to_in(walk)
        await walk.answer("friend to")
        assert "Layout known since" in walk.text()
        assert "REMEMBERED" in walk.text()
        await walk.press("enter")
        assert walk.said.startswith("2 new.")
        await walk.press("ctrl+z", "enter")
        assert "Taken back" in walk.said

    browse(walked)
    assert verify(record).ok


def test_hidden_tabs_are_a_question_and_a_file_of_hidden_tabs_is_asked_about(browse: Any, folder: Path) -> None:
    book = Workbook()
    for name, page in (("shelf", book.active), ("old", book.create_sheet())):
        page.title = name
        page.append(["kind", "serial"])
        page.append(["relay", name])
    book["old"].sheet_state = "hidden"
    book.save(folder / "some.xlsx")
    book.active = book.create_sheet("empty")
    book["shelf"].sheet_state = "hidden"
    book.save(folder / "all.xlsx")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.answer("some")
        assert 'hidden tabs: "old"' in walk.text()
        assert "--hidden" not in walk.text()
        await walk.answer("read too")
        assert "2 rows ready (2 new)" in walk.text()
        await to_in(walk)
        await walk.answer("all")
        assert "They are hidden." in walk.text()
        await walk.answer("1")
        assert "2 rows ready (2 new)" in walk.text()

    browse(walked)


def test_a_large_read_is_counted_before_it_is_taken_back(browse: Any, record: Record, folder: Path) -> None:
    seven_facts(folder / "many.csv", 40)

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.answer("many")
        await walk.press("enter")
        assert "40 new" in walk.said
        await walk.press("ctrl+z")
        text = walk.text()
        assert "40 x marking" in text
        assert "40 x seal sighting" in text
        assert "the first of them:" in text
        assert "every judgement on these" in text
        await walk.press("enter")
        assert "Taken back: sheet read in" in walk.said
        await walk.press("ctrl+z", "enter")
        assert "Taken back: withdrawal" in walk.said

    browse(walked)
    assert verify(record).ok


def test_a_header_is_changed_by_choosing_it_and_typing_the_column(browse: Any, folder: Path) -> None:
    (folder / "friend.csv").write_text("kind,serial,Colour\nrelay,9009,grey\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter", "tab")
        assert "kept as it is" in walk.text()
        await walk.press("home", "down", "down")
        await walk.answer("colour of it")
        assert "Unknown column" in walk.said
        await walk.press("escape")
        await walk.answer("marks")
        assert walk.said == '"Colour" is read as marks.'
        await walk.press("tab")
        assert "1 row ready (1 new)" in walk.text()
        await walk.press("escape", "tab")
        assert "kept as it is" in walk.text()

    browse(walked)


def test_one_of_two_headers_of_one_name_is_changed_by_itself(browse: Any, folder: Path) -> None:
    (folder / "friend.csv").write_text("kind,serial,Note,Note\nrelay,9009,grey,dry\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter", "tab")
        await walk.press("home", "down", "down", "down")
        await walk.answer("marks")
        assert walk.said == '"Note (2)" is read as marks.'
        assert "notes grey, marks dry" in walk.text()

    browse(walked)


def test_what_no_cell_decides_is_asked_for_the_file(browse: Any, record: Record, folder: Path) -> None:
    (folder / "friend.csv").write_text("kind,serial,bought on,price\nrelay,9009,3/4/2019,12.50\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter")
        await walk.answer("day-first")
        await walk.answer("chf")
        assert "1 row ready (1 new)" in walk.text()
        await walk.press("end", "enter")
        assert walk.said.startswith("1 new.")

    browse(walked)
    assert verify(record).ok


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("friend.csv", b"", "no known columns"),
        ("friend.csv", b"colour;taste\nred;sweet\n", "no known columns"),
        ("friend.xlsx", b"PK\x03\x04 and no more", "cannot be read"),
    ],
)
def test_a_file_that_cannot_be_read_is_said_and_another_can_be_chosen(
    browse: Any, folder: Path, name: str, content: bytes, says: str
) -> None:
    (folder / "friend.csv").unlink()
    (folder / name).write_bytes(content)

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter")
        assert says in walk.said
        assert name in walk.text()

    browse(walked)


def test_folders_are_walked_and_a_path_can_be_typed(browse: Any, folder: Path) -> None:
    (folder / "older" / "old.csv").write_text("kind,serial\nrelay,1\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.answer("older")
        assert "old.csv" in walk.text()
        await walk.answer("nothing like it")
        assert "No file or folder" in walk.said
        await walk.press("escape")
        await walk.answer(str(folder / "friend.csv"))
        assert 'the header "Teil"' in walk.text()

    browse(walked)


@pytest.mark.parametrize("size", SIZES)
def test_a_file_is_written_and_not_over_another_unasked(
    browse: Any, record: Record, folder: Path, size: tuple[int, int]
) -> None:
    async def walked(walk: Any) -> None:
        for answers in (("8", "all.ods"), ("8", "all.ods", "2", "all2.xlsx"), ("8", "all.ods", "1"), ("10", "")):
            walk.frame.go_to("out")
            await walk.settle()
            for answer in answers:
                await walk.answer(answer) if answer else await walk.press("enter")
            assert walk.said.startswith("Written:")
        walk.frame.go_to("out")
        await walk.settle()
        await walk.answer("8")
        await walk.answer("all.doc")
        assert "must end in one of" in walk.said

    browse(walked, size)
    assert {path.name for path in folder.iterdir() if path.is_file()} >= {"all.ods", "all2.xlsx", "template.xlsx"}


def test_going_away_loses_no_answer_and_lends_none_to_another_file(browse: Any, folder: Path) -> None:
    (folder / "zebra.csv").write_text("kind,serial\nrelay,1\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter")
        await walk.answer("1")
        walk.frame.go_to("find")
        walk.frame.go_to("today")
        await walk.settle()
        assert 'friend.csv: not finished, stopped at "' in walk.text()
        await walk.answer("1")
        assert "1 answer of before." in walk.said
        assert 'the header "Teil"' not in walk.text()
        await to_in(walk)
        await walk.answer("zebra")
        assert "1 row ready" in walk.text()
        await walk.press("escape")
        await walk.answer("friend")
        assert 'the header "Teil"' not in walk.text()
        await walk.press("escape")
        assert 'the header "Teil"' in walk.text()
        walk.frame.go_to("today")
        await walk.settle()
        assert "not finished" not in walk.text()

    browse(walked)


def test_space_i_and_space_o_open_the_views(browse: Any, folder: Path) -> None:
    async def walked(walk: Any) -> None:
        for letter, words in (("i", "In: which file?"), ("o", "Out: write a file")):
            await walk.press("space")
            await walk.type(letter)
            await walk.until(lambda words=words: words in walk.text())
            await walk.press("escape")

    browse(walked)


def test_headers_with_no_rows_say_that_nothing_is_new(browse: Any, folder: Path) -> None:
    (folder / "friend.csv").write_text("kind,serial\n", encoding="utf-8")

    async def walked(walk: Any) -> None:
        await to_in(walk)
        await walk.press("enter")
        assert "There is nothing new in it" in " ".join(walk.text().split())

    browse(walked)


async def answered(walk: Any, owner: Owner) -> None:
    """Answer each question as the owner would, accept what is taken for the rest, and read the sheet in."""
    answers = {**{key_of("header", header): column for header, column in owner.maps.items()}, **owner.answers}
    for _ in range(40):
        question = walk.view._rows.item
        if not isinstance(question, SheetQuestion):
            break
        answer = answers.get(question.key, "")
        keys = [choice.key for choice in question.choices]
        if answer:
            await walk.answer(str(keys.index(answer) + 1) if answer in keys and not answer.isdecimal() else answer)
        elif question.taken:
            await walk.press("enter")
        else:
            await walk.press("down")
    await walk.press("enter")


@pytest.mark.parametrize("name", ["odenwald", "garage", "executor"])
def test_an_owners_sheet_is_in_after_few_presses_and_next_months_after_fewer(
    browse: Any, record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    owner = load_owner(OWNERS / f"{name}.toml")
    folders = [write_owner(owner, tmp_path, next_month=later).parent for later in (False, True)]
    presses: list[int] = []

    async def walked(walk: Any) -> None:
        for folder in folders:
            walk.frame.sitting.folder = folder
            await to_in(walk)
            walk.pressed = 0
            await walk.press("enter")
            await answered(walk, owner)
            assert "Ctrl+Z takes it back" in walk.said
            presses.append(walk.pressed)

    browse(walked)
    first, later = presses
    assert first <= 25
    assert later <= 4
    assert verify(record).ok
