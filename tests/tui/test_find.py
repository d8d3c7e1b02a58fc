"""Find: search as you type, the list that is never all in memory, the three panes."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench import actions as bench
from inventory.facts.write import write as write_facts
from inventory.parts.actions import add_part, condition_rows, new_parts
from inventory.parts.markings import Markings
from inventory.parts.tables import Marking
from inventory.people.actions import begin_act
from inventory.store.days.dates import when_on
from inventory.store.facts import make_fact
from inventory.store.record import Record
from tui.data.find import PartLine
from tui.widgets.rows import PAGE, Fixed, Paged, RowList


def stock(record: Record, count: int) -> None:
    """Relays in one act."""
    with record.write() as session:
        act = begin_act(session, "part add", "Ines")
        when = when_on(None, act.today)
        rows: list[Any] = []
        for number, (thing, part) in enumerate(new_parts(session, count)):
            marking = make_fact(Marking, act, thing.id, when, kind="relay", part_number="12-R4", serial=f"S{number:05}")
            rows += [thing, part, marking, *condition_rows(act, thing.id, when, 1, None, None)]
        write_facts(session, act, rows)


def open_find(walk: Any) -> Any:
    walk.frame.go_to("find")
    return walk.settle()


def test_search_narrows_as_it_is_typed(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        assert "22 parts" in walk.text()
        await walk.type("HV 204-118")
        assert "1 part" in walk.text()
        assert shop["sensor"] in walk.text()
        assert "pressure sensor" in walk.text()

    browse(walked)


def test_number_not_found_names_the_near_ones(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        await walk.type("HV204181")
        assert 'No part has "HV204181". Near: HV 204 118 (1 part)' in walk.text()

    browse(walked)


def test_answers_that_come_late_are_dropped(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        view = walk.view
        shown: list[str] = []
        view.read("find", lambda _: "first", shown.append)
        view.read("find", lambda _: "second", shown.append)
        await walk.settle()
        assert shown == ["second"]

    browse(walked)


def test_enter_before_the_finds_came_goes_to_what_was_typed(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        await walk.pilot.press(*"HV310118", "enter")
        await walk.settle()
        assert walk.view.where() == f"Part {shop['unit']}"

    browse(walked)


def test_coming_back_finds_the_search_as_it_was(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        await walk.answer("204118")
        assert walk.view.where() == f"Part {shop['sensor']}"
        await walk.press("escape")
        assert walk.frame.line.value == "204118"
        assert "1 part" in walk.text()

    browse(walked)


def test_list_holds_pages_and_not_all_rows(browse: Any, record: Record) -> None:
    stock(record, 1200)

    async def walked(walk: Any) -> None:
        await open_find(walk)
        rows = walk.view._rows
        assert "1,000+ parts" in walk.text()
        assert isinstance(rows.source, Paged)
        assert rows.source.count() == 1000
        assert len(rows.source._pages) == 1
        await walk.press("end")
        assert isinstance(rows.item, PartLine)
        assert sorted(rows.source._pages) == [0, 9]
        await walk.press("home", "down")
        assert rows.cursor == 1

    browse(walked)


def test_pages_kept_are_few() -> None:
    asked: list[int] = []
    source = Paged(100_000, asked.append)
    for page in range(200):
        assert source.window(page * PAGE, 1) is None
        source.put(page, list(range(PAGE)))

    assert len(source._pages) == 20
    assert asked == list(range(200))
    assert source.window(199 * PAGE + 3, 2) == (3, 4)


def test_page_on_its_way_is_asked_for_once() -> None:
    asked: list[int] = []
    source = Paged(1000, asked.append)
    for row in range(50):
        source.window(row, 1)

    assert asked == [0]


def test_tap_chooses_and_a_second_one_goes_in(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        rows = walk.view._rows
        await walk.pilot.click(rows, offset=(5, 3))
        await walk.settle()
        assert rows.cursor == 3
        tag = rows.item.tag
        await walk.pilot.click(rows, offset=(5, 3))
        await walk.settle()
        assert walk.view.where() == f"Part {tag}"

    browse(walked)


def test_wide_screen_shows_list_part_and_why(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        await walk.type("204118")
        text = walk.text()
        assert "PRESSURE SENSOR" in text
        assert "Why: Seals" in text
        await walk.press("enter", "down")
        assert "Why: Vacuum hold" in walk.text()
        assert walk.view.where() == "Find: 204118"
        await walk.press("escape")
        await walk.type("5")
        assert walk.frame.line.value == "5"

    browse(walked, (160, 50))


@pytest.mark.parametrize("size", [(80, 24), (60, 30)])
def test_narrow_screen_shows_the_list_alone(browse: Any, shop: dict[str, str], size: tuple[int, int]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        await walk.type("204118")
        assert "Why: Seals" not in walk.text()

    browse(walked, size)


def test_run_that_could_not_tell_waits_with_what_would_decide(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    with record.write() as session:
        bench.run(session, "Ines", shop["sensor"], "hold", ["0s=50cmHg", "10s=46cmHg"], {"resolution": "2cmHg"})

    async def walked(walk: Any) -> None:
        assert f"2 {shop['sensor']} hold: cannot tell" in walk.text()
        await walk.answer("2")
        assert walk.view.where() == f"Part {shop['sensor']}"
        assert "UNDECIDED" in walk.text()

    browse(walked)


def test_what_is_typed_before_the_first_screen_stands_is_found(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        walk.view._waiting = None
        walk.view.opened()
        for key in ("3", "1", "0", "enter"):
            walk._send(key)
        await walk.settle()
        assert walk.view.where() == f"Part {shop['unit']}"

    browse(walked)


def test_nothing_found_is_said_and_opens_nothing(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("zzz9")
        assert 'No part has "zzz9"' in walk.said
        assert walk.view.where() == "Today"

    browse(walked)


def test_today_finds_under_its_lines_and_opens_by_number(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        assert "Green tourer: 0 parts off, 3 still on" in walk.text()
        await walk.type("310")
        assert '1 found for "310"' in walk.text()
        await walk.press("enter")
        assert walk.view.where() == f"Part {shop['unit']}"
        await walk.press("escape")
        await walk.answer("1")
        assert walk.view.where() == "Strip: Green tourer"

    browse(walked)


def test_set_of_letters_is_not_cut_off(browse: Any, record: Record) -> None:
    with record.write() as session:
        add_part(session, "Ines", Markings("control unit", match_code="O or Q"))

    async def walked(walk: Any) -> None:
        await open_find(walk)
        assert "O/Q" in walk.text()

    browse(walked)


def test_fewer_rows_are_shown_from_the_first(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_find(walk)
        rows = walk.view.query_one(RowList)
        rows.fill(Fixed(range(100)), cursor=99)
        rows.fill(Fixed(range(8)), cursor=7)
        assert rows.scroll_y == 0

    browse(walked)
