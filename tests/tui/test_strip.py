"""Strip: presses per part, what is offered and what is always asked, labels, drafts, what stays on."""

from __future__ import annotations

from typing import Any

import pytest

from inventory.build_lists.actions import use_list
from inventory.card import card_of
from inventory.cars.actions import add_car
from inventory.facts.views import facts_of
from inventory.parts.tags import issue
from inventory.store.record import Record
from inventory.teardown import actions as teardown
from inventory.teardown.queries import open_strip_downs, status
from inventory.teardown.tables import StripDown
from tui.drafts import drafts_of

CAR = "Green tourer"


async def open_strip(walk: Any) -> None:
    await walk.answer("1")
    assert walk.view.where() == f"Strip: {CAR}"


def labels(count: int) -> list[str]:
    return issue(count, lambda _: ())


async def log_sensor(walk: Any, label: str) -> None:
    await walk.scan(label)
    await walk.answer("1")
    await walk.press("enter")
    await walk.uncounted("71-40822")
    await walk.answer("K")
    await walk.answer("in")
    await walk.answer("1")
    await walk.press("enter")


@pytest.mark.usefixtures("scanner")
def test_sensor_takes_thirteen_presses_and_a_relay_eight(browse: Any, shop: dict[str, str], record: Record) -> None:
    sensor, relay = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        walk.pressed = 0
        await log_sensor(walk, sensor)
        assert "1, pressure sensor" in walk.said
        assert walk.pressed == 13
        walk.pressed = 0
        await walk.scan(relay)
        await walk.answer("1")
        await walk.press("enter")
        await walk.uncounted("no")
        await walk.answer("1")
        await walk.press("enter")
        assert "2, relay" in walk.said
        assert walk.pressed == 8

    browse(walked)
    with record.read() as session:
        card = card_of(session, sensor)
    assert card.line.match_code == "K"
    assert card.line.seal_state == "intact"
    assert card.line.condition == "1"
    assert card.line.part_number == "HV 204 118"


