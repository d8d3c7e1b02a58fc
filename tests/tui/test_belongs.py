"""What belongs on a car: lists that are taken, and one position after another."""

from __future__ import annotations

from typing import Any

from inventory.cars.actions import add_car
from inventory.cars.queries import car_named, positions
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from tui.drafts import drafts_of

CAR = "Green tourer"


async def menu(walk: Any, letter: str, opened: str) -> None:
    """Space and a letter; it counts once no other character follows."""
    await walk.press("space", letter)
    await walk.until(lambda: walk.view.where() == opened)
    await walk.settle()


def views(record: Record, car: str = CAR) -> dict[str, Any]:
    with record.read() as session:
        return {view.name: view for view in positions(session, car_named(session, car).id)}


def test_a_ready_made_list_is_taken_and_a_position_is_said_question_by_question(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        await menu(walk, "v", "What belongs on a car")
        await walk.answer("1")
        assert "inner wing" in walk.text() and "still on" in walk.text()
        await walk.answer("from")
        await walk.answer("1")
        await walk.press("enter")  # four cylinders
        assert "21 listed" in walk.said
        await walk.answer("1")
        assert "= number     HV 204 118" in walk.text()
        await walk.press("enter", "enter")
        await walk.answer("HV 204 119")
        for _ in range(4):
            await walk.press("enter")
        await walk.answer("engine bay")
        await walk.answer("horn")
        assert "no other position" in walk.said
        await walk.answer("1")
        assert walk.view.question().enter == "yes"
        await walk.press("enter")
        assert "inner wing: listed" in walk.said
        assert walk.view._rows.cursor == 1, "the next position is chosen"

    browse(walked)
    view = views(record)["inner wing"]
    assert (view.numbers, view.area, view.behind, view.axis) == (("HV 204 119",), "engine bay", ("air horn",), "across")


def test_half_a_position_is_a_draft_and_an_unknown_kind_or_name_is_asked_about(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def begun(walk: Any) -> None:
        await menu(walk, "v", "What belongs on a car")
        await walk.answer("1")
        await walk.answer("iner wing")
        assert "Which position is meant" in walk.view.host._asked.question.ask
        await walk.answer("2")
        await walk.answer("relais")
        await walk.answer("1")
        await walk.answer("TR 12 003")

    browse(begun)
    (draft,) = drafts_of(record, "Ines").all()
    assert (draft.key, draft.stopped_at) == ("list:Green tourer", "numbers")

    async def resumed(walk: Any) -> None:
        await walk.answer("1")  # its line on Today
        assert "Belongs on: Green tourer: iner wing" in walk.view.where()
        await walk.answer("done")

    browse(resumed)
    view = views(record)["iner wing"]
    assert (view.kind, view.part_number) == ("relay", "TR 12 003")


def test_a_car_without_a_list_says_so_in_strip_and_list_opens_it(browse: Any, record: Record) -> None:
    with record.write() as session:
        add_car(session, "Ines", "Blue coupe")
        teardown.begin(session, "Ines", "Blue coupe", care="on stands")

    async def walked(walk: Any) -> None:
        await menu(walk, "s", "Strip")
        await walk.answer("1")
        assert "Nothing is listed for this car" in walk.text()
        await walk.answer("list")
        await walk.answer("1")
        await walk.answer("6")
        await walk.press("escape")
        assert walk.view.where() == "Strip: Blue coupe"
        assert "23 still on" in walk.view.middle()
        await walk.press("ctrl+z")
        await walk.press("enter")
        assert walk.view.middle() == "0 off, 0 still on", "what was made by the list goes with it"

    browse(walked)
    with record.read() as session:
        assert positions(session, car_named(session, "Blue coupe").id) == []
