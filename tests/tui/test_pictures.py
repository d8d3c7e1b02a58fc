"""Pictures in the browser: Space D adds, opens and refuses; new ones are offered after a part is logged in Strip."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable
from pathlib import Path
from time import time
from typing import Any, cast

import pytest

from inventory.card import card_of
from inventory.errors import Refused
from inventory.store import systems
from inventory.store.record import Record
from tests.pictures_made import make_picture
from tui.data.pictures import keep_folder, kept_folder
from tui.viewer import open_outside, print_picture


def _attached(record: Record, tag: str) -> list[tuple[str, str]]:
    with record.read() as session:
        return [
            (str(fact.values["document"]), str(fact.values["shows"])) for fact in card_of(session, tag)["documents"]
        ]


def test_newest_picture_takes_four_presses_once_a_folder_is_chosen(
    browse: Any, shop: dict[str, str], record: Record, tmp_path: Path
) -> None:
    folder, tag = tmp_path / "pictures", shop["sensor"]
    make_picture(folder / "old.jpg", taken="2026:03:01 10:00:00")
    make_picture(folder / "new.jpg", taken="2026:03:02 10:00:00")
    (folder / "paper.pdf").write_bytes(b"%PDF-1.7")

    async def walked(walk: Any) -> None:
        await walk.answer(tag)
        await walk.press("space", "d")
        await walk.until(lambda: walk.view.where() == f"Pictures: {tag}")
        await walk.settle()
        assert "No folder of pictures chosen yet" in walk.text()
        await walk.answer(str(folder))
        assert "Enter adds new.jpg" in walk.text()
        await walk.press("escape")
        walk.pressed = 0
        await walk.press("space", "d")
        await walk.until(lambda: walk.view.where() == f"Pictures: {tag}")
        await walk.settle()
        await walk.press("enter", "enter")
        assert walk.pressed == 4
        assert "new.jpg attached, shows whole" in walk.said
        await walk.answer("paper.pdf")
        await walk.answer("paper")
        await walk.answer("old.jpg")
        await walk.answer("where")
        await walk.answer("nowhere")
        assert "There is no file or folder" in walk.said
        await walk.press("escape", "ctrl+z", "enter")
        assert "Taken back" in walk.said

    browse(walked)
    assert _attached(record, tag) == [("new.jpg", "whole"), ("paper.pdf", "paper")]
    assert kept_folder(record, "Ines") == folder
    (kept,) = tmp_path.glob("*.pictures-*")
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_where_nothing_can_be_shown_it_says_so(
    browse: Any, shop: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(systems, "THIS", systems.LINUX)
    picture = make_picture(tmp_path / "a.jpg", taken="2026:03:01 10:00:00")
    paper = tmp_path / "run.sh"
    paper.write_text("#!/bin/sh\n")

    async def walked(walk: Any) -> None:
        await walk.answer(shop["sensor"])
        await walk.press("space", "d")
        await walk.until(lambda: walk.view.where().startswith("Pictures"))
        for path in (paper, picture):
            await walk.answer(str(path))
            await walk.press("enter")
        await walk.press("enter")
        assert "Only pictures and PDF files are opened" in walk.said
        await walk.press("down", "enter")
        assert "There is no viewer on this machine" in walk.said
        await walk.press("right")
        assert "This terminal cannot show pictures" in walk.said

    browse(walked)


def test_what_cannot_be_shown_or_kept_is_refused(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def code(act: Callable[[], object]) -> str:
        with pytest.raises(Refused) as refused:
            act()
        return refused.value.code

    held = make_picture(tmp_path / "a.jpg").read_bytes()
    assert code(lambda: open_outside(b"#!/bin/sh", "abc", "text/x-sh")) == "not-opened"
    monkeypatch.setattr(systems, "THIS", systems.LINUX)
    monkeypatch.setattr("tui.viewer.shutil.which", lambda _: None)
    assert code(lambda: open_outside(held, "abc", "image/jpeg")) == "no-viewer"
    assert code(lambda: print_picture(held)) == "terminal-without-pictures"
    monkeypatch.setitem(sys.modules, "textual_image.renderable", cast(Any, None))
    assert code(lambda: print_picture(held)) == "pictures-not-drawn"
    monkeypatch.setattr("inventory.store.private_files.os.fsync", raise_full)
    assert code(lambda: keep_folder(record, "Ines", tmp_path)) == "folder-not-kept"


def raise_full(_: int) -> None:
    raise OSError(28, "No space left on device")


def test_viewer_is_given_a_copy_that_cannot_change_the_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[Any] = []
    monkeypatch.setattr(systems, "THIS", systems.LINUX)
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr("tui.viewer.shutil.which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr("tui.viewer.subprocess.Popen", lambda words, **_: given.extend(words))
    open_outside(b"a picture", "0123456789abcdef", "image/jpeg")
    command, copy = given
    assert command == "/usr/bin/xdg-open"
    assert (copy.name, copy.read_bytes()) == ("0123456789ab.jpg", b"a picture")
    assert stat.S_IMODE(copy.stat().st_mode) == 0o400


def test_pictures_since_the_part_before_are_offered_once(
    browse: Any, shop: dict[str, str], record: Record, tmp_path: Path, label: str
) -> None:
    folder = tmp_path / "pictures"
    make_picture(folder / "long ago.jpg", taken="2020:03:01 10:00:00")
    keep_folder(record, "Ines", folder)

    async def walked(walk: Any) -> None:
        await walk.answer("1")
        await walk.scan(label)
        await walk.answer("2")
        await walk.press("enter")
        await walk.answer("no")
        for name in ("a.jpg", "b.jpg"):
            path = make_picture(folder / name)
            os.utime(path, (time() + 2, time() + 2))
        await walk.answer("1")
        await walk.press("enter")
        await walk.settle()
        assert "Label, or 2 pictures since the start:  1 part 1  2 where it sat" in walk.text()
        await walk.answer("2")
        assert f"2 pictures attached to part 1, {label}." in walk.said
        assert "pictures since" not in walk.text()
        make_picture(folder / "c.jpg")
        os.utime(folder / "c.jpg", (time() + 3, time() + 3))
        walk.view.opened()
        await walk.settle()
        assert "1 picture since the start" in walk.text()
        await walk.press("escape")
        walk.view.opened()
        await walk.settle()
        assert "since the start" not in walk.text()
        assert walk.view.where().startswith("Strip")

    browse(walked)
    assert _attached(record, label) == [("a.jpg", "where it sat"), ("b.jpg", "where it sat")]
