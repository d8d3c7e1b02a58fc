"""Bench: choose part and test, type readings with a verdict that follows, write down, draft, take back."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.bench.runs.queries import runs_of
from inventory.parts.queries import part_row
from inventory.store.record import Record
from tui.drafts import drafts_of
from tui.measuring import Measuring, completed


@pytest.mark.parametrize(
    ("text", "before", "expected"),
    [
        ("0s=50cmHg", "", "0s=50cmHg"),
        ("5 49", "0s=50cmHg", "5s=49cmHg"),
        ("5=49", "0s=50cmHg", "5s=49cmHg"),
        ("1min 48", "0s=50 cmHg", "1min=48cmHg"),
        ("30 1679", "20degC=2502ohm", "30degC=1679ohm"),
        ("forty", "0s=50cmHg", "forty"),
    ],
)
def test_units_are_carried_on(text: str, before: str, expected: str) -> None:
    assert completed(text, before) == expected


def test_named_readings_are_asked_in_turn_and_may_be_left_out() -> None:
    run = Measuring("resistance", (("primary", "ohm"), ("secondary", "ohm"), ("case", "ohm"))).begun()

    run = run.read("94.1").read("").read("OL")

    assert run.readings == ("primary=94.1ohm", "case=OL")
    assert run.stage == "beside"
    back = run.back()
    assert back is not None
    assert back.open_name == "case"


def test_repeats_of_a_named_reading_are_typed_on_one_line() -> None:
    run = Measuring("resistance", (("primary", "ohm"), ("case", "Mohm"))).begun().read("94.1; 94.3ohm").read("20")

    assert run.readings == ("primary=94.1ohm", "primary=94.3ohm", "case=20Mohm")


def test_a_draft_gives_the_run_back() -> None:
    run = Measuring("hold").begun(blank=True).blank_read("0s=50cmHg; 10 50").closed().read("0s=50cmHg; 5 49")

    again = Measuring("hold").begun(blank=True).resumed(run.as_answers())

    assert again.readings == ("0s=50cmHg", "5s=49cmHg")
    assert again.conditions() == {"blank": ["0s=50cmHg", "10s=50cmHg"]}
    assert again.stage == "readings"


async def _begin(walk: Any, tag: str, test: str) -> None:
    walk.frame.go_to("bench")
    await walk.settle()
    await walk.answer(tag)
    await walk.answer(test)


@pytest.mark.parametrize("size", [(80, 24), (160, 50), (60, 30)])
def test_the_verdict_follows_what_is_typed_and_enter_writes(
    browse: Any, shop: dict[str, str], record: Record, size: tuple[int, int]
) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "vacuum hold")
        assert "CARE  Nothing by mouth on the vacuum port" in walk.text()
        await walk.answer("0s=50cmHg; 10 50")
        await walk.press("enter")
        await walk.answer("0s=50cmHg; 5 48")
        await walk.type("10 47")
        assert "PASS about 47" in " ".join(walk.text().split())
        await walk.press("enter", "enter")
        assert "Record it?" in walk.text()
        await walk.answer("resolution 1cmHg")
        assert "resolution 1cmHg" in walk.text()
        await walk.press("enter")
        assert "Ctrl+Z takes it back" in walk.said
        assert walk.view.where() == f"Bench: {shop['sensor']}"

    browse(walked, size)
    with record.read() as session:
        run = runs_of(session, part_row(session, shop["sensor"]).id)[-1]
    assert run.fact.values["readings"] == ["0s=50cmHg", "5s=48cmHg", "10s=47cmHg"]
    assert run.fact.values["conditions"] == {"blank": ["0s=50cmHg", "10s=50cmHg"], "resolution": "1cmHg"}


def test_what_cannot_be_read_stays_on_the_line(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "resistance")
        await walk.answer("94 kg")
        assert "is a mass; a resistance is needed" in walk.said
        assert walk.frame.line.value == "94 kg"

    browse(walked)


def test_a_blank_that_cannot_be_read_stays_on_the_line(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "vacuum hold")
        for wrong in ("hold", "0s=50kg"):
            await walk.answer(wrong)
            assert walk.frame.line.value == wrong
            assert walk.view.question().ask.startswith("Blank, hose plugged: reading 1")
            await walk.press("escape")
        await walk.answer("0s=50cmHg")
        await walk.answer("10 50")
        assert walk.view.question().ask.startswith("Blank, hose plugged: reading 3")

    browse(walked)


def test_a_run_left_in_the_middle_waits_on_today_and_goes_on(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def left(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "resistance")
        await walk.answer("94.1")

    async def found(walk: Any) -> None:
        assert f"{shop['sensor']}, resistance: not finished" in walk.text()
        await walk.answer("1")
        assert "primary 94.1ohm" in walk.text()
        assert "Secondary, ohm?" in walk.text()
        await walk.answer("drop")
        await walk.press("enter")
        assert walk.said == "The readings were dropped. Nothing was recorded."

    browse(left)
    browse(found)
    assert drafts_of(record, "Ines").all() == ()


def test_ctrl_z_takes_a_run_back(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "resistance")
        await walk.answer("94.1")
        await walk.press("enter", "enter", "enter")
        assert "resistance: " in walk.said
        await walk.press("ctrl+z", "enter")

    browse(walked)
    with record.read() as session:
        runs = runs_of(session, part_row(session, shop["sensor"]).id)
    assert [run.procedure for run in runs] == ["hold"]


@pytest.mark.parametrize(("answer", "written"), [("1", "primary=0.0941kohm"), ("2", "primary=0.0941ohm")])
def test_a_reading_that_passes_one_prefix_up_is_asked_about_before_it_is_written(
    browse: Any, shop: dict[str, str], record: Record, answer: str, written: str
) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "resistance")
        await walk.answer("0.0941")
        await walk.press("enter", "enter", "enter")
        assert "0.0941 kohm would pass. Nothing is recorded yet." in walk.said
        await walk.press("enter")
        assert walk.said.startswith("Type 1 to 2")
        await walk.answer(answer)
        assert "resistance: " in walk.said

    browse(walked)
    with record.read() as session:
        assert runs_of(session, part_row(session, shop["sensor"]).id)[-1].fact.values["readings"] == [written]


def test_the_part_in_front_goes_on_the_bench_and_an_undecided_run_is_offered(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer(shop["sensor"])
        await walk.press("space", "b")
        await walk.until(lambda: walk.view.where() == f"Bench: {shop['sensor']}")
        await walk.settle()
        assert "vacuum hold" in walk.text()

    browse(walked)


def test_a_verdict_and_its_reasons_do_not_say_the_same_twice(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await _begin(walk, shop["sensor"], "vacuum hold")
        await walk.press("enter")
        await walk.answer("0s=50cmHg")
        assert " ".join(walk.text().split()).count("one reading is not enough") == 1

    browse(walked)
