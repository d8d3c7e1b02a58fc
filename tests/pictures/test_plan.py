"""Which part each picture is of: labels, clocks, doubles, and what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.labels.codes import CarSideCode, PartCode
from inventory.pictures.look import Answers, Look
from inventory.pictures.plan import Plan, make_plan

SENSOR, RELAY = "K4127-7", "D2222-6"
KNOWN = {
    PartCode(SENSOR): SENSOR,
    PartCode(RELAY): RELAY,
    CarSideCode(SENSOR, 1): SENSOR,
    CarSideCode(SENSOR, 2): RELAY,
}
_NOW = datetime(2026, 11, 1, tzinfo=UTC)


def look(name: str, at: str, *codes: str, camera: str = "A", **named: Any) -> Look:
    """A picture of 12 March 2026 at a time, or of another day."""
    taken = datetime.fromisoformat(at if "-" in at else f"2026-03-12 {at}")
    return Look(name, **{"digest": name, "pixels": name, "taken": taken, "camera": camera, "codes": codes, **named})


def plan(*looks: Look, answers: Answers | None = None, **named: Any) -> Plan:
    facts = {"known": KNOWN, "attached": {}, "pixels": {}, "zone": ZoneInfo("Europe/Berlin"), "now": _NOW}
    return make_plan(looks, answers or Answers(), **(facts | named))


def given_to(made: Plan) -> list[tuple[str, str, str]]:
    return [(each.look.name, each.tag, each.shows) for each in made.given]


def asked(made: Plan) -> list[tuple[str, tuple[str, ...]]]:
    return [(each.about, each.names) for each in made.questions]


DAY = (
    look("2", "10:02"),
    look("1", "10:01", "K41277"),
    look("10", "10:05"),
    look("9", "10:05"),
    look("11", "10:06", "K41277C1H"),
    look("12", "10:07"),
    look("13", "10:08", "D22226"),
    look("14", "10:09"),
)
GIVEN = [
    ("1", SENSOR, "other"),
    ("2", SENSOR, "whole"),
    ("9", SENSOR, "whole"),
    ("10", SENSOR, "whole"),
    ("11", SENSOR, "where it sat"),
    ("12", SENSOR, "where it sat"),
    ("13", RELAY, "other"),
    ("14", RELAY, "whole"),
]


def test_pictures_after_a_label_are_of_its_part() -> None:
    made = plan(*DAY)

    assert given_to(made) == GIVEN
    assert not made.questions
    assert not made.notes


@settings(max_examples=50)
@given(st.permutations(DAY))
def test_order_of_the_files_does_not_matter(looks: Sequence[Look]) -> None:
    assert given_to(plan(*looks)) == GIVEN


def test_label_on_the_car_is_of_the_part_that_it_was_stuck_on_for() -> None:
    made = plan(look("1", "10:00", "K41277"), look("2", "10:01", CarSideCode(SENSOR, 2).coded), look("3", "10:02"))

    assert given_to(made) == [("1", SENSOR, "other"), ("2", RELAY, "where it sat"), ("3", RELAY, "where it sat")]


def test_no_label_several_labels_an_unused_one_and_a_long_pause_are_asked_and_answered() -> None:
    looks = (
        look("1", "09:00"),
        look("2", "10:00", "K41277"),
        look("3", "10:01", "K41277", "D22226"),
        look("4", "10:02"),
        look("5", "10:03", "E11114"),
        look("6", "10:04", "D22226"),
        look("7", "2026-03-13 10:04"),
        look("8", "2026-03-13 10:05"),
    )
    made = plan(*looks)

    assert given_to(made) == [("2", SENSOR, "other"), ("6", RELAY, "other")]
    assert asked(made) == [
        ("no label", ("1",)),
        ("several labels", ("3", "4")),
        ("label not used", ("5",)),
        ("pause", ("7", "8")),
    ]
    answers = Answers({"1": RELAY, "3": SENSOR, "7": SENSOR}, frozenset({"5"}))
    made = plan(*looks, answers=answers)
    assert not made.questions
    assert [tag for _, tag, _ in given_to(made)] == [RELAY, SENSOR, SENSOR, SENSOR, RELAY, SENSOR, SENSOR]


def test_each_camera_follows_its_own_labels_and_one_without_is_asked_about() -> None:
    looks = (
        look("a1", "10:00", "K41277"),
        look("b1", "10:01", "D22226", camera="B"),
        look("a2", "10:02"),
        look("b2", "10:03", camera="B"),
        look("c1", "09:01", camera="Cee 3"),
    )
    made = plan(*looks)

    assert {name: tag for name, tag, _ in given_to(made)} == {"a1": SENSOR, "a2": SENSOR, "b1": RELAY, "b2": RELAY}
    assert asked(made) == [("two cameras", ("c1",))]
    made = plan(*looks, answers=Answers(clocks={"cee": timedelta(hours=1, seconds=70)}))
    assert ("c1", RELAY, "whole") in given_to(made)
    assert not made.questions


def test_clock_ahead_is_asked_and_put_right() -> None:
    looks = (look("1", "2026-12-01 10:00", "K41277"), look("2", "2026-12-01 10:01"))

    assert asked(plan(*looks)) == [("clock", ("1", "2"))]
    made = plan(*looks, answers=Answers(clocks={"": timedelta(days=-60)}))
    assert [each.at.date().isoformat() for each in made.given] == ["2026-10-02", "2026-10-02"]


def test_repeated_hour_is_asked_unless_the_camera_wrote_its_offset() -> None:
    def shown(time: str, name: str, *codes: str) -> Look:
        return look(name, f"2026-10-25 {time}", *codes)

    looks = (shown("01:50", "1", "K41277"), shown("02:30", "2"), shown("02:10", "3", "D22226"), shown("03:10", "4"))
    assert asked(plan(*looks)) == [("repeated hour", ("2", "3"))]
    made = plan(*looks, answers=Answers(hour="second"))
    assert [each.at.astimezone(UTC).hour for each in made.given] == [23, 1, 1, 2]
    with_offset = (look("1", "2026-10-25 02:30+02:00", "K41277"), look("2", "2026-10-25 02:10+01:00", "D22226"))
    assert [name for name, *_ in given_to(plan(*with_offset))] == ["1", "2"]


def test_same_picture_is_one_and_one_that_is_there_is_not_attached_again() -> None:
    looks = (
        look("1", "10:00", "K41277"),
        look("2", "10:01"),
        look("2 copy", "10:01", digest="2"),
        look("2 edited", "10:01", pixels="2"),
        look("3", "10:02"),
        look("4", "10:03"),
    )
    made = plan(*looks, attached={"3": {SENSOR}}, pixels={"4": "old.jpg"})

    assert [name for name, *_ in given_to(made)] == ["1", "2"]
    assert {each.name: each.why for each in made.unused} == {
        "2 copy": "the same file as 2",
        "2 edited": "the same picture as 2, with other metadata",
        "3": "already with K4127-7",
        "4": "the same picture as old.jpg on record, with other metadata",
    }


def test_other_codes_and_unread_files_are_told() -> None:
    made = plan(
        look("1", "10:00", "K41277"),
        look("2", "10:01", "HTTPS://example.org/K41277", by_camera=False),
        look("3", "10:02", "K41278"),
        Look("4", "4", why_not="HEIC pictures need one more package"),
        Look("notes.txt", why_not="no picture"),
    )

    assert [name for name, *_ in given_to(made)] == ["1", "2", "3"]
    assert [each.name for each in made.unused] == ["4", "notes.txt"]
    assert made.notes == (
        "1 picture without a time of the camera: the time of the file counts",
        '2: the code "HTTPS://example.org/K41277" is a web address, which is not opened',
        '3: the code "K41278" is no label of ours',
        "1 picture could not be read: a label in one of them is not seen",
    )


def test_pictures_after_one_that_was_not_read_are_asked_about() -> None:
    looks = (
        look("1", "10:00", "K41277"),
        look("2", "10:01"),
        look("half", "10:02", why_not="a part is missing"),
        look("3", "10:03"),
        look("4", "10:04", "D22226"),
    )

    made = plan(*looks)
    assert [name for name, *_ in given_to(made)] == ["1", "2", "4"]
    assert asked(made) == [("not read", ("3",))]
    assert [each.name for each in made.unused] == ["half"]
    assert [name for name, *_ in given_to(plan(*looks, answers=Answers(leave=frozenset({"half"}))))] == [
        "1",
        "2",
        "3",
        "4",
    ]
