"""A car that is not on record: a near one, the text, or added by the read itself and taken back with it."""

from __future__ import annotations

import pytest

from inventory.cars.actions import add_car
from inventory.cars.queries import cars
from inventory.cars.write_names import remove_car
from inventory.errors import Misused
from inventory.facts import take_back
from inventory.sheets import read_sheet
from tests.sheets.conftest import BY, Desk

HEAD = ["Type", "Serial", "Car", "Position", "Shelf"]


def names(desk: Desk) -> set[str]:
    with desk.record.read() as session:
        return {car.name for car in cars(session)}


def test_it_is_added_by_the_read_and_taken_back_with_it(desk: Desk) -> None:
    path = desk.csv([HEAD, ["relay", "1", "Amber wagon", "left wing", ""], ["relay", "2", "amber wagon", "", "A1"]])
    before = names(desk)
    (question,) = desk.read(path, trial=True).questions
    assert (question.key, len(question.rows), question.taken) == ("word/car/amber wagon", 2, "text")
    assert "add" in [choice.key for choice in question.choices]

    report = desk.read(path, said={question.key: "add"})

    assert names(desk) == before | {"Amber wagon"}
    assert report.unread == []
    assert any("Amber wagon" in remark for remark in report.remarks)
    fitted = next(desk.card(tag).line for tag in desk.tags() if desk.card(tag).line.serial == "1")
    assert (fitted.car, fitted.position) == ("Amber wagon", "left wing")
    desk.again(path, said={question.key: "add"})
    desk.again(path)
    assert desk.fits()
    with desk.record.write() as session:
        past = take_back.last_act(session, BY, desk.record.acts)
        assert past is not None
        take_back.withdraw_act(session, BY, past.key, "wrong sheet")
        remove_car(session, BY, "Amber wagon", "wrong sheet")  # names stay, as those of places do; nothing points to it
    assert names(desk) == before


@pytest.mark.parametrize("how", ["add", "by hand", "another name"])
def test_kept_as_text_first_it_is_named_later_and_no_second_part_comes(desk: Desk, how: str) -> None:
    path = desk.csv([HEAD, ["relay", "", "Amber wagon", "", "A1"]])
    desk.read(path)
    assert "Amber wagon" not in names(desk)

    if how == "add":
        report = desk.read(path, said={"word/car/amber wagon": "add"})
    elif how == "by hand":
        with desk.record.write() as session:
            add_car(session, BY, "Amber wagon")
        report = desk.read(path)
    else:
        report = desk.read(path, said={"word/car/amber wagon": "Green tourer"})

    assert (report.added, report.changed, report.unread) == (0, 1, [])
    assert desk.card().line.car == ("Green tourer" if how == "another name" else "Amber wagon")
    assert desk.fits()


def test_of_more_than_two_one_question_is_asked(desk: Desk) -> None:
    wanted = ["Amber wagon", "Pearl saloon", "Teal pickup"]
    path = desk.csv([HEAD, *(["relay", str(number), car, "", ""] for number, car in enumerate(wanted))])
    (question,) = desk.read(path, trial=True).questions
    assert [choice.key for choice in question.choices] == ["add", "each", "text"]
    asked = desk.read(path, trial=True, said={"1": "each"}).questions
    assert [each.key for each in asked] == [f"word/car/{name.casefold()}" for name in wanted]
    said = {question.key: "each", "word/car/teal pickup": "text"}
    assert len(desk.read(path, trial=True, said=said).questions) == 2

    desk.read(path, said={question.key: "add"}, keep_answers=True)

    assert names(desk) >= set(wanted)
    assert not desk.read(path).questions
    more = desk.csv([HEAD, ["relay", "9", "Ochre van", "", ""]], name="more.csv")
    (again,) = desk.read(more, trial=True).questions
    assert again.key == "word/car/ochre van"


@pytest.mark.parametrize(
    ("said", "code", "tells"),
    [
        ({"5": "another"}, "no-such-question", "1 word/kind/relais 9"),
        ({"1": "hardware"}, "no-such-answer", "fuel pump"),
        ({"word/kind/relais 9": "rely"}, "no-such-answer", "relay"),
        ({"word/car/amber wagon": "Umber"}, "no-such-answer", "add"),
    ],
)
def test_an_answer_that_is_none_is_refused_with_what_there_is(
    desk: Desk, said: dict[str, str], code: str, tells: str
) -> None:
    path = desk.csv([HEAD, ["relais 9", "1", "", "", ""], ["relais 9", "2", "Amber wagon", "", ""]])
    before = desk.entries()

    with pytest.raises(Misused) as caught:
        read_sheet(desk.record, path, BY, said=said)

    assert (caught.value.code, desk.entries()) == (code, before)
    assert tells in (caught.value.hint or "")
