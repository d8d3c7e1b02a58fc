"""The frame: the line, keys, the menu, scans, layouts, hostile text."""

from __future__ import annotations

import re
from typing import Any

import pytest

from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record
from tui.acts import ACTS, KEYS
from tui.data.today import Waiting

SIZES = [(80, 24), (160, 50), (60, 30)]


@pytest.mark.parametrize("size", SIZES)
def test_rows_stand_where_they_are_expected(browse: Any, shop: dict[str, str], size: tuple[int, int]) -> None:
    async def walked(walk: Any) -> None:
        rows = walk.shown()
        assert rows[0].startswith(" Today")
        assert "Ines" in rows[0]
        assert set(rows[1]) == {"─"}
        assert rows[-1].startswith("Enter take")
        assert any("Number, search, or scan:" in row for row in rows[-3:-1])
        assert len(rows) == size[1]
        assert all(len(row) <= size[0] for row in rows)

    browse(walked, size)


def test_empty_record_offers_its_beginnings(browse: Any) -> None:
    async def walked(walk: Any) -> None:
        text = walk.text()
        assert "Nothing is written down here yet." in text
        assert "1 Take a car apart" in text
        assert "2 Enter a loose part: bought, found, lying on a shelf" in text
        assert "3 Read in a sheet you keep already" in text
        assert "4 Look round the demo workshop (a separate record)" in text
        await walk.answer("1")
        assert walk.view.where() == "Strip"

    browse(walked)


