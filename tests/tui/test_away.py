"""The record goes away in the middle of a part: the questions go on, and what was confirmed is written once."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import pytest

from inventory.card import card_of
from inventory.errors import Refused
from inventory.store.record import Record
from tui.drafts import drafts_of

if TYPE_CHECKING:
    from collections.abc import Iterator

_AWAY = Refused("server-away", "It cannot be reached", hint="check the server")
_NOT_KNOWN = Refused("not-known-if-written", "It is not known whether this was written", unchanged=False)


@contextmanager
def refusing(how: Refused, *ways: str) -> Iterator[None]:
    """The record refuses to be read or written."""

    def refuse(*_: object, **__: object) -> None:
        raise how

    with pytest.MonkeyPatch.context() as patch:
        for way in ways or ("read", "write", "readonly"):
            patch.setattr(Record, way, refuse)
        yield


@contextmanager
def moved_away(record: Record) -> Iterator[None]:
    """The folder of the record goes away, as a disk does, and comes back."""
    assert record.path is not None
    here = record.path.parent
    there = here.rename(here.with_name(f"{here.name} away"))
    yield
    assert not here.exists()
    there.rename(here)


async def answers_of_a_sensor(walk: Any, label: str) -> None:
    await walk.answer(label)
    await walk.answer("1")
    await walk.press("enter")
    for answer in ("71-40822", "K", "in", "1"):
        await walk.answer(answer)


async def look(walk: Any) -> None:
    """What the timer does."""
    walk.frame._away.look()
    await walk.settle()


def removals(record: Record, label: str) -> int:
    with record.read() as session:
        return len(card_of(session, label)["removals"])


@pytest.mark.parametrize("by", ["server", "disk"])
def test_a_part_confirmed_while_the_record_is_away_is_written_once(
    browse: Any, shop: dict[str, str], record: Record, label: str, by: str
) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("1")
        with refusing(_AWAY) if by == "server" else moved_away(record):
            where = "on this machine" if by == "server" else "on this screen only"
            await walk.answer(label)
            assert (
                f"since {walk.frame._away.since}. You can go on; 1 answer waits {where}. You are told when it is back; the last Enter logs it."
                in walk.said
            )
            await walk.answer("1")
            assert f"2 answers wait {where}" in walk.said
            await walk.press("enter")
            for answer in ("71-40822", "K", "in", "1"):
                await walk.answer(answer)
            await walk.press("enter", "enter")
            assert f"The part waits {where}. It is logged when the record is back, and you are told." in walk.said
            await look(walk)
            assert "The part waits" in walk.said
        await look(walk)
        assert walk.said.startswith("Connected again. 12 answers went over: 1, pressure sensor")
        assert walk.view.interview.at == "label"
        await look(walk)
        assert not walk.frame.is_away

    browse(walked)
    assert removals(record, label) == 1
    assert drafts_of(record, "Ines").all() == ()


@pytest.mark.parametrize("last", ["not pressed", "withdrawn", "not known"])
def test_what_was_not_confirmed_is_not_written_by_itself(
    browse: Any, shop: dict[str, str], record: Record, label: str, last: str
) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("1")
        await answers_of_a_sensor(walk, label)
        with refusing(_AWAY):
            if last == "not pressed":
                walk.frame.record_away()
                await walk.settle()
            else:
                await walk.press("enter")
                assert "The part waits on this machine" in walk.said
            if last == "withdrawn":
                await walk.answer("broken stud")
                assert "Broken: stud." in walk.said
        if last == "not known":
            with refusing(_NOT_KNOWN, "write"):
                await look(walk)
            assert "not known whether this was written" in walk.said
        await look(walk)
        if last != "not known":
            assert walk.said == "Connected again. The part is ready: Enter logs it."
        with pytest.raises(Refused):
            removals(record, label)
        await walk.press("enter")
        assert "logged. Ctrl+Z" in walk.said

    browse(walked)
    assert removals(record, label) == 1


def test_a_file_that_went_away_is_told_at_once_and_nothing_is_made_in_its_place(record: Record) -> None:
    ways = (record.read, record.write, record.readonly)
    with record.read() as session:
        session.connection()
    with moved_away(record):
        for way in ways:
            with pytest.raises(Refused) as refused, way():
                pass
            assert refused.value.code == "record-away"
