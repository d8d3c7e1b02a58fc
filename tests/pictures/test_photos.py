"""`photos` and `document get` on both engines: nothing is written unasked, the folder stays as it is, once is enough."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from inventory.cars.actions import add_car
from inventory.cli.photo_questions import _answered, answers_of
from inventory.documents.actions import content
from inventory.documents.queries import documents_of
from inventory.errors import Misused, Refused
from inventory.labels.actions import stick, wrong
from inventory.labels.codes import CarSideCode, PartCode
from inventory.opening import open_record
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.pictures import read_folder as read_folder_module
from inventory.pictures.actions import attach_files, plan_pictures, write_pictures
from inventory.pictures.load_known import parts_of
from inventory.pictures.look import Answers
from inventory.pictures.plan import Question
from inventory.pictures.read_folder import files_in, look_at, read_folder
from inventory.pictures.read_newest import new_since, newest
from inventory.teardown import actions as teardown
from inventory.verification import verify
from tests.cli.conftest import Shop, _hand, file_shop, shop  # noqa: F401 - fixtures
from tests.pictures_made import make_picture

SENSOR, RELAY = "K4127-7", "D2222-6"


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """A camera's card with pictures of two parts."""
    folder = tmp_path / "card"
    make_picture(folder / "100" / "IMG_9.JPG", taken="2026:03:12 10:02:00")
    make_picture(folder / "100" / "IMG_10.JPG", "D22226", taken="2026:03:12 10:03:00")
    make_picture(folder / "IMG_8.JPG", "K41277", taken="2026:03:12 10:01:00")
    make_picture(folder / "101" / "IMG_11.JPG", taken="2026:03:12 10:04:00")
    (folder / "notes.txt").write_text("bought in spring")
    (folder / ".hidden.jpg").write_text("x")
    (folder / "link").symlink_to(folder)
    return folder


def _state(folder: Path) -> dict[Path, Any]:
    return {path: (path.stat().st_mtime_ns, path.is_file() and path.read_bytes()) for path in folder.rglob("*")}


def _parts(shop: Shop) -> None:  # noqa: F811
    shop.part("pressure sensor", tag=SENSOR)
    shop.part("relay", tag=RELAY)


@pytest.mark.parametrize("shift", ["-876601h", "+999999h"])
def test_clock_that_is_out_by_more_than_a_century_is_a_slip(shift: str) -> None:
    said = {"shows": "whole", "give": (), "leave": (), "clocks": (shift,), "hour": None}

    with pytest.raises(Misused) as refused:
        answers_of(said)

    assert refused.value.code == "not-a-shift"