def test_letters_go_to_the_line_and_write_nothing(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await walk.type("tnudhms")
        assert walk.frame.line.value == "tnudhms"
        assert walk.view.where() == "Today"

    browse(walked)


def test_escape_empties_the_line_then_goes_back(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space", "f")
        await walk.until(lambda: walk.view.where() == "Find")
        await walk.type("204")
        await walk.press("escape")
        assert walk.frame.line.value == ""
        assert walk.view.where() == "Find"
        await walk.press("escape")
        assert walk.view.where() == "Today"
        await walk.press("escape")
        assert walk.view.where() == "Today"

    browse(walked)


def test_one_letter_of_the_menu_goes_there(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space")
        text = walk.text()
        assert "Go to" in text
        for act in ACTS:
            assert re.search(rf"\b{act.letter.upper()}  {re.escape(act.words)}", text), act.name
        await walk.pilot.press("p")
        await walk.until(lambda: walk.view.where() == "Pair")

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_scan_while_the_menu_is_open_fires_no_letter(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space")
        await walk.scan(shop["sensor"].replace("-", ""))
        assert walk.view.where() == f"Part {shop['sensor']}"

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_what_was_refused_does_not_stand_over_the_part_that_is_read_next(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("no such part")
        assert "No part has" in walk.said
        await walk.press("escape")
        await walk.scan(shop["sensor"].replace("-", ""))
        await walk.until(lambda: walk.view.where() == f"Part {shop['sensor']}")
        assert walk.said == ""

    browse(walked)


def test_act_that_cannot_be_done_says_why(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space")
        assert "command: part describe" in walk.text()
        assert "choose a part first" in walk.text()
        await walk.pilot.press("k")
        await walk.until(lambda: "command: part describe" in walk.said)

    browse(walked)


@pytest.mark.parametrize("size", SIZES)
def test_key_words_can_be_tapped(browse: Any, shop: dict[str, str], size: tuple[int, int]) -> None:
    async def walked(walk: Any) -> None:
        row = str(walk.frame._keys.content)
        at = row.index("Space")
        for beside in (at - 1, len(row) + 1):
            await walk.pilot.click(walk.frame._keys, offset=(beside, 0))
            await walk.settle()
            assert "Go to" not in walk.text()
        for place in (at, at + len("Space go, do") - 1):
            await walk.pilot.click(walk.frame._keys, offset=(place, 0))
            await walk.settle()
            assert ("Go to" in walk.text()) is (place == at)

    browse(walked, size)


def test_help_names_every_key_and_every_act(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("question_mark")
        text = walk.text()
        assert all(use.explained[:30] in text for use in KEYS)
        assert all(act.words in text for act in ACTS)
        assert "drafts are kept." in " ".join(text.split())

    browse(walked, (100, 60))


def test_palette_finds_an_act(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.pilot.press("ctrl+p")
        await walk.pilot.pause()
        await walk.pilot.press(*"Hand over")
        await walk.until(lambda: "Hand over" in walk.text())
        await walk.pilot.pause(0.1)
        await walk.pilot.press("down", "enter")
        await walk.until(lambda: walk.view.where() == "Hand over")
        assert walk.app.focused is walk.frame.line

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_tag_scanned_anywhere_goes_to_its_part(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.scan(shop["unit"])
        assert walk.view.where() == f"Part {shop['unit']}"
        assert walk.frame.line.value == ""

    browse(walked)


def test_what_was_found_for_a_label_typed_on_today_goes_with_the_label(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.type(shop["sensor"])
        await walk.press("enter")
        await walk.press("escape")
        assert walk.view.where() == "Today"
        assert "found for" not in walk.text()

    browse(walked)


def test_a_number_on_today_stands_at_the_line_that_it_opens(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.type("1")
        assert 'found for "1"' in walk.text()
        assert walk.view._rows.item is walk.view._lines()[0]

    browse(walked)


def test_long_message_is_shown_whole(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.say(f"{'work on the unit noted, ' * 4}Ctrl+Z takes it back.")
        await walk.settle()
        assert "takes it back." in walk.text()
        assert walk.shown()[-1].startswith("Enter take")

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_unknown_scan_stays_readable(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.scan("400638133393")
        assert walk.frame.line.value == "400638133393"
        assert 'Scanned "400638133393"' in walk.said
        assert walk.view.where() == "Today"

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_label_scanned_into_an_answer_leaves_the_answer(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.type("one stud")
        await walk.scan(shop["sensor"])
        assert walk.frame.line.value == "one stud"
        assert f"Label {shop['sensor']} read. Enter opens it" in walk.said
        await walk.press("left")
        assert walk.frame.line.value == f"one stud {shop['sensor']}"

    browse(walked)


def test_name_in_row_one_changes_with_the_hand(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("hand over")
        await walk.settle()
        await walk.answer("Ole")
        assert "Ole" in walk.shown()[0]
        assert walk.app.sitting.by == "Ole"

    browse(walked)


HOSTILE = [
    "oops [/] y, M3 [A2-70] bolt, \x1b[31mred\x1b[0m, [bold]x[/bold]",
    "\U0001f468\u200d\U0001f469\u200d\U0001f467 " + "漢字かな" * 10 + "z" * 10_000,
]


@pytest.mark.parametrize("size", SIZES)
def test_hostile_text_is_only_text(browse: Any, record: Record, size: tuple[int, int]) -> None:
    tags = []
    for text in HOSTILE:
        with record.write() as session:
            tags.append(
                parts.add_part(session, "Ines", Markings("relay", text[:60], "12-R4", serial=text[:60]), remark=text)
            )

    async def walked(walk: Any) -> None:
        await walk.type("12r4")
        assert all(tag in walk.text() for tag in tags)
        walk.frame.go_to("find")
        await walk.settle()
        for tag in tags:
            walk.frame.open_part(tag)
            await walk.settle()
            for _ in range(2):
                await walk.press("shift+tab")
                assert "\x1b" not in walk.text()
            walk.frame.do_for_part("amend")
            await walk.settle()
            await walk.answer("1")
            assert "\x1b" not in walk.text()
            walk.frame.go_to("find")

    browse(walked, size)


def test_brackets_are_shown_as_they_are(browse: Any, record: Record) -> None:
    with record.write() as session:
        parts.add_part(session, "Ines", Markings("relay", None, "M3 [A2]/[/]"))

    async def walked(walk: Any) -> None:
        walk.frame.go_to("find")
        await walk.settle()
        assert "M3 [A2]/[/]" in walk.text()

    browse(walked)


def test_what_takes_its_time_waits_until_the_hand_rests(
    browse: Any, shop: dict[str, str], slow_hand: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tui.frame._REST_S", 3600.0)
    done: list[str] = []

    async def walked(walk: Any) -> None:
        await walk.type("204")
        assert not any(name == "undecided" for name in walk.view._turns)
        monkeypatch.setattr("tui.frame._REST_S", 0.001)
        walk.frame.when_idle(lambda: done.append("rested"))
        await walk.until(lambda: done == ["rested"])

    browse(walked)


def test_a_key_puts_off_what_waits_for_rest(
    browse: Any, shop: dict[str, str], slow_hand: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_off: list[str] = []
    monkeypatch.setattr("textual.timer.Timer.reset", lambda timer: put_off.append("put off"))

    async def walked(walk: Any) -> None:
        put_off.clear()
        await walk.press("down")
        assert put_off
        put_off.clear()
        await walk.type("2")
        assert put_off

    browse(walked)


def test_today_says_that_nothing_waits_only_when_it_has_looked() -> None:
    assert Waiting(False, ()).heading.startswith("Looking for what waits")
    assert Waiting(False, (), whole=True).heading.startswith("Nothing waits")
