"""The part's card: numbered judgements, why one step at a time, sections, what is done to a part."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from inventory.card import card_of
from inventory.cars.actions import add_car
from inventory.facts.views import facts_of
from inventory.parts.actions import add_part, log_work
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.places.actions import add_place
from inventory.store.days import clock
from inventory.store.record import Record
from inventory.teardown.actions import fit
from tui.data.entries import Curve
from tui.picture import picture
from tui.widgets.curve import draw_curve


async def open_card(walk: Any, tag: str) -> None:
    walk.frame.open_part(tag)
    await walk.settle()


def test_card_says_what_it_is_and_what_is_judged(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        text = walk.text()
        assert "PRESSURE SENSOR  Ostrell  HV 204 118  serial 71-40615  code K" in text
        assert "Stored in: B2" in text
        assert "[Trust]" in text
        assert "cap intact" in text
        assert "PASS  about 48" in text
        assert f"{shop['unit']}  CONFIRMED" in text
        assert "CARE  Nothing by mouth" in text

    browse(walked)


def test_right_unfolds_step_by_step_and_left_folds(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        await walk.press("down")
        await walk.press("right")
        first = walk.text()
        assert "gauge read to 1 cmHg" in first
        assert "as typed" not in first
        await walk.press("right", "right")
        assert "as typed 0s=50cmHg, 5s=49cmHg, 10s=48cmHg" in walk.text()
        await walk.press("right")
        assert "there is no more to show" in walk.said
        await walk.press("left", "left", "left")
        assert "gauge read to 1 cmHg" not in walk.text()

    browse(walked, (80, 60))


def test_number_and_why_typed_do_the_same(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        await walk.answer("2")
        assert "gauge read to 1 cmHg" in " ".join(walk.text().split())
        await walk.press("left")
        await walk.answer("why 1")
        assert "The worst counts; a broken one stays so until renewed or settled." in " ".join(walk.text().split())
        await walk.answer("99")
        assert "There is no number 99 here." in walk.said

    browse(walked)


def test_hold_is_drawn(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        await walk.answer("2")
        assert "limit 45" in walk.text()

    browse(walked)


def test_tab_goes_through_the_sections_and_taps_open_them(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        for name in ("Where", "Measured", "Done", "From", "Worth", "Pictures", "Log"):
            await walk.press("tab")
            assert f"[{name}" in walk.text()
        await walk.pilot.click(walk.view._pane._sections, offset=(2, 0))
        await walk.settle()
        assert "[Who]" in walk.text()
        assert walk.text().count("71-40615") >= 2

    browse(walked)


def test_empty_sections_name_the_next_act(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["unit"])
        await walk.press("tab", "tab")
        assert "Never measured here." in walk.text()

    browse(walked)


def test_label_on_no_part_is_said_where_it_was_read(browse: Any, shop: dict[str, str], label: str) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer(label)
        assert walk.view.where() == "Today"
        assert f"Label {label} is not on any part yet." in walk.said

    browse(walked)


def test_seal_is_noted_by_two_answers(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("note a seal")
        await walk.settle()
        await walk.answer("2")
        await walk.answer("1")
        assert walk.said.startswith("in intact, di disturbed")
        await walk.answer("in")
        assert f"{shop['sensor']}, sealant intact: recorded." in walk.said
        assert "sealant intact" in walk.text()

    browse(walked)
    with record.read() as session:
        seals = card_of(session, shop["sensor"])["seals"]
    assert [(fact.values["seal"], fact.values["state"], fact.by) for fact in seals][-1] == ("sealant", "intact", "Ines")


def test_keys_that_outrun_the_screen_keep_their_order(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("note a seal")
        for key in ("2", "enter", "m", "i", "enter"):
            walk._send(key)
        await walk.settle()
        assert f"{shop['sensor']}, sealant missing: recorded." in walk.said

    browse(walked)


def test_part_is_moved_and_a_new_place_is_asked_twice(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("move")
        await walk.settle()
        await walk.answer("C1")
        assert 'puts it in "C1"' in walk.text()
        await walk.press("enter")
        assert f"{shop['sensor']} is now in C1." in walk.said
        assert "Stored in: C1" in walk.text()

    browse(walked)


def test_a_near_place_is_asked_and_the_act_is_done_with_the_answer(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    with record.write() as session:
        add_place(session, "Ines", "crate green")

    async def walked(walk: Any) -> None:
        for typed, answer, place in (
            ("crate grene", "1", "crate green"),
            ("carte green", "2", "carte green"),
            ("s.o.", "", "carte green"),
        ):
            await open_card(walk, shop["sensor"])
            walk.frame.do_for_part("move")
            await walk.settle()
            await walk.answer(typed)
            if answer:
                assert "is not on record. Nothing was changed." in walk.said
                await walk.answer(answer)
            await walk.press(*(() if answer else ("escape",)))
            assert f"Stored in: {place}" in walk.text()

    browse(walked)


def test_undo_shows_first_and_can_be_undone(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["unit"])
        walk.frame.do_for_part("move")
        await walk.settle()
        await walk.answer("B2")
        assert "Stored in: B2" in walk.text()
        await walk.press("ctrl+z")
        assert "Take back: part moved" in walk.text()
        assert "put in B2" in walk.text()
        await walk.press("escape")
        assert "Stored in: B2" in walk.text()
        await walk.press("ctrl+z", "enter")
        assert "Taken back: part moved" in walk.said
        assert "Stored in: not said where" in walk.text()
        await walk.press("ctrl+z", "enter")
        assert "Stored in: B2" in walk.text()

    browse(walked)


def test_undo_takes_back_the_last_act_of_the_sitting_though_the_clock_went_back(
    browse: Any, shop: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the order in which they were written, not by their moments: the seal was noted at an earlier one than the move."""
    began = clock.now()

    async def walked(walk: Any) -> None:
        await open_card(walk, shop["unit"])
        walk.frame.do_for_part("move")
        await walk.settle()
        await walk.answer("B2")
        monkeypatch.setattr(clock, "now", lambda: began - timedelta(hours=5))
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("note a seal")
        await walk.settle()
        await walk.answer("1")
        await walk.answer("mi")
        await walk.press("ctrl+z", "enter")
        assert "Taken back: seal noted" in walk.said
        await open_card(walk, shop["unit"])
        assert "Stored in: B2" in walk.text()

    browse(walked)


