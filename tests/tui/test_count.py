"""Count: a scanner, shelf by shelf, an interruption, what lies elsewhere; presses counted, drawn at three sizes."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.card import card_of
from inventory.counting.queries import not_here
from inventory.parts import actions as parts
from inventory.parts import tags
from inventory.parts.markings import Markings
from inventory.places import actions as places
from inventory.places.queries import shelf_order
from inventory.store.record import Record
from inventory.verification import verify

BY = "Ines"


@pytest.fixture
def rack(record: Record) -> dict[str, str]:
    """Two shelves of five relays each, one more shelf; tags as scanned, and the labels of the shelves."""
    with record.write() as session:
        for name, within in (("rack", None), ("B1", "rack"), ("B2", "rack"), ("C1", None)):
            places.add_place(session, BY, name, within=within)
        for shelf in ("B1", "B2"):
            for _ in range(5):
                tag = parts.add_part(session, BY, Markings(kind="relay"))
                places.put(session, BY, tag, shelf)
        keys = [place.id for _, place in shelf_order(session)]
        places.label_places(session, BY, keys)
        labels = {place.name: str(place.label).replace("-", "") for _, place in shelf_order(session)}
    with record.readonly() as source:
        from inventory.parts.load_lines import find, lines

        every = sorted(lines(source, find(source, ["relay"]).keys), key=lambda line: (str(line.place), line.tag))
    return labels | {f"{line.place} {at % 5}": line.tag for at, line in enumerate(every)}


def _bare(tag: str) -> str:
    return tag.replace("-", "")


async def _count(walk: Any) -> None:
    await walk.press("space", "c")
    await walk.until(lambda: walk.view.where().startswith("Count"))
    await walk.settle()


@pytest.mark.usefixtures("scanner")
def test_errand_ten_two_shelves_an_interruption_three_astray_and_one_missing(
    browse: Any, record: Record, rack: dict[str, str]
) -> None:
    """B1 holds its 0 to 3 and, astray, B2's 0 and 1; B2 holds 2 to 4 and B1's 4 is missing; a relay of nowhere on B2."""
    with record.write() as session:
        nowhere = parts.add_part(session, BY, Markings(kind="relay"))
    stranger = tags.issue(1, lambda _: ())[0]

    async def first(walk: Any) -> None:
        await _count(walk)
        walk.pressed = 0
        await walk.scan(rack["rack"])
        assert walk.view.where() == "Count: rack"
        await walk.scan(rack["B1"])
        for at in range(4):
            await walk.scan(_bare(rack[f"B1 {at}"]))
        await walk.scan(_bare(rack["B2 0"]))
        assert walk.said == f"{rack['B2 0']} belongs in B2; it lies in B1."
        await walk.scan(_bare(rack["B1 0"]))
        assert walk.said.startswith(f"{rack['B1 0']} counted ")
        await walk.scan(_bare(stranger))
        assert stranger in walk.said
        assert walk.pressed == 9

    browse(first)

    async def second(walk: Any) -> None:
        assert "Count of rack: not closed, 5 ticks" in walk.text()
        await walk.press("1", "enter")
        await walk.scan(_bare(rack["B2 1"]))
        assert walk.said == f"{rack['B2 1']} belongs in B2; it lies in B1."  # still at the shelf where it stopped
        await walk.scan(rack["B2"])
        for at in (2, 3, 4):
            await walk.scan(_bare(rack[f"B2 {at}"]))
        await walk.type(nowhere.lower())
        await walk.press("enter")
        assert "belongs in no place yet" in walk.said
        assert "7 here, 1 not here, 3 elsewhere" in walk.text()
        before = walk.pressed
        await walk.answer("done")
        assert "3 to note where they lie now?  1 all  2 none  3 each" in walk.text()
        await walk.press("1", "enter")
        assert "Close? 7 here, 1 not here, 3 elsewhere." in walk.text()
        await walk.press("enter")
        assert "Count 1 closed: 7 here, 1 not here, 3 elsewhere, 3 moved." in walk.said
        assert walk.pressed - before == 8

    browse(second)
    with record.read() as session:
        at = {name: card_of(session, tag).line.place for name, tag in rack.items() if " " in name}
        assert at["B2 0"] == at["B2 1"] == "B1" and card_of(session, nowhere).line.place == "B2"
        assert [each.tag for each in not_here(session).values()] == [rack["B1 4"]]
    assert verify(record).ok


def test_a_closed_count_is_taken_back_with_ctrl_z_and_goes_on(
    browse: Any, record: Record, rack: dict[str, str]
) -> None:
    async def walked(walk: Any) -> None:
        await _count(walk)
        await walk.answer("b1")
        assert "In B1: scan parts" in walk.text()
        await walk.answer(rack["B1 0"])
        await walk.answer(rack["B1 1"])
        await walk.answer("off")
        assert f"{rack['B1 1']} is no longer ticked" in walk.said
        await walk.answer("nonsense")
        await walk.answer("done")
        await walk.answer("off")
        assert walk.said == "Enter alone is yes; Esc goes back and changes nothing."
        await walk.answer("no")
        assert walk.said == "Nothing was changed." and "In B1: scan parts" in walk.text()
        await walk.answer("done")
        await walk.press("enter")
        assert "Count 1 closed: 1 here, 4 not here, 0 elsewhere" in walk.said
        await walk.press("ctrl+z")
        await walk.answer("no")
        assert walk.said == "Nothing was changed." and walk.view.where() == "Count"
        await walk.press("ctrl+z", "enter")
        assert "Taken back" in walk.said
        assert walk.view.where() == "Count: B1" and "1 here, 0 not here" in walk.text()
        await walk.answer("drop")
        await walk.press("enter")
        assert "Dropped" in walk.said and "Which shelf" in walk.text()

    browse(walked)
    with record.read() as session:
        assert not_here(session) == {}


def test_today_and_the_card_name_what_was_not_here(browse: Any, record: Record, rack: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await _count(walk)
        await walk.answer("b1")
        for at in range(4):
            await walk.answer(rack[f"B1 {at}"])
        await walk.answer("done")
        await walk.press("enter")
        await walk.press("escape", "escape")
        await walk.until(lambda: "Not here at count 1" in walk.text())
        assert f"{rack['B1 4']} relay, B1" in walk.text()
        await walk.press("1", "enter")
        assert "Stored in: B1, not here on" in walk.text()

    browse(walked)


def test_no_place_on_record_says_what_to_do(browse: Any, record: Record) -> None:
    async def walked(walk: Any) -> None:
        await _count(walk)
        assert "matchmark place add NAME" in walk.text()

    browse(walked)