def test_folder_that_is_left_out_may_be_named_in_another_way(card: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(card)

    assert [path.as_posix() for path in files_in(Path(), card / "100")] == ["IMG_8.JPG", "notes.txt", "101/IMG_11.JPG"]


def test_file_with_a_time_out_of_all_bounds_is_left_out(card: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Clock(datetime):
        @classmethod
        def fromtimestamp(cls, *_: Any) -> Any:
            raise OverflowError("year is out of range")

    monkeypatch.setattr(read_folder_module, "datetime", Clock)

    assert "out of range" in look_at(card / "IMG_8.JPG", "IMG_8.JPG").why_not


def test_pictures_go_to_their_parts_once(shop: Shop, card: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    _parts(shop)
    before, entries = _state(card), shop.entries()
    planned = shop.ok("photos", "card")
    assert planned["written"] == 0
    assert "--yes writes it" in shop.text("photos", "card")
    assert shop.answering(monkeypatch, "n\n", "photos", "card").count("Write 4 pictures") == 1
    assert shop.entries() == entries

    made = shop.ok("photos", "card", "--yes")

    assert made["written"] == 4
    assert made["parts"] == planned["parts"]
    assert [(part["tag"], [one["file"] for one in part["pictures"]]) for part in made["parts"]] == [
        (SENSOR, ["IMG_8.JPG", "100/IMG_9.JPG"]),
        (RELAY, ["100/IMG_10.JPG", "101/IMG_11.JPG"]),
    ]
    assert made["left_out"] == [{"file": "notes.txt", "why": "no picture"}]
    documents = shop.card(SENSOR)["documents"]
    assert [(each["document"], each["shows"], each["on"]) for each in documents] == [
        ("IMG_8.JPG", "other", "2026-03-12"),
        ("IMG_9.JPG", "whole", "2026-03-12"),
    ]
    assert shop.ok("verify")["ok"]
    assert _state(card) == before
    again = shop.ok("photos", "card", "--yes")
    assert (again["written"], len(again["left_out"])) == (0, 5)
    shop.ok("document", "get", documents[1]["digest"][:8], "-o", "out.jpg")
    assert Path("out.jpg").read_bytes() == (card / "100" / "IMG_9.JPG").read_bytes()


def test_labels_belong_to_the_parts_on_record(record: Any, make_parts: Callable[[], None]) -> None:
    make_parts()
    side, never_stuck, new = CarSideCode(SENSOR, 1), CarSideCode(SENSOR, 2), PartCode("E1111-4")
    with record.write() as session:
        stick(session, "Ines", side.printed, "plug")
    with record.write() as session:
        wrong(session, "Ines", SENSOR, new.tag)
    with record.read() as session:
        found = parts_of(session, {side, never_stuck, new, PartCode(SENSOR), PartCode(RELAY)})
    assert found == {side: new.tag, new: new.tag, PartCode(RELAY): RELAY}


def test_answers_on_the_command_line(file_shop: Shop, card: Path) -> None:  # noqa: F811
    _parts(file_shop)
    words = ["--give", f"IMG_8.JPG={RELAY}", "--leave", "100/IMG_10.JPG", "--shows", "damage", "--clock", "+1h4m"]

    made = file_shop.ok("photos", "card", *words)

    (part,) = made["parts"]
    assert (part["tag"], [one["shows"] for one in part["pictures"]]) == (RELAY, ["other", "damage", "damage"])
    assert part["pictures"][0]["taken"].startswith("2026-03-12T11:05:00")


def test_what_is_open_is_asked_at_the_terminal(
    file_shop: Shop,  # noqa: F811
    card: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    _parts(file_shop)
    make_picture(card / "A.JPG", taken="2026:03:12 09:00:00")
    make_picture(card / "B.JPG", taken="2026:03:12 11:02:30", camera=("Brightbox", "Two"))
    make_picture(card / "C.JPG", taken="2025:10:26 02:30:00")
    monkeypatch.setattr("inventory.pictures.actions.zone_of", lambda _: "Europe/Berlin")

    asked = file_shop.answering(monkeypatch, f"second\nsoon\n-1h\nK9\n{RELAY}\n\ny\n", "photos", "card")

    assert "Which of the two" in asked
    assert 'not "soon"' in asked
    assert '"K9" is not a tag' in asked
    with pytest.raises(Refused) as refused:
        _answered(Answers(), Question("repeated hour", "", ("C.JPG",), ""), "third")
    assert refused.value.code == "not-an-hour"
    given = {tag: [each["document"] for each in file_shop.card(tag)["documents"]] for tag in (SENSOR, RELAY)}
    assert given == {SENSOR: ["IMG_8.JPG", "IMG_9.JPG", "B.JPG"], RELAY: ["A.JPG", "IMG_10.JPG", "IMG_11.JPG"]}


def test_a_picture_that_changed_since_is_not_written_and_nothing_stays(
    record: Any, card: Path, make_parts: Callable[[], None]
) -> None:
    make_parts()
    looks = read_folder(card, lambda *_: None)
    with record.read() as session:
        plan = plan_pictures(session, looks, Answers())
    (card / "101" / "IMG_11.JPG").write_bytes(b"another")

    with pytest.raises(Refused) as refused:
        write_pictures(record, "Ines", card, plan.given, lambda *_: None)

    assert refused.value.code == "picture-changed"
    with record.read() as session:
        assert all(content(session, each.look.digest) is None for each in plan.given)


@pytest.fixture
def make_parts(record: Any) -> Callable[[], None]:
    from inventory.parts.actions import add_part

    def make() -> None:
        for tag in (SENSOR, RELAY):
            with record.write() as session:
                add_part(session, "Ines", Markings("relay"), tag=tag)

    return make


def test_new_pictures_since_the_part_before_and_attaching_them(record: Any, tmp_path: Path) -> None:
    tags = ["K4127-7", "D2222-6"]
    with record.write() as session:
        add_car(session, "Ines", "Green tourer")
        teardown.begin(session, "Ines", "Green tourer")
    make_picture(tmp_path / "pictures" / "old.jpg", taken="2020:01:01 10:00:00")
    with record.read() as session:
        assert new_since(session, "Green tourer", tmp_path / "pictures") is None
    for tag in tags:
        with record.write() as session:
            teardown.log(session, "Ines", Markings("relay"), teardown.ComingOff(), tag=tag)
        make_picture(tmp_path / "pictures" / f"{tag}.jpg")
    with record.read() as session:
        found = new_since(session, "Green tourer", tmp_path / "pictures")
    assert found is not None
    assert (found.tag, found.number, found.since) == ("D2222-6", 2, 1)
    paths = [each.path for each in found.pictures]
    assert {path.name for path in paths} == {"K4127-7.jpg", "D2222-6.jpg"}
    with record.write() as session:
        facts = attach_files(session, "Ines", found.tag, [*paths, tmp_path / "pictures" / "old.jpg"], "where it sat")
    assert len(facts) == 3
    with record.read() as session:
        documents = documents_of(session, part_row(session, found.tag).id)
        assert [each.on for each in documents if each.file_name == "old.jpg"] == ["2020-01-01"]
        assert not newest(session, tmp_path / "pictures")
    assert verify(record).ok


def test_file_that_grows_while_the_folder_is_read_is_told(card: Path) -> None:
    def grow(_step: str, done: int, _total: int | None) -> None:
        if done == 1:
            with (card / "101" / "IMG_11.JPG").open("ab") as file:
                file.write(b"more")

    why = {look.name: look.why_not for look in read_folder(card, grow)}
    assert why["101/IMG_11.JPG"] == "it changed while it was read; it may still be being copied"
    assert why["IMG_8.JPG"] == ""


def test_copy_for_others_and_a_document_whose_file_is_gone(file_shop: Shop, card: Path) -> None:  # noqa: F811
    tag = file_shop.part("relay")
    file_shop.ok("document", "add", tag, "card/IMG_8.JPG", "--shows", "where it sat")
    made = file_shop.ok("document", "get", "img_8.jpg", "--for", "others")
    copy = Path(made["file"])
    assert copy.name == "IMG_8-for-others.jpg"
    assert not Image.open(io.BytesIO(copy.read_bytes())).getexif()
    assert file_shop.refused("document", "get", "img_8.jpg", "--for", "others")["code"] == "file-exists"
    opened = open_record(file_shop.target)
    digest = made["digest"]
    assert opened.path
    (Path(f"{opened.path}.documents") / digest[:2] / digest).unlink()
    assert file_shop.refused("document", "get", "attachment-1")["code"] == "document-gone"
    opened.close()