def test_text_on_the_line_is_no_reason_for_taking_back(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await note(walk, shop["sensor"], "2", "in")
        await walk.type("12")
        await walk.press("ctrl+z")
        assert walk.view.where() == "Take back"
        assert walk.frame.line.value == ""

    browse(walked)


def test_undo_names_what_rests_on_it(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("note a seal")
        await walk.settle()
        await walk.answer("1")
        await walk.answer("mi")
        await walk.press("ctrl+z")
        text = walk.text()
        assert "cap missing" in text
        assert f"pair of {shop['sensor']} with {shop['unit']}, possible" in text

    browse(walked)


def test_picture_is_taken(record: Record, shop: dict[str, str], tmp_path: Path) -> None:
    picture(record, "204118", tmp_path / "pictures" / "browser.svg", by="Ines")

    drawn = (tmp_path / "pictures" / "browser.svg").read_text()
    assert drawn.startswith("<svg")
    assert "Vacuum" in drawn
    assert "limit" in drawn


def test_undo_reaches_no_further_than_this_sitting(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("ctrl+z")
        assert "You have nothing left to take back" in walk.said

    browse(walked)


def test_amending_keeps_the_fact_in_the_log(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        walk.frame.do_for_part("amend")
        await walk.settle()
        number = next(row.split()[0] for row in walk.shown() if "cap intact" in row)
        await walk.answer(number.lstrip(">") or walk.shown()[3].split()[1])
        assert f"pair of {shop['sensor']} with {shop['unit']}" in walk.text()
        await walk.press("enter")
        assert "Give the reason" in walk.said
        await walk.answer("wrong part")
        assert "Taken back: cap intact" in walk.said
        await walk.press("shift+tab", "shift+tab")
        assert "taken back: cap intact" in walk.text()

    browse(walked)
    with record.read() as session:
        facts = facts_of(session, part_row(session, shop["sensor"]).id, superseded=True)
    assert any(fact.reason == "wrong part" for fact in facts)


def test_curve_marks_readings_and_limit() -> None:
    lines = draw_curve(Curve(((0.0, 50.0), (5.0, 49.0), (10.0, 48.0)), "cmHg", (10.0, 45.0)), 50)

    assert sum(line.count("o") for line in lines[:-1]) == 3
    assert any("limit 45" in line and "x" in line for line in lines)
    assert lines[-1].lstrip().startswith("└0 s")
    assert lines[-1].endswith("10 s")


def test_curve_shows_between_what_it_stands_at_the_limit() -> None:
    curve = Curve(((0.0, 50.0), (10.0, 48.0), (20.0, 46.0)), "cmHg", (10.0, 45.0), (46.0, 49.0))

    lines = draw_curve(curve, 62)

    columns = {line.index(":") for line in lines[:-1] if ":" in line}
    assert len(columns) == 1
    assert 2 <= sum(line.count(":") for line in lines[:-1]) <= 5
    assert ": 95 %" in lines[-1]


@pytest.mark.parametrize("width", [14, 30, 62])
def test_curve_keeps_its_width(width: int) -> None:
    lines = draw_curve(Curve(((0.0, 50.0), (10.0, 50.0)), "cmHg", (10.0, 45.0)), width)

    assert max(map(len, lines)) <= max(width, 24)


def test_a_test_made_before_work_on_the_unit_says_so_first(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        log_work(session, "Ines", shop["sensor"], "heated to free a screw", "on the unit")

    async def walked(walk: Any) -> None:
        await walk.answer(shop["sensor"])
        text = " ".join(walk.text().split())
        assert "PASS, no longer counts: heated to free a screw since, " in text

    browse(walked)


async def note(walk: Any, tag: str, *answers: str) -> None:
    await open_card(walk, tag)
    walk.frame.do_for_part("note a seal")
    await walk.settle()
    for answer in answers:
        await walk.answer(answer)


def test_what_does_not_fit_is_asked_once_after_writing_then_from_today_and_the_card(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        await note(walk, shop["sensor"], "2", "mi")
        await note(walk, shop["sensor"], "2", "in")
        text = walk.text()
        assert walk.view.where() == f"Does not fit: {shop['sensor']}"
        assert "You say     sealant missing" in text
        assert "Until this is settled it counts as missing." in text
        assert f"pair with {shop['unit']}" in text
        assert "5 cannot be settled now" in text
        await walk.press("enter")
        assert walk.said.startswith("Type 1 to 5")
        await walk.press("escape")
        assert walk.view.where() == f"Part {shop['sensor']}"
        assert "Enter: what settles it" in " ".join(walk.text().split())
        await walk.answer("1")
        await walk.answer("5")
        assert walk.said.startswith("It stays open")
        assert walk.view.where() == f"Part {shop['sensor']}"
        await note(walk, shop["sensor"], "2", "in")
        assert walk.view.where() == f"Part {shop['sensor']}"  # put off: not asked twice
        walk.frame.go_to("today")
        await walk.settle()
        assert " Does not fit: " in walk.text()
        await walk.answer("2")
        assert walk.view.where() == f"Does not fit: {shop['sensor']}"
        await walk.answer("3")
        await walk.press("enter")
        assert walk.said.startswith("Say why")
        await walk.answer("it was the label that I saw")
        await walk.press("enter")
        assert walk.said.startswith("Settled by word")
        assert walk.view.where() == "Today"

    browse(walked)
    with record.read() as session:
        assert part_row(session, shop["sensor"]).seal_state == "intact"


def test_what_does_not_fit_about_a_position_names_both_parts_and_asks_when_it_came_off(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    with record.write() as session:
        add_car(session, "Ines", "Blue coupe")
    with record.write() as session:
        other = add_part(session, "Ines", Markings("pressure sensor", part_number="HV 204 118"))
    for tag, car in ((shop["sensor"], "Green tourer"), (other, "Green tourer"), (other, "Blue coupe")):
        with record.write() as session:
            fit(session, "Ines", tag, "front bay", car=car)

    async def walked(walk: Any) -> None:
        await walk.settle()
        for name, expected in (
            ("whereabouts", "its whereabouts count as open"),
            ("position", "the position and the whereabouts"),
        ):
            chosen = next(line for line in walk.shown() if name in line)
            await walk.answer(chosen.strip(" >").split()[0])
            text = walk.text()
            assert f"Until this is settled {expected}" in text, "the line that was chosen"
            if name == "whereabouts":
                await walk.press("escape")
        assert f"{shop['sensor']}: fitted to the Green tourer, front bay" in text
        assert f"{other}: fitted to the Green tourer, front bay" in text
        assert f"both are right: {shop['sensor']} came off between" in text
        await walk.press("escape")
        await open_card(walk, other)
        await walk.answer("1")
        await walk.answer("1")
        assert "When did it come off" in walk.shown()[-2]
        await walk.answer("not known")
        assert walk.said.startswith("Settled by word")
        assert walk.view.where() == f"Does not fit: {other}", "what is left was read again"

    browse(walked)


def test_another_seal_is_noted_there_and_my_own_look_is_taken_back(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        await note(walk, shop["sensor"], "2", "mi")
        await note(walk, shop["sensor"], "2", "in")
        await walk.answer("2")
        assert "1 cap" in walk.text()
        assert "sealant" not in walk.shown()[-2]
        await walk.answer("2")
        assert "label intact is noted" in walk.said
        await note(walk, shop["unit"], "1", "di")
        await note(walk, shop["unit"], "1", "in")
        await walk.answer("4")
        assert walk.said.startswith("Taken back: ")
        assert walk.view.where() == f"Part {shop['unit']}"

    browse(walked)
    with record.read() as session:
        facts = facts_of(session, part_row(session, shop["sensor"]).id)
        assert [fact.says for fact in facts if fact.table == "seal_sighting"][-1] == "label intact"
        of_unit = facts_of(session, part_row(session, shop["unit"]).id)
        assert [fact.values["state"] for fact in of_unit if fact.table == "seal_sighting"] == ["disturbed"]


def test_another_seal_and_its_look_are_taken_back_together(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await note(walk, shop["sensor"], "2", "mi")
        await note(walk, shop["sensor"], "2", "in")
        await walk.answer("2")
        await walk.answer("2")
        await walk.press("ctrl+z", "enter")
        card = " ".join(walk.text().split())
        assert "these cannot both be true" in card
        assert "label intact" not in card

    browse(walked)


def test_a_mishap_takes_four_presses_and_says_what_no_longer_counts(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        await open_card(walk, shop["sensor"])
        before = walk.pressed
        await walk.press("space", "e")
        await walk.until(lambda: walk.view.where() == f"Mishap: {shop['sensor']}")
        await walk.settle()
        assert "hold, " in walk.text()
        await walk.press("1", "enter")
        assert walk.pressed - before == 4
        assert "dropped. No longer counts: seal cap, hold. Ctrl+Z" in walk.said
        walk.frame.do_for_part("mishap")
        await walk.settle()
        assert "No test of this part counts now." in walk.text()
        await walk.answer("9 no such")
        assert walk.said.startswith("Type 1 to 4")
        await walk.answer("2 on the stove")

    browse(walked)
    with record.read() as session:
        facts = facts_of(session, part_row(session, shop["sensor"]).id)
        assert [fact.says for fact in facts if fact.table == "mishap"] == ["dropped", "heated: on the stove"]


def test_work_is_asked_where_and_a_given_answer_is_not_questioned(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    async def walked(walk: Any) -> None:
        for what, where in (("heated to free a screw", "1"), ("heated to free a screw", ""), ("new label", "")):
            await open_card(walk, shop["sensor"])
            walk.frame.do_for_part("note work")
            await walk.settle()
            await walk.answer(what)
            if where:
                assert walk.said.startswith('"heated" concerns the unit itself.')
                assert "Enter on the unit" in walk.text()
            await walk.answer(where)
        assert "work outside noted." in walk.said
        walk.frame.do_for_part("note work")
        await walk.settle()
        await walk.type("blasted")
        assert "CARE  Old paint may hold lead" in walk.text()

    browse(walked)
    with record.read() as session:
        facts = facts_of(session, part_row(session, shop["sensor"]).id)
        assert [fact.values["area"] for fact in facts if fact.table == "work"] == ["outside", "on the unit", "outside"]
