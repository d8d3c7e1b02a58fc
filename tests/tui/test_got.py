"""Got: a part that did not come off a car here, asked as Strip asks, written as one act."""

from __future__ import annotations

from typing import Any

from inventory.card import card_of
from inventory.parts.load_lines import find, lines
from inventory.store.record import Record
from tui.drafts import drafts_of


def test_loose_part_from_an_empty_record(browse: Any, record: Record, label: str) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("2")
        assert walk.view.where().startswith("Got")
        await walk.answer(label)
        await walk.answer("pressure sensor")
        await walk.press("enter")
        await walk.answer("HV 204 118")
        await walk.press("escape")
        assert drafts_of(record, "Ines").get("got")
        await walk.press("enter", "enter")
        await walk.answer("K")
        await walk.press("enter")
        assert "Code read where?" in walk.text()
        await walk.answer("3")
        await walk.press("enter")
        await walk.answer("1 stud bent")
        await walk.answer("B2")
        await walk.answer("3")
        await walk.press("enter")
        assert f"pressure sensor {label}: entered." in walk.said
        await walk.press("ctrl+z", "enter")
        assert "Taken back" in walk.said

    browse(walked)
    with record.read() as session:
        card = card_of(session, label)
    assert not card["markings"]
    assert not card["provenance"]


def test_what_is_not_answered_is_not_known(browse: Any, record: Record, label: str) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space", "g")
        await walk.until(lambda: walk.view.where().startswith("Got"))
        await walk.answer(label)
        await walk.answer("pressure sensor")
        await walk.press("enter", "enter", "enter")
        await walk.answer("K")
        await walk.answer("seller")
        await walk.press("enter", "enter", "enter")
        await walk.answer("3")
        await walk.press("enter")
        assert not drafts_of(record, "Ines").all()

    browse(walked)
    with record.readonly() as source:
        (line,) = lines(source, find(source, ()).keys)
    assert (line.tag, line.kind, line.part_number, line.serial) == (label, "pressure sensor", None, None)
    assert (line.match_code, line.match_code_read_from, line.seal_state) == ("K", "seller", "not seen")
    assert (line.condition, line.place, line.whose) == (None, None, "customer's")
