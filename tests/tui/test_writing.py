"""Writes are the host's: they end and are told wherever one has gone, and nothing that is refused ends the browser."""

from __future__ import annotations

import sqlite3
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, Any

import pytest

from inventory.errors import Refused
from inventory.facts import take_back
from inventory.store.record import Record
from tui.drafts import drafts_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session


@contextmanager
def held(record: Record) -> Iterator[None]:
    """Another connection holds the record: whoever writes waits."""
    with closing(sqlite3.connect(record.path or "")) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


def send(walk: Any, *keys: str) -> None:
    """Keys of a hand, without waiting for what they bring about."""
    for key in keys:
        walk.frame.line.strokes.forget()
        walk.frame.line._last_ending = None
        walk._send(key)


async def to_the_seals(walk: Any, tag: str) -> None:
    walk.frame.open_part(tag)
    await walk.settle()
    walk.frame.do_for_part("note a seal")
    await walk.settle()
    await walk.answer("1")


async def leave_while_writing(walk: Any) -> None:
    send(walk, "d", "i")
    await walk.pilot.pause()
    send(walk, "enter")
    await walk.until(lambda: walk.frame.writing)
    send(walk, "escape", "escape")
    await walk.until(lambda: "Note a seal" not in walk.view.where())


def test_a_view_is_left_while_it_writes(browse: Any, shop: dict[str, str], record: Record) -> None:
    tag = shop["sensor"]

    async def walked(walk: Any) -> None:
        await to_the_seals(walk, tag)
        with held(record):
            await leave_while_writing(walk)
            assert "Still being written" in walk.said
        await walk.settle()
        assert "disturbed" in walk.said
        assert "recorded" in walk.said
        await walk.press("space")
        assert walk.frame._menu.display
        await walk.press("escape")

    browse(walked)
    with record.read() as session:
        last = take_back.last_act(session, "Ines", record.acts)
    assert last is not None
    assert last.what == "seal note"


def test_a_run_is_left_whole_while_it_is_written(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        walk.frame.go_to("bench", shop["sensor"])
        await walk.settle()
        await walk.answer("resistance")
        await walk.answer("94.1")
        await walk.press("enter", "enter")
        with held(record):
            send(walk, "enter")
            await walk.until(lambda: walk.frame.writing)
            await walk.until(lambda: "Still being written" in walk.said)
            send(walk, "escape")
            await walk.until(lambda: walk.view.where() == "Today")
            assert "Still being written" in walk.said
        await walk.settle()
        assert "resistance: " in walk.said
        assert "half answered" not in walk.text()

    browse(walked)
    assert drafts_of(record, "Ines").all() == ()


def test_a_write_refused_after_its_view_was_left_is_told(
    browse: Any, shop: dict[str, str], record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = shop["sensor"]

    def refuse(session: Session, *_: object, **__: object) -> str:
        session.connection()  # waits for whoever holds the record
        raise Refused("no-room", "This disk is full")

    async def walked(walk: Any) -> None:
        await to_the_seals(walk, tag)
        monkeypatch.setattr("tui.data.acts.note_seal", refuse)
        with held(record):
            await leave_while_writing(walk)
        await walk.settle()
        assert walk.said == "This disk is full. Nothing was changed."
        await walk.press("space")
        assert walk.frame._menu.display

    browse(walked)


def test_a_folder_in_the_place_of_the_drafts_ends_no_run(browse: Any, shop: dict[str, str], record: Record) -> None:
    drafts_of(record, "Ines").path.mkdir()

    async def walked(walk: Any) -> None:
        walk.frame.go_to("bench", shop["sensor"])
        await walk.settle()
        await walk.answer("vacuum hold")
        await walk.press("enter")
        await walk.answer("0s=50cmHg")
        assert "on this screen only" in walk.said
        await walk.answer("10s=48cmHg")
        await walk.press("enter", "enter")
        assert "Ctrl+Z takes it back" in walk.said

    browse(walked)
    with record.read() as session:
        last = take_back.last_act(session, "Ines", record.acts)
    assert last is not None
    assert last.what == "bench run"


def test_leaving_with_drafts_that_cannot_be_read(browse: Any, shop: dict[str, str], record: Record) -> None:
    drafts_of(record, "Ines").path.mkdir()

    async def walked(walk: Any) -> None:
        walk.app.action_leave()

    browse(walked)


def test_answers_wait_while_the_record_is_away(browse: Any, shop: dict[str, str], record: Record) -> None:
    away = Refused("server-away", "It cannot be reached", hint="check the server")

    async def walked(walk: Any) -> None:
        await to_the_seals(walk, shop["sensor"])
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("tui.data.acts.note_seal", _refusing(away))
            await walk.answer("di")
            assert walk.frame.line.value == "di"
            assert "It cannot be reached. Nothing was changed." in walk.said
        await walk.press("enter")
        assert "disturbed" in walk.said

        walk.frame.go_to("bench", shop["sensor"])
        await walk.settle()
        await walk.answer("vacuum hold")
        await walk.press("enter")
        await walk.answer("0s=50cmHg")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("tui.screens.bench.Bench.take", _refusing(away))
            await walk.answer("10s=48cmHg")
            assert walk.frame.line.value == "10s=48cmHg"
        await walk.press("enter")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("inventory.store.record.Record.write", _refusing(away))
            await walk.press("enter", "enter")
            assert "answers so far are kept on this machine" in walk.said
            assert drafts_of(record, "Ines").all()
        await walk.press("enter")
        assert "Ctrl+Z takes it back" in walk.said

    browse(walked)


def _refusing(refused: Refused) -> Any:
    def refuse(*_: object, **__: object) -> None:
        raise refused

    return refuse
