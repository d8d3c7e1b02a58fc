"""Refit: scans and typed answers hold ticks, `done` writes them as one act, a part that is not ready needs a reason."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.card import card_of
from inventory.labels import actions as labels
from inventory.labels.codes import CarSideCode
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.parts.tags import issue
from inventory.refit import actions as refit
from inventory.refit import write_jobs
from inventory.refit.plan import Step
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from tui.data.refit import elsewhere
from tui.drafts import drafts_of
from tui.ticks import Tick, from_answers, is_whole, to_answers
from tui.widgets.step import why_rows

BY, CAR = "Ines", "Green tourer"
SENSOR, UNIT, LEFT, RIGHT, INJECTOR, BRACKET = issue(6, lambda _: ())


def code(tag: str, number: int) -> str:
    return CarSideCode(tag, number).coded


@pytest.fixture
def apart(record: Record, shop: dict[str, str]) -> Record:
    """The tourer with a control unit, a sensor, two relays and a wet injector off, in the order of going back on."""
    off = [
        (BRACKET, "other", None, {}),
        (INJECTOR, "injector", "injector 1", {"at_port": "fuel, wet", "bag": "3"}),
        (RIGHT, "relay", "right wing", {}),
        (LEFT, "relay", "left wing", {}),
        (SENSOR, "pressure sensor", "inner wing", {"bag": "7", "axis": "across", "moved": "left wing"}),
        (UNIT, "control unit", "bulkhead", {}),
    ]
    with record.write() as session:
        for tag, kind, position, more in off:
            teardown.log(session, BY, Markings(kind=kind), ComingOff(position, **more), tag=tag)
    acts: list[tuple[Any, ...]] = [
        (teardown.fit, UNIT, "bulkhead"),
        (labels.stick, f"{SENSOR} C1", "plug"),
        (labels.stick, f"{SENSOR} C2", "hose"),
        (labels.stick, f"{LEFT} C1", "plug"),
        (parts.note, SENSOR, "stud cleaned"),
        (write_jobs.add_job, CAR, "clip the loom"),
    ]
    for act, *values in acts:
        with record.write() as session:
            act(session, BY, *values)
    return record


def fittings(record: Record, tag: str) -> list[dict[str, Any]]:
    with record.read() as session:
        return [fact.values for fact in card_of(session, tag)["fittings"]]


async def open_refit(walk: Any) -> None:
    await walk.press("space")
    await walk.pilot.press("r")
    await walk.until(lambda: walk.view.where() == f"Refit: {CAR}")
    await walk.settle()


@pytest.mark.usefixtures("scanner")
def test_both_labels_make_the_tick_and_a_foreign_one_says_whose_it_is(browse: Any, apart: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_refit(walk)
        assert "1 of 6 on, 0 ticked now" in walk.text()
        walk.pressed = 0
        await walk.scan(SENSOR.replace("-", ""))
        await walk.answer("for a trip")
        assert f"STEP 2   {SENSOR}   pressure sensor" in walk.text()
        assert "bag 7" in walk.text()
        await walk.scan(code(LEFT, 1))
        assert walk.said.startswith(f"NO: {LEFT} C1 belongs to another part")
        await walk.scan(code(SENSOR, 1))
        assert f"{SENSOR} C1 belongs to {SENSOR}" in walk.said
        assert "Scan hose label C2" in walk.text()
        await walk.scan(SENSOR.replace("-", ""))
        assert "its own label" in walk.said
        await walk.scan(code(SENSOR, 2))
        assert "pressure sensor: ticked against advice: for a trip" in walk.said
        await walk.scan(code(LEFT, 1))
        await walk.scan(LEFT.replace("-", ""))
        assert "left wing: ticked. 2 ticks held: type done to write" in walk.said

    browse(walked)
    assert not fittings(apart, SENSOR)
    assert not fittings(apart, LEFT)


def test_typed_answers_write_axis_screws_and_what_differs_and_one_undo_is_for_all(browse: Any, apart: Record) -> None:
    written: list[list[dict[str, Any]]] = []
    notes: list[str] = []

    async def walked(walk: Any) -> None:
        await open_refit(walk)
        await walk.answer("2")
        await walk.press("enter", "enter")
        await walk.answer("on")
        assert walk.said.startswith("NOT READY, pressure sensor: ")
        for no_reason in ("", "on", "done", "3", "?"):
            await walk.answer(no_reason)
            assert "Put it on against advice? Say why" in walk.text()
        await walk.answer("only to move the car")
        assert "1 tick held" in walk.said
        await walk.answer("3")
        await walk.answer("differs")
        await walk.answer("2x M6x25 hex")
        await walk.answer("over the heater box")
        await walk.press("enter")
        assert "left wing: ticked" in walk.said
        await walk.answer("4")
        await walk.answer("no l")
        await walk.answer("done")
        assert walk.said.startswith("Written: 3 parts on")
        assert f"Against advice: {SENSOR}. Ctrl+Z takes all of it back." in walk.said

        written.extend(fittings(apart, tag) for tag in (SENSOR, LEFT, RIGHT))
        with apart.read() as session:
            notes.extend(fact.values["text"] for fact in card_of(session, LEFT)["notes"])
        await walk.press("ctrl+z")
        await walk.press("enter")
        assert "1 of 6 on, 0 ticked now" in walk.text()

    browse(walked)
    (sensor,), (left,), (right,) = written
    assert (sensor["axis"], sensor["override"]) == ("across", "only to move the car")
    assert sensor["fasteners"] == "3x M6x20 hex"
    assert (left["fasteners"], right["car_side"]) == ("2x M6x25 hex", "no label")
    assert notes == ["refitted differently: route: over the heater box"]
    assert not any(fittings(apart, tag) for tag in (SENSOR, LEFT, RIGHT))


def test_ticks_are_kept_without_being_written_until_the_part_is_on(browse: Any, apart: Record) -> None:
    async def first(walk: Any) -> None:
        await open_refit(walk)
        for tag in (LEFT, RIGHT):
            await walk.answer(tag)
            await walk.answer("on")
        assert "2 ticks held" in walk.said

    async def again(walk: Any) -> None:
        assert "Refit of the Green tourer, 2 ticks: not finished" in walk.text()
        assert "Green tourer: 4 parts to go back on" in walk.text()
        await walk.answer("1")
        assert f"{LEFT}: on by now" in walk.said
        assert set(walk.view.held) == {RIGHT}
        with apart.write() as session:
            refit.fit(session, "Jory", RIGHT, "right wing")
        await walk.answer("done")
        assert f"Nothing was written. On already, not written again: {RIGHT}." in walk.said
        assert len(fittings(apart, RIGHT)) == 1
        await walk.answer(SENSOR)
        await walk.answer("for a trip")
        await walk.answer("drop")
        await walk.press("enter")
        assert not walk.view.held

    browse(first)
    assert not fittings(apart, LEFT)
    assert {key.split()[0] for key in drafts_of(apart, BY).all()[0].answers} == {LEFT, RIGHT}
    with apart.write() as session:
        refit.fit(session, "Jory", LEFT, "left wing")
    with apart.write() as session:
        teardown.close(session, BY, CAR)
    browse(again)
    assert not drafts_of(apart, BY).all()


def test_out_of_order_and_foreign_labels_are_told_and_a_missing_position_is_asked(browse: Any, apart: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_refit(walk)
        await walk.answer(LEFT)
        assert "Out of order: inner wing should be on before." in walk.said
        await walk.answer(UNIT)
        assert walk.said == f"{UNIT} is on already: bulkhead."
        await walk.answer(issue(1, lambda _: ())[0])
        assert "is on no part yet" in walk.said
        await walk.answer(BRACKET)
        await walk.answer("on")
        assert "Where does it go?" in walk.text()
        await walk.answer("bulkhead, left")
        await walk.answer("done")
        assert walk.said.startswith("Written: 1 part on.")

    browse(walked)
    assert [fact["position"] for fact in fittings(apart, BRACKET)] == ["bulkhead, left"]


@pytest.mark.parametrize("size", [(60, 30), (80, 24)])
def test_halves_reasons_and_what_to_buy(browse: Any, apart: Record, size: tuple[int, int]) -> None:
    async def walked(walk: Any) -> None:
        await open_refit(walk)
        await walk.answer("5")
        assert "NO: fuel seen" in walk.text()
        await walk.press("tab")
        assert "may it go on?  NO" in walk.text()
        assert ("ORDER" in walk.text()) == (size[0] > 60)
        await walk.press("right")
        assert "STOP  fuel seen" in walk.text()
        await walk.press("right")
        assert "WHAT TO BUY" in walk.text()
        await walk.press("left", "left")
        assert "may it go on?  NO" in walk.text()

    browse(walked, size)


def test_ticks_survive_the_draft_and_scans_alone_are_whole_with_all_labels_on_record() -> None:
    tick = Tick(part="K4127-7", why="a trip").with_label("K4127-7 C1").with_label("K4127-7 C1")
    held = {"K4127-7": tick, "job-3": Tick(at="2026-03-12T10:31:00.000000Z")}
    assert from_answers(to_answers(held)) == held
    assert tick.scanned == ("K4127-7 C1",)
    assert is_whole(tick, ())
    assert not is_whole(tick, ["K4127-7 C1", "K4127-7 C2"])
    assert not is_whole(Tick(part="K4127-7"), ())
    assert not is_whole(Tick(labels="K4127-7 C1"), ())


def test_reasons_are_wrapped_where_there_are_none_too() -> None:
    rows = [str(row) for row in why_rows(Step("removal-1", "left wing"), None, 30)]
    assert " ".join(" ".join(rows).split()) == "Nothing stands against it, and it need not wait."
    assert max(map(len, rows)) <= 30


def test_a_part_no_longer_ready_loses_its_tick_and_the_way_it_lies_now_is_judged(browse: Any, apart: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_refit(walk)
        await walk.answer(RIGHT)
        await walk.answer("on")
        with apart.write() as session:
            parts.assess(session, "Jory", RIGHT, 3, damage="mount cracked")
        await walk.press("question_mark", "escape")
        assert "right wing is not ready now: mounts not sound: mount cracked" in walk.said
        await walk.answer("done")
        assert "Nothing is ticked" in walk.said
        await walk.answer(SENSOR)
        await walk.answer("differs")
        await walk.answer("along")
        await walk.press("enter", "enter", "enter")
        assert walk.said.startswith("NOT READY, pressure sensor: ")
        assert "fore-and-aft" in walk.said
        await walk.press("escape")
        assert "left off. Nothing is held for it." in walk.said
        assert not walk.view.held.get(SENSOR)

    browse(walked)


def test_after_the_last_step_the_first_start_is_next(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        teardown.log(session, BY, Markings(kind="relay"), ComingOff("left wing"), tag=LEFT)

    async def walked(walk: Any) -> None:
        await open_refit(walk)
        await walk.answer("on")
        await walk.answer("done")
        assert "All on. The checks of the first start?" in walk.text()
        await walk.press("enter")
        assert walk.view.where() == f"First start: {CAR}"

    browse(walked)


def test_a_scanned_part_without_a_step_says_where_it_lies_and_how_it_gets_one(record: Record) -> None:
    with record.write() as session:
        spare = parts.add_part(session, "Ines", Markings(kind="relay"))
    with record.read() as session:
        says = elsewhere(session, spare)
    assert says.endswith(f"Where it lies is not noted. To put it on here: matchmark refit assign {spare} ...")