def test_offer_taken_is_written_as_such_and_a_reading_as_a_reading(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("1")
        await walk.press("enter")
        await walk.answer("71-40822")
        await walk.answer("K")
        await walk.answer("mi")
        await walk.answer("2 stud bent")
        await walk.press("enter")

    browse(walked)
    with record.read() as session:
        card = card_of(session, label)
    known = {fact.how_known: fact.values for fact in card["markings"]}
    listed, read = known["from the position's list, looked at"], known["seen"]
    assert (listed["kind"], listed["part_number"], listed["serial"]) == ("pressure sensor", "HV 204 118", None)
    assert (read["kind"], read["serial"], read["match_code"]) == (None, "71-40822", "K")
    assert card["removals"][0].how_known == "from the position's list, looked at"
    assert card["removals"][0].values["position"] == "inner wing"
    assert [(fact.values["seal"], fact.values["state"]) for fact in card["seals"]] == [("cap", "missing")]
    assert card["assessments"][0].values["damage"] == "stud bent"


def test_seal_serial_and_condition_are_answered_by_no_enter_and_no_rhythm(
    browse: Any, shop: dict[str, str], record: Record, label: str
) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(label)
        await walk.answer("1")
        for key, said, answer in (
            ("serial", "Type the serial (one digit: serial 7), or: il not legible", "serial 7"),
            ("cap seal", "in intact, di disturbed, mi missing, re renewed, nf never fitted, ns not seen", "RE"),
            ("condition", "First 0, 1, 2 or 3", "0: as new"),
        ):
            await walk.press(*["enter"] * 10)
            assert (walk.view.interview.at, walk.said[: len(said)]) == (key, said)
            for wrong in (
                ("1", "i", "interesting") if key == "cap seal" else ("9", "12", "stud bent") * (key != "serial")
            ):
                await walk.answer(wrong)
                assert (walk.view.interview.at, walk.said[: len(said)]) == (key, said)
            await walk.answer(answer)
        assert "NS not seen >" not in walk.text()
        await walk.press("enter")
        assert "logged" in walk.said

    browse(walked)
    with record.read() as session:
        card = card_of(session, label)
    assert (card.line.serial, card.line.serial_state) == ("7", None)
    assert [fact.values["state"] for fact in card["seals"]] == ["renewed"]
    assert (card.line.condition, card["assessments"][0].values["damage"]) == ("0", "as new")


def test_typing_narrows_what_is_still_on(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(labels(1)[0])
        await walk.type("air")
        assert "air temperature sensor, air horn" in walk.text()
        assert "relay, left wing" not in walk.text()
        await walk.press("escape")
        await walk.type("air temperature sensor, air h")  # as its row reads
        assert "air temperature sensor, air horn" in walk.text()
        await walk.press("enter")
        assert "+ position   air horn" in walk.text()

    browse(walked)


def test_single_line_of_the_block_can_be_ones_own(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("2")
        await walk.press("up", "up")
        assert "Fasteners?" in walk.text()
        await walk.answer("2x M6x20 hex")
        assert "+ fasteners  2x M6x20 hex" in walk.text()
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("0")
        await walk.press("enter")

    browse(walked)
    with record.read() as session:
        assert card_of(session, label)["removals"][0].values["fasteners"] == "2x M6x20 hex"


def test_label_used_already_changes_nothing(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await log_by_hand(walk, label)
        await walk.answer(label)
        assert f"Label {label} is already on the relay (part 1). Nothing was changed." in walk.said
        assert walk.view.interview.at == "label"

    browse(walked)


async def log_by_hand(walk: Any, label: str) -> None:
    """The relay of the left wing."""
    await walk.answer(label)
    await walk.answer("left wing")
    await walk.press("enter")
    await walk.answer("no")
    await walk.answer("1")
    await walk.press("enter")


def test_part_not_on_this_car_is_asked_about(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(shop["sensor"])
        assert "is on record as never fitted to a car" in walk.said
        assert "1 it is that part, now from this car" in walk.text()
        await walk.answer("2")
        assert "Nothing was changed" in walk.said
        await walk.answer(shop["sensor"])
        await walk.answer("1")
        assert walk.view.interview.at == "position"

    browse(walked)


def test_draft_is_resumed_on_its_question(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def first(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("1")
        await walk.press("enter")
        await walk.answer("71-40822")

    async def second(walk: Any) -> None:
        assert 'Part 1 off the Green tourer: not finished, stopped at "code"' in walk.text()
        assert "the program stopped" in walk.text()
        await walk.answer("1")
        assert f"label {label}" in walk.text()
        assert "71-40822" in walk.text()
        assert "Match code? If it may be either: O or Q" in walk.text()
        await walk.answer("dito")
        assert '"dito" is no letter. Type it' in walk.said
        await walk.answer("K")
        await walk.answer("in")
        await walk.answer("1")
        await walk.press("enter")
        assert "logged" in walk.said

    browse(first, (120, 30))
    assert drafts_of(record, "Ines").all()[0].stopped_at == "code"
    browse(second, (120, 30))
    assert drafts_of(record, "Ines").all() == ()


def test_what_stays_on_is_noted_with_why(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.press("down")
        await walk.answer("stays on")
        assert "left wing stays on. Why?" in walk.text()
        await walk.answer("stud seized")
        assert "left wing stays on: stud seized" in walk.said
        await walk.answer("3 stays on: brittle")
        await walk.scan(label)
        await walk.answer("inner wing")
        await walk.press("enter")
        assert walk.view.interview.at == "serial"
        await walk.answer("stays on, stud turns")
        assert "inner wing stays on: stud turns" in walk.said
        held = walk.view.interview
        assert (held.at, held.value("label"), held.value("serial")) == ("position", label, "")

    browse(walked)
    with record.read() as session:
        now = status(session, open_strip_downs(session)[0])
    assert now.stays == [("left wing", "stud seized"), ("air horn", "brittle"), ("inner wing", "stud turns")]


def test_position_not_listed_is_asked_line_by_line(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("behind the glove box")
        assert "is not on the list" in walk.said
        await walk.press("enter")
        await walk.answer("relais")
        assert "relay?" in walk.said
        await walk.answer("relay")
        await walk.answer("1")
        assert '"1" alone may be meant for another question.' in walk.said
        await walk.press("up")
        assert walk.said == ""  # it was said of the question just left
        await walk.press("down")
        for _ in range(3):  # maker and number, fasteners, plugs and mounts
            await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        await walk.press("enter")
        assert f"relay {label}: logged" in walk.said

    browse(walked)
    with record.read() as session:
        assert card_of(session, label).line.position == "behind the glove box"


def test_of_a_part_of_another_kind_no_seal_is_asked(browse: Any, shop: dict[str, str]) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(label)
        await walk.answer("behind the glove box")
        await walk.press("enter")
        await walk.answer("other")
        assert not [key for key in walk.view.interview.order() if key.endswith("seal")]
        assert "cap seal" in walk.view.interview.aside()
        for _ in range(3):  # maker and number, fasteners, plugs and mounts
            await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        await walk.press("enter")
        await walk.scan(label)
        assert f"Label {label} is already on the part (part 1)." in walk.said

    browse(walked)


def test_without_a_printer_the_label_is_shown_to_write(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.press("enter")
        tag = walk.view._label_to_write
        assert " ".join(tag) in walk.text()
        assert "the last two signs, without the dash" in walk.text()
        await walk.press("enter")
        await walk.answer("00" if tag[-3] != "0" else "11")
        assert not walk.view.interview.value("label")
        await walk.answer((tag[-3] + tag[-1]).lower())
        assert walk.view.interview.value("label") == tag

    browse(walked)


def test_new_car_is_entered_with_what_was_said_of_care(browse: Any, record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await walk.answer("1")
        await walk.answer("Blue coupe")
        assert walk.text().count("CARE") >= 1
        await walk.answer("battery off, on stands")
        assert "Did it run on these parts?  1 yes  2 no  3 not known" in walk.text()
        await walk.answer("perhaps")
        assert "Answer 1 yes" in walk.said
        await walk.answer("1")
        assert walk.view.where() == "Strip: Blue coupe"
        assert "CARE" not in walk.text()
        await walk.answer(label)
        assert "Where on the car did it sit?" in walk.text()  # nothing is listed that could be chosen
        await walk.answer("inner wing")
        await walk.answer("pressure sensor")
        await walk.press("enter")
        assert "1 across 2 along 3 upright Enter leaves it open >" in walk.text()

    browse(walked)
    with record.read() as session:
        (begun,) = open_strip_downs(session)
        (fact,) = facts_of(session, begun.car_id, (StripDown,))
    assert (begun.car, fact.values) == ("Blue coupe", {"care": "battery off, on stands", "ran": "yes"})


def test_care_unanswered_stays_and_stops_nothing(browse: Any, record: Record) -> None:
    async def walked(walk: Any) -> None:
        await walk.answer("1")
        await walk.answer("Blue coupe")
        await walk.press("enter", "enter")
        assert "CARE" in walk.text()
        assert "Label?" in walk.text()

    browse(walked)


def test_logged_part_is_taken_back_whole(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await log_by_hand(walk, label)
        assert walk.view.middle() == "1 off, 2 still on"
        await walk.press("ctrl+z")
        assert "Take back: part logged off the car" in walk.text()
        await walk.press("enter")
        assert walk.view.middle() == "0 off, 3 still on"

    browse(walked)


def test_full_disk_leaves_the_answers(browse: Any, shop: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    from inventory.errors import Refused

    (label,) = labels(1)

    def full(*_: object, **__: object) -> None:
        raise Refused("disk-full", "This disk is full", hint="free some space")

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("left wing")
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        with monkeypatch.context() as patched:
            patched.setattr(teardown, "log", full)
            await walk.press("enter")
        assert walk.said == "This disk is full. Nothing was changed. Free some space"
        assert walk.view.interview.value("label") == label
        await walk.press("enter")
        assert "logged" in walk.said

    browse(walked)


def test_done_closes_the_strip_down_after_asking(browse: Any, shop: dict[str, str], record: Record) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer("done")
        assert "Close the strip-down of the Green tourer? 3 still on." in walk.text()
        await walk.press("escape")
        assert walk.view.where() == "Strip: Green tourer"
        await walk.answer("done")
        await walk.press("enter")
        assert "strip-down closed" in walk.said

    browse(walked)
    with record.read() as session:
        assert open_strip_downs(session) == []


def test_draft_is_dropped_only_after_saying_what_is_in_it(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("drop")
        assert f"Answers so far: label {label}" in walk.said
        await walk.press("escape")
        assert walk.view.interview.value("label") == label
        await walk.answer("drop")
        await walk.press("enter")
        assert walk.view.interview.value("label") == ""

    browse(walked)
    assert drafts_of(record, "Ines").all() == ()


def test_misread_label_is_said_to_be_one(browse: Any, shop: dict[str, str]) -> None:
    (label,) = labels(1)
    wrong = label[:-1] + next(sign for sign in "0123456789" if sign != label[-1])

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(wrong)
        assert "was misread" in walk.said

    browse(walked)


def test_halves_turn_with_tab_on_a_narrow_screen(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        assert "PART 1" in walk.text()
        assert "STILL ON" not in walk.text()
        await walk.press("tab")
        assert "STILL ON" in walk.text()
        await walk.press("tab")
        await walk.answer(labels(1)[0])
        assert "STILL ON" in walk.text()

    browse(walked, (60, 30))


def test_on_a_narrow_screen_the_five_answers_are_shown_and_then_the_places(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    first, second = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await log_by_hand(walk, first)
        await walk.answer(second)
        await walk.answer("left wing")
        assert "4 both sat here together" in walk.text()
        await walk.answer("2")
        assert f"Where did part 1, {first}, sit?" in walk.text()
        assert "STILL ON" in walk.text()

    browse(walked, (60, 30))


def test_wide_screen_explains_the_question(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        assert "The label must be on the part before" in " ".join(walk.text().split())

    browse(walked, (160, 50))


def test_a_near_position_and_words_for_nothing_are_asked(
    browse: Any, shop: dict[str, str], record: Record, label: str
) -> None:
    """A misspelt position makes no second one; a doubtful word is never written, and what is meant is asked."""

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("-")
        assert "cannot be the position" in walk.said
        await walk.answer("left wnig")
        assert 'The position "left wnig" is not on record.' in walk.said
        assert "1 left wing  2 a new one" in walk.text()
        await walk.answer("1")
        await walk.press("enter")
        for word in ("s.o.", "-", "ditto", "unknown", "", "5"):
            await walk.answer(word)
            assert (
                walk.said
                == "Type the serial (one digit: serial 7), or: il not legible, no none on it, nl not looked at."
            )
        await walk.answer("none")
        await walk.answer("1")
        await walk.press("enter")
        assert f"relay {label}: logged" in walk.said

    browse(walked)
    with record.read() as session:
        card = card_of(session, label)
    assert (card.line.serial, card.line.position) == (None, "left wing")


def test_in_strip_what_does_not_fit_is_told_and_not_asked(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await walk.press("space", "s")
        await walk.until(lambda: walk.view.where() == "Strip")
        await walk.settle()
        await walk.answer("Green tuorer")
        await walk.answer("1")
        assert walk.view.where() == f"Strip: {CAR}"
        await walk.answer(shop["sensor"])
        await walk.answer("1")
        await walk.answer("1")
        await walk.press("enter")
        await walk.answer("il")
        await walk.answer("K")
        await walk.answer("di")
        await walk.answer("1")
        await walk.press("enter")
        assert walk.said.endswith("Does not fit: cap. See Today.")
        assert walk.view.where() == f"Strip: {CAR}"

    browse(walked)


def test_label_to_write_is_shown_whole_beside_the_lists(browse: Any, shop: dict[str, str]) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        assert "if wanted: note, bag, car side" in walk.text()
        await walk.press("enter")
        assert "Write this on the label:" in walk.text()

    browse(walked)


def test_what_broke_is_typed_by_its_name_and_what_was_moved_is_reached_with_up(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(label)
        await walk.answer("relay")
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("nl")
        await walk.answer("broken stud, lower")
        assert walk.said == "Broken: stud, lower."
        await walk.press("up", "up", "up", "up")
        assert "moved" in walk.view.question().ask
        await walk.answer("heater hose")
        await walk.press("enter")
        assert "logged" in walk.said

    browse(walked)
    with record.read() as session:
        (removal,) = card_of(session, label)["removals"]
    assert (removal.values["broken"], removal.values["moved"]) == ("stud, lower", "heater hose")


async def second_at_left_wing(walk: Any, label: str) -> None:
    await walk.scan(label)
    await walk.answer("left wing")
    assert walk.said.startswith("left wing is empty: ")
    assert "Nothing is written for part 2." in walk.said


def test_a_second_part_at_a_place_is_asked_about_and_enter_answers_nothing(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    first, second, third = labels(3)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await log_by_hand(walk, first)
        await second_at_left_wing(walk, second)
        for line in (
            f"part 1  {first} relay, today",
            "4 both sat here together",
            "How can it be?  1 to 5, or type the place",
        ):
            assert line in walk.text()
        await walk.press("enter", "enter", "enter")
        await walk.answer("9")
        assert "How can it be?" in walk.text()
        await walk.answer("2")
        await walk.press("enter")
        await walk.answer("left wing")
        assert "left wing is empty too" in walk.said
        await walk.answer("air")
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        assert "+ how        the first at air horn" in walk.text()
        await walk.press("enter")
        assert f"2, relay {second}: logged" in walk.said
        await walk.scan(third)
        await walk.answer("left wing")
        await walk.answer("3")
        assert walk.said.startswith(f"It is {second}, part 2. Peel {third} off")
        await walk.scan(third)
        await walk.answer("left wing")
        await walk.answer("inner")
        assert "+ position   inner wing" in walk.text()

    browse(walked)
    with record.read() as session:
        now = status(session, open_strip_downs(session)[0])
    assert [(each.tag, each.position) for each in now.removed] == [(first, "air horn"), (second, "left wing")]


def test_what_a_position_offered_is_dropped_with_it(browse: Any, shop: dict[str, str], record: Record) -> None:
    (label,) = labels(1)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(label)
        await walk.answer("inner wing")
        await walk.press("enter")
        await walk.answer("77")
        await walk.answer("K")
        await walk.answer("in")
        while walk.view.interview.at != "position":
            await walk.press("up")
        await walk.answer("left wing")
        interview = walk.view.interview
        assert (interview.value("kind"), interview.offer["kind"], interview.value("serial")) == ("", "relay", "77")
        assert not interview.value("cap seal")
        assert not interview.value("code")

    browse(walked)


async def log_without_a_list(walk: Any, label: str, position: str, *answers: str) -> int:
    """Log a pressure sensor off a place that no list knows. Gives the presses, without the texts that were typed."""
    walk.pressed = 0
    await walk.scan(label)
    await walk.uncounted(position)
    if walk.view.question().ask == "A new position?":
        await walk.press("enter")
    await walk.answer("p")
    for answer in answers:
        await walk.uncounted(answer)
        if walk.view.interview.at == "axis":
            await walk.answer("2")
    await walk.uncounted("71-40822")
    await walk.answer("K")
    await walk.answer("in")
    await walk.answer("1")
    assert walk.view.question().ask == "Log it?"
    await walk.press("enter")
    return int(walk.pressed)


@pytest.mark.usefixtures("scanner")
def test_without_a_list_the_last_of_its_kind_is_offered_and_taken_as_such(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    first, second = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        said = ("Ostrell, HV 204 118", "3x M6", "4-pin plug; hose 1/2 in / 3x grommet")
        assert await log_without_a_list(walk, first, "boot floor", *said) == 19
        assert await log_without_a_list(walk, second, "spare wheel well", "") == 15

    browse(walked)
    with record.read() as session:
        card = card_of(session, second)
    (removal,) = card["removals"]
    assert (removal.how_known, removal.values["fasteners"]) == ("as the last of its kind, looked at", "3x M6")
    assert (removal.values["axis"], removal.values["mounts"]) == ("along", "3x grommet")
    known = {fact.how_known: fact.values for fact in card["markings"]}
    assert known["as the last of its kind, looked at"]["part_number"] == "HV 204 118"
    assert (known["seen"]["serial"], known["seen"]["part_number"]) == ("71-40822", None)


def test_two_answers_on_one_line_are_kept_apart_and_none_is_guessed(
    browse: Any, shop: dict[str, str], label: str
) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.answer(label)
        await walk.answer("behind the glove box")
        await walk.press("enter")
        await walk.answer("relay")
        assert walk.view.question().ask == "On the part: maker, number?"
        for doubtful in ("Tolvranne, -", "ditto, 12-R4", "Tolvranne, 1"):
            await walk.answer(doubtful)
            assert (walk.view.interview.at, walk.view.interview.value("maker")) == ("maker", "")
        await walk.answer("12-R4")
        held = walk.view.interview
        assert (held.at, held.value("maker"), held.value("number")) == ("fasteners", "", "12-R4")
        await walk.press("enter")
        await walk.answer("none / 2x grommet")
        held = walk.view.interview
        assert (held.at, held.value("plugs"), held.value("mounts")) == ("serial", "none", "2x grommet")
        await walk.press("up")
        assert walk.view.question().ask == "Mounts?"
        while walk.view.interview.at != "maker":
            await walk.press("up")
        assert walk.view.question().ask == "Maker, on the part?"
        await walk.answer("Tolvranne")
        assert (walk.view.interview.value("maker"), walk.view.interview.value("number")) == ("Tolvranne", "12-R4")

    browse(walked)


def test_with_a_shipped_list_a_number_is_typed_by_its_name(browse: Any, shop: dict[str, str], record: Record) -> None:
    with record.write() as session:
        add_car(session, "Ines", "Blue coupe")
        use_list(session, "Ines", "early pressure-sensed injection", "Blue coupe", cylinders=4)
        teardown.begin(session, "Ines", "Blue coupe", care="on stands")
    label, relay = labels(2)

    async def walked(walk: Any) -> None:
        await walk.answer("2")  # the car on Today that was begun later
        assert walk.view.where() == "Strip: Blue coupe"
        walk.pressed = 0
        await walk.scan(label)
        await walk.answer("2")
        await walk.press("enter")
        await walk.uncounted("71-40822")
        await walk.answer("K")
        await walk.answer("in")
        await walk.answer("1")
        assert walk.view.question().ask == "Log it?"
        assert walk.pressed == 12, "with the Enter that logs it 13"
        await walk.answer("number HV 204 118")
        await walk.press("enter")
        walk.pressed = 0
        await walk.scan(relay)
        await walk.answer("15")
        await walk.press("enter")
        await walk.uncounted("no")
        await walk.answer("1")
        await walk.press("enter")
        assert "2, relay" in walk.said
        assert walk.pressed == 9, "8 where its number in the list has one digit"

    browse(walked)
    with record.read() as session:
        card = card_of(session, label)
    assert (card.line.part_number, card.line.position) == ("HV 204 118", "bracket of the pressure sensor")
    assert {fact.how_known for fact in card["markings"] if fact.values["part_number"]} == {"seen"}


def test_a_second_scan_at_the_last_question_makes_two_parts_one(
    browse: Any, shop: dict[str, str], record: Record
) -> None:
    valve, hose = labels(2)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(valve)
        await walk.answer("left wing")
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        await walk.press("enter")
        await walk.scan(hose)
        await walk.answer("air horn")
        await walk.press("enter")
        await walk.answer("no")
        await walk.answer("1")
        await walk.scan(valve)
        assert f"Came off as one with {valve}?" in walk.text()
        await walk.answer("1")
        await walk.press("enter")
        assert "logged" in walk.said

    browse(walked)
    with record.read() as session:
        assert card_of(session, valve).line.as_one == (hose,)


@pytest.mark.usefixtures("scanner")
def test_a_scan_in_mid_part_never_ends_on_another_part(browse: Any, shop: dict[str, str], record: Record) -> None:
    first, second, third = labels(3)

    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(first)
        await walk.scan("left wing")
        assert "not a label of this record. It is on the line" in walk.said
        await walk.press("enter")
        for at in ("block", "serial", "condition", "log it"):
            assert walk.view.interview.at == at
            await walk.scan(first)
            assert walk.said == f"{first} is this part's own label. Nothing was changed."
            await walk.scan(second)
            assert f"{second} is free; this part has label {first}." in walk.said
            await walk.press("enter")
            await walk.answer("2")
            await walk.scan(shop["sensor"])
            assert walk.said.startswith(
                f"{shop['sensor']} is on the pressure sensor. Part 1 off the Green tourer is half"
            )
            await walk.answer("2")
            await walk.scan("B2")
            assert walk.said == 'Scanned "B2", a place. It is no answer here.'
            await walk.scan("air horn")
            assert walk.said == 'Scanned "air horn", a position. It is no answer here.'
            assert (walk.view.interview.value("label"), walk.frame.line.value) == (first, "")
            if at != "log it":
                await walk.answer({"block": "", "serial": "no", "condition": "1"}[at]) if at != "block" else None
                await walk.press(*["enter"] * (at == "block"))
        await walk.scan(second)
        await walk.answer("1")
        await walk.press("enter")
        assert f"1, relay {second}: logged" in walk.said
        await walk.scan(shop["sensor"])
        await walk.scan(third)
        assert f"Label {third} read." in walk.said

    browse(walked)


@pytest.mark.usefixtures("scanner")
def test_the_text_that_waits_is_there_again_wherever_one_went(
    browse: Any, shop: dict[str, str], record: Record, label: str
) -> None:
    async def walked(walk: Any) -> None:
        await open_strip(walk)
        await walk.scan(label)
        await walk.answer("left wing")
        await walk.press("enter")
        await walk.answer("no")
        await walk.type("1 stud be")
        await walk.scan(shop["sensor"])
        assert "your text waits" in walk.said
        await walk.press("enter")
        assert "is half answered, and kept." in walk.said
        await walk.answer("1")
        assert walk.view.where() == f"Part {shop['sensor']}"
        assert walk.frame.line.value == ""
        await walk.press("escape")
        assert walk.frame.line.value == "1 stud be"
        await walk.scan(shop["sensor"])
        await walk.press("enter")
        await walk.answer("1")
        walk.frame.go_to("today")
        await walk.settle()
        walk.frame.go_to("strip car", "Green tourer")
        await walk.settle()
        assert (walk.view.interview.at, walk.frame.line.value) == ("condition", "1 stud be")

    browse(walked)
