"""A disturbed adjuster is read from how the engine ran, and nobody is ever told to move it."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from inventory.errors import Refused, UnknownName
from inventory.reasons import COMMON_PRACTICE
from inventory.reference.adjuster import adjuster_data
from inventory.seals.adjuster import OBSERVED, TYPES, AdjusterReading, read_adjuster

BOTH_LEAN, BOTH_RICH = ("part load and full load", "leaner"), ("part load and full load", "richer")
FULL_LEAN, FULL_RICH = ("full load", "leaner"), ("full load", "richer")
CHECKS = ("fuel pressure", "temperature sensors", "air leaks", "throttle switch", "ignition")
CAPS = ("", "intact", "missing", "disturbed", "renewed", "renewed, with paper", "not seen", "never fitted")


def two_screw(part_load: str, full_load: str, *checked: str, cap: str = "") -> AdjusterReading:
    return read_adjuster("pressure sensor", "two-screw", part_load, full_load, checked=checked, cap=cap)


def fitting(reading: AdjusterReading) -> list[tuple[str, str]]:
    return [(each.loads, each.mixture) for each in reading.disturbed]


@pytest.mark.parametrize(
    ("part_load", "full_load", "fits"),
    [
        ("leaner", "leaner", [BOTH_LEAN]),
        ("richer", "richer", [BOTH_RICH]),
        ("unchanged", "leaner", [FULL_LEAN]),
        ("unchanged", "richer", [FULL_RICH]),
        ("leaner", "richer", []),
        ("richer", "leaner", []),
        ("leaner", "unchanged", []),
        ("richer", "unchanged", []),
        ("unchanged", "unchanged", []),
        ("leaner", "unknown", [BOTH_LEAN]),
        ("richer", "unknown", [BOTH_RICH]),
        ("unchanged", "unknown", [FULL_LEAN, FULL_RICH]),
        ("unknown", "leaner", [BOTH_LEAN, FULL_LEAN]),
        ("unknown", "richer", [BOTH_RICH, FULL_RICH]),
        ("unknown", "unchanged", []),
        ("unknown", "unknown", []),
    ],
)
def test_what_was_observed_tells_which_load_was_disturbed(
    part_load: str, full_load: str, fits: list[tuple[str, str]]
) -> None:
    reading = two_screw(part_load, full_load)

    assert fitting(reading) == fits


@pytest.mark.parametrize(
    ("part_load", "full_load", "says"),
    [
        ("unchanged", "leaner", "it was at full load, where the mixture went leaner; a reading, not a proof"),
        ("unknown", "leaner", "the observations do not tell them apart"),
        ("richer", "leaner", "no single disturbance of the stop explains it"),
        ("unchanged", "unchanged", "no observation points to a disturbed stop"),
        ("unknown", "unknown", "nothing was observed yet, so nothing is ruled out"),
    ],
)
def test_one_sentence_says_what_it_comes_to(part_load: str, full_load: str, says: str) -> None:
    assert says in two_screw(part_load, full_load).says


def test_the_plain_causes_come_before_the_adjuster_until_each_is_checked() -> None:
    nothing, some, every = (two_screw("leaner", "leaner", *CHECKS[:count]) for count in (0, 2, 5))

    assert [len(each.look_first) for each in (nothing, some, every)] == [5, 3, 0]
    assert some.look_first[0].startswith("air leaks")
    assert [each.says.startswith("check the plain causes below") for each in (nothing, some, every)] == [
        True,
        True,
        False,
    ]


@pytest.mark.parametrize("stop", ["other", "unknown"])
def test_only_the_two_screw_stop_is_read(stop: str) -> None:
    reading = read_adjuster("pressure sensor", stop, "leaner", "leaner")

    assert (reading.read, reading.disturbed) == (False, ())
    assert reading.says.startswith("not read")
    assert len(reading.look_first) == len(CHECKS)


def test_an_intact_cap_speaks_against_a_disturbed_adjuster() -> None:
    reading = read_adjuster(
        "pressure sensor", "two-screw", "leaner", "leaner", cap="intact", cap_facts=("seal_sighting-3",)
    )

    (cap,) = (reason for reason in reading.reasons if reason.facts)
    assert "speaks against a disturbed adjuster" in cap.says
    assert cap.facts == ("seal_sighting-3",)


def test_every_reason_is_common_practice_without_a_source() -> None:
    reasons = two_screw("leaner", "leaner", cap="missing").reasons

    assert {(reason.standing, reason.source) for reason in reasons} == {(COMMON_PRACTICE, "no source")}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("three-screw", "leaner", "leaner"), "unknown-type-of-stop"),
        (("two-screw", "lean", "leaner"), "unknown-observation"),
        (("two-screw", "leaner", "rich"), "unknown-observation"),
    ],
)
def test_a_word_on_no_list_is_refused(words: tuple[str, str, str], code: str) -> None:
    with pytest.raises(UnknownName) as refused:
        read_adjuster("pressure sensor", *words)
    assert refused.value.code == code


def test_other_kinds_have_no_such_adjuster() -> None:
    with pytest.raises(Refused) as refused:
        read_adjuster("relay", "two-screw", "leaner", "leaner")
    assert refused.value.code == "no-adjuster"


#: The imperative, wherever it stands, and whatever names a direction. The words are put together here, so that this file
#: has none of them itself.
_OBJECT, _WAY = r"(it |them |(the|one|both)( \w+){1,2} )", r"(in|out|inwards?|outwards?|further|left|right|up|down)\b"
DIRECTION = re.compile(
    r"\b(anti-?|counter-?)?clock" + r"wise\b"
    rf"|\b(turn(s|ed|ing)|screw(s|ed|ing)|rotat(e|es|ed|ing)|twist(s|ed|ing)) {_OBJECT}?{_WAY}(?! (to|of)\b)"
    rf"|\b(turn|screw|twist) {_OBJECT}{_WAY}"
    r"|\bback(s|ed|ing)? (it|them|the \w+) (off|out)\b",
    re.IGNORECASE,
)
TURNING = re.compile(
    r"\b(turn(s|ed|ing)?|screw (it|them|the)|wind|adjust|re-?adjust|set (it|them|the)|re-?set|tighten|loosen|slacken|undo"
    r"|move|rotate|(a|half|quarter|full|one) turns?|degrees?)\b",
    re.IGNORECASE,
)
ROOT = Path(__file__).parents[2]
WRITTEN = (".py", ".toml", ".csv", ".md", ".tcss", ".txt")


def every_sentence() -> Iterator[str]:
    """All that is said, over every type, both observations, every cap, and none, some or all causes checked."""
    for stop, part, full, cap in itertools.product(TYPES, OBSERVED, OBSERVED, CAPS):
        for count in range(len(CHECKS) + 1):
            told = read_adjuster("pressure sensor", stop, part, full, checked=CHECKS[:count], cap=cap)
            yield from (told.says, told.care, told.remedy, *told.look_first)
            yield from (each.loads for each in told.disturbed)
            yield from (text for reason in told.reasons for text in (reason.says, reason.rule))


def test_nobody_is_told_to_turn_anything() -> None:
    said = set(every_sentence())

    assert len(said) > 30
    assert [sentence for sentence in said if TURNING.search(sentence) or DIRECTION.search(sentence)] == []


def test_no_file_of_the_program_its_data_or_its_tests_names_the_direction_of_a_screw() -> None:
    folders = ("inventory", "tui", "demo_db", "migrations", "tests")
    every = [path for folder in folders for path in (ROOT / folder).rglob("*") if path.suffix in WRITTEN]
    named = [
        f"{path.relative_to(ROOT)}: {found[0]}"
        for path in (*every, ROOT / "README.md", ROOT / "DEVELOPERS.md")
        if (found := DIRECTION.search(path.read_text(encoding="utf-8", errors="replace")))
    ]

    assert len(every) > 300
    assert named == []


@pytest.mark.parametrize(
    "words",
    [
        ("inner screw turned", "in, the outer held"),
        ("turn the inner screw", "out a little"),
        ("back it", "off"),
        ("anticlock", "wise"),
        ("screwed it", "in"),
    ],
)
def test_a_direction_would_be_seen(words: tuple[str, str]) -> None:
    glue = "" if words[0].endswith("clock") else " "

    assert DIRECTION.search(glue.join(words))


@pytest.mark.parametrize("words", ["it turned out to be a relay", "half a turn", "turned into sentences"])
def test_words_that_name_no_direction_are_left_alone(words: str) -> None:
    assert not DIRECTION.search(words)


def test_the_caution_and_the_remedy_stand_in_every_reading() -> None:
    for stop in TYPES:
        reading = read_adjuster("pressure sensor", stop, "leaner", "unknown")

        assert reading.care == "CARE  Never hold full load to observe a lean engine: it can hole a piston."
        assert len(reading.care) <= 78
        assert "neither load can be put back by feel" in reading.remedy
        assert "a specialist can, with the reference charts" in reading.remedy
        assert "note the position as found (clicks, marks)" in reading.remedy


def test_the_checks_on_file_are_those_that_can_be_named() -> None:
    assert tuple(each.name for each in adjuster_data().checks) == CHECKS
