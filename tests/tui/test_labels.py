"""Labels in the browser: on the car side, shown large, printed, put right; presses counted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from inventory.card import card_of
from inventory.labels import actions
from inventory.labels.codes import CarSideCode
from inventory.parts.actions import add_part
from inventory.parts.markings import Markings
from inventory.parts.queries import lines_of, part_row
from inventory.parts.tables import Part
from inventory.places import actions as places
from inventory.places.place_codes import issue_place_code
from inventory.places.queries import place_named
from inventory.store.record import Record
from inventory.verification import verify
from tests.tui.test_strip import labels, log_sensor, open_strip


@pytest.mark.usefixtures("scanner")
def test_labels_scanned_at_the_ramp_bind_what_stays_on_the_car(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    sensor, other = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(CarSideCode(sensor, 1).coded)
        assert "Scan the part's own label first" in walk.said
        await walk.scan(sensor)
        await walk.answer("1")
        await walk.press("enter")
        await walk.scan(CarSideCode(other, 1).coded)
        assert f"goes with {other}" in walk.said
        walk.pressed = 0
        await walk.scan(CarSideCode(sensor, 1).coded)
        assert f"{sensor} C1 is on what?" in walk.text()
        await walk.answer("1")
        assert walk.pressed == 3
        await walk.scan(CarSideCode(sensor, 1).coded)
        assert "noted already" in walk.said
        await walk.uncounted("71-40822")
        await walk.answer("K")
        await walk.answer("in")
        await walk.answer("1")
        await walk.press("enter")
        assert "1, pressure sensor" in walk.said

    browse(walked)
    with record.read() as session:
        card = card_of(session, sensor)
    (stuck,) = card["car_side_labels"]
    assert stuck.values["number"] == 1 and stuck.values["stuck_on"] in card["removals"][0].values["car_side"]
    assert verify(record).ok


@pytest.mark.usefixtures("scanner")
def test_a_wrong_label_is_put_right_from_the_card_and_taken_back(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    old, new = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await log_sensor(walk, old)
        await walk.press("escape", "escape")
        await walk.scan(old)
        walk.pressed = 0
        await walk.press("space", "l")
        await walk.until(lambda: walk.view.where() == f"Label: {old}")
        await walk.settle()
        assert "pressure sensor" in walk.text()
        await walk.answer("wrong")
        await walk.scan(new)
        assert f"{new} is on it, not {old}?" in walk.text()
        await walk.press("enter")
        assert f"{old} is {new} from now on" in walk.said
        assert walk.view.where() == f"Part {new}"
        assert walk.pressed == 10  # of them five letters; "2" does as well
        await walk.press("ctrl+z")
        assert f"label put right, {new}, " in walk.text()
        await walk.press("enter")
        assert walk.view.where() == f"Part {old}" and f"{old} today" in walk.said
        await walk.scan(new)
        assert walk.view.where() == f"Part {old}"
        await walk.press("space", "l")
        await walk.until(lambda: walk.view.where() == f"Label: {old}")
        await walk.settle()
        await walk.answer("2")
        await walk.scan(shop["unit"])
        await walk.press("enter")
        assert walk.said.endswith("Nothing was changed. If the two were mixed up: 3 swap with.")

    browse(walked)
    with record.read() as session:
        assert part_row(session, old).kind == "pressure sensor"
    assert verify(record).ok


def test_a_label_is_printed_beside_the_record_and_the_next_one_shown_large(
    browse: Any, shop: dict[str, str], tmp_path: Path, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tag,) = labels(1)
    monkeypatch.chdir(tmp_path)

    async def walked(walk: Any) -> None:
        await walk.press("space", "l")
        await walk.until(lambda: walk.view.where() == "Label: the next unused one")
        await walk.settle()
        first = walk.view._label.tag
        assert first[0] * 2 in walk.text()
        await walk.press("enter")
        assert walk.view._label.tag != first
        await walk.press("escape")
        await open_strip(walk)
        await log_sensor(walk, tag)
        await walk.press("escape", "escape")
        await walk.answer(tag)
        await walk.press("space", "l")
        await walk.until(lambda: walk.view.where() == f"Label: {tag}")
        await walk.settle()
        await walk.answer("1")
        await walk.answer("1")
        assert f"label-{tag}-2.pdf" in walk.said

    browse(walked)
    written = sorted(tmp_path.rglob("label-*.pdf"))
    assert len(written) == 2
    assert tag in pypdfium2.PdfDocument(written[0])[0].get_textpage().get_text_range()


def test_a_label_of_no_roll_and_one_used_already_are_told(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        roll = actions.new_roll(session, "Ines", 3, 1)
    (stranger,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(stranger)
        assert "on no roll of this record" in walk.said
        await walk.press("escape")
        await log_sensor(walk, roll.tags[0])
        await walk.answer(roll.tags[0])
        assert "Roll printed twice?" in walk.said

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_a_scanned_place_is_asked_about_and_only_a_hand_confirms(browse: Any, record: Record) -> None:
    with record.write() as session:
        tag = add_part(session, "Ines", Markings(kind="relay"))
        key = places.add_place(session, "Ines", "shelf C1")
        places.label_places(session, "Ines", [key])
        label = str(place_named(session, "shelf C1").label).replace("-", "")

    async def walked(walk: Any) -> None:
        await walk.scan(label)
        assert "No place is asked here" in walk.said
        await walk.scan(tag.replace("-", ""))
        await walk.scan(label)
        assert f"Put {tag} in shelf C1?" in walk.text()
        assert not _lies_in(record, "shelf C1")
        await walk.press("enter")
        assert f"{tag} is now in shelf C1" in walk.said
        assert _lies_in(record, "shelf C1") == [tag]
        await walk.press("escape", "space", "g")
        await walk.until(lambda: walk.view.where().startswith("Got"))
        await walk.scan(issue_place_code([label]).replace("-", ""))
        assert "No place is asked here" in walk.said

    browse(walked)


def _lies_in(record: Record, place: str) -> list[str]:
    with record.read() as session:
        return [line.tag for line in lines_of(session, Part.place_id == place_named(session, place).id)]
