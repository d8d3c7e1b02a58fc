"""Got: a part that did not come off a car here, asked as Strip asks, written as one act."""

from __future__ import annotations

from typing import Any

from inventory.card import card_of
from inventory.parts.actions import add_part
from inventory.parts.load_lines import find, lines
from inventory.parts.markings import Markings
from inventory.store.record import Record
from tui.drafts import drafts_of


def test_loose_part_from_an_empty_record(browse: Any, record: Record, label: str) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("2")
        assert walk.view.where().startswith("Got")
        await walk.answer(label)
        await walk.answer("pressure sensor")
        await walk.answer("HV 204 118")
        await walk.press("escape")
        assert drafts_of(record, "Ines").get("got")
        await walk.press("enter")
        await walk.answer("il")
        await walk.answer("K")
        await walk.press("enter")
        assert "Code read where?" in walk.text()
        await walk.answer("3")
        await walk.answer("ns")
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
        await walk.press("enter")
        await walk.answer("nl")
        await walk.answer("K")
        await walk.answer("seller")
        await walk.answer("ns")
        await walk.answer("nl")
        await walk.press("enter")
        await walk.answer("3")
        await walk.press("enter")
        assert not drafts_of(record, "Ines").all()

    browse(walked)
    with record.readonly() as source:
        (line,) = lines(source, find(source, ()).keys)
    assert (line.tag, line.kind, line.part_number, line.serial) == (label, "pressure sensor", None, None)
    assert (line.match_code, line.match_code_read_from, line.seal_state) == ("K", "seller", "not seen")
    assert (line.condition, line.place, line.whose) == (None, None, "customer's")


def test_kind_that_was_asked_about_stands_on_the_form_and_none_as_code_is_a_finding(browse: Any, label: str) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("2")
        await walk.answer(label)
        await walk.answer("9")
        assert 'Unknown kind "9"' in walk.said
        await walk.answer("presure sensor")
        await walk.answer("1")
        assert "+ kind       pressure sensor" in walk.text()
        await walk.press("enter")
        await walk.answer("none")
        assert "+ serial     none on it" in walk.text()
        await walk.answer("none")
        assert "+ code       never fitted" in walk.text()
        assert "Code read where?" not in walk.text()

    browse(walked)


def test_card_of_a_part_without_numbers_that_fit_names_no_command(browse: Any, record: Record) -> None:
    with record.write() as session:
        tag = add_part(session, "Ines", Markings("pressure sensor", None, "HV 204 118"))

    async def walked(walk: Any) -> None:
        await walk.answer(tag)
        assert "No mate on record: it is not recorded which numbers fit" in " ".join(walk.text().split())
        assert "matchmark" not in walk.text()

    browse(walked)
