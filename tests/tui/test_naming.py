"""Renaming and taking away, as they are typed."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.cars.queries import cars, positions
from inventory.store.record import Record
from tui.drafts import drafts_of
from tui.naming import Naming, naming

KNOWN = ("left wnig", "vacuum hose, sensor to manifold")


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("rename left wnig to left wing", Naming("left wnig", "left wing")),
        ("Rename 3  to  plug to earth", Naming("3", "plug to earth")),
        ("rename vacuum hose, sensor to manifold to hose", Naming("vacuum hose, sensor to manifold", "hose")),
        ("mistake vacuum hose, sensor to manifold", Naming(KNOWN[1], "", "a typing mistake")),
        ("mistake vacuum hose, sensor to manifold, twice", Naming(KNOWN[1], "", "twice")),
        ("mistake 3, listed twice", Naming("3", "", "listed twice")),
        ("rename it", None),
        ("left wing", None),
    ],
)
def test_what_is_typed_is_read(text: str, meant: Naming | None) -> None:
    assert naming(text, KNOWN) == meant


def test_car_and_position_are_renamed_and_taken_away_and_the_draft_goes_along(
    browse: Any, shop: dict[str, str], record: Record, label: str
) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("1")
        await walk.answer("rename left wing to left wing, front")
        assert "relay, left wing, front" in walk.text()
        await walk.answer("mistake 3, listed twice")
        assert "air horn is taken away" in walk.said
        await walk.press("ctrl+z", "enter")
        assert "air horn" in walk.text()
        await walk.answer("mistake 3")
        await walk.scan(label)
        await walk.press("space", "s")
        await walk.until(lambda: walk.view.where() == "Strip")
        await walk.settle()
        await walk.answer("rename 1 to Blue tourer")
        assert "Green tourer is now Blue tourer." in walk.said
        await walk.answer("mistake 1")
        assert "Part 1 off the Blue tourer is half answered." in walk.said

    browse(walked)
    assert [draft.key for draft in drafts_of(record, "Ines").all()] == ["off:Blue tourer"]
    with record.read() as session:
        (car,) = cars(session)
        assert [view.name for view in positions(session, car.id)] == ["inner wing", "left wing, front"]


def test_a_car_begun_by_mistake_is_taken_away_and_comes_back_with_its_strip_down(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space", "s")
        await walk.until(lambda: walk.view.where() == "Strip")
        await walk.settle()
        await walk.answer("Blue cuope")
        await walk.press("enter", "enter")
        assert walk.view.where() == "Strip: Blue cuope"
        await walk.press("escape", "space", "s")
        await walk.until(lambda: walk.view.where() == "Strip")
        await walk.settle()
        await walk.answer("mistake Blue cuope")
        assert "Blue cuope is taken away." in walk.said
        await walk.press("escape")
        assert "Blue cuope: 0" not in walk.text()
        await walk.press("ctrl+z", "enter")
        assert "Blue cuope: 0 parts off" in walk.text()

    browse(walked)
