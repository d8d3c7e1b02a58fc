"""A disturbed adjuster is read from how the engine ran, and nobody is ever told to move it."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

import pytest

from inventory.errors import Refused, UnknownName
from inventory.reasons import COMMON_PRACTICE
from inventory.reference.adjuster import adjuster_data
from inventory.seals.adjuster import OBSERVED, TYPES, AdjusterReading, read_adjuster

IN, OUT = "inner screw turned in, the outer held", "inner screw turned out, the outer held"
BOTH_IN, BOTH_OUT = "both screws turned in together", "both screws turned out together"
CHECKS = ("fuel pressure", "temperature sensors", "air leaks", "throttle switch", "ignition")
CAPS = ("", "intact", "missing", "disturbed", "renewed", "renewed, with paper", "not seen", "never fitted")


def two_screw(part_load: str, full_load: str, *checked: str, cap: str = "") -> AdjusterReading:
    return read_adjuster("pressure sensor", "two-screw", part_load, full_load, checked=checked, cap=cap)


def fitting(reading: AdjusterReading) -> list[str]:
    return [fit.movement for fit in reading.movements if fit.fits]


@pytest.mark.parametrize(
    ("part_load", "full_load", "fits"),
    [
        ("leaner", "leaner", [IN]),
        ("richer", "richer", [OUT]),
        ("unchanged", "leaner", [BOTH_IN]),
        ("unchanged", "richer", [BOTH_OUT]),
        ("leaner", "richer", []),
        ("richer", "leaner", []),
        ("leaner", "unchanged", []),
        ("richer", "unchanged", []),
        ("unchanged", "unchanged", []),
        ("leaner", "unknown", [IN]),
        ("richer", "unknown", [OUT]),
        ("unchanged", "unknown", [BOTH_IN, BOTH_OUT]),
        ("unknown", "leaner", [IN, BOTH_IN]),
        ("unknown", "richer", [OUT, BOTH_OUT]),
        ("unknown", "unchanged", []),
        ("unknown", "unknown", [IN, OUT, BOTH_IN, BOTH_OUT]),
    ],
)
def test_what_was_observed_tells_which_movements_fit(part_load: str, full_load: str, fits: list[str]) -> None:
    reading = two_screw(part_load, full_load)

    assert fitting(reading) == fits


@pytest.mark.parametrize(
    ("part_load", "full_load", "says"),
    [
        ("unchanged", "leaner", "both screws turned in together would explain it; a reading, not a proof"),
        ("unknown", "leaner", "the observations do not tell them apart"),
        ("richer", "leaner", "no single movement of the screws explains it"),
        ("unchanged", "unchanged", "no observation points to a moved screw"),
        ("unknown", "unknown", "nothing was observed yet, so no movement is ruled out"),
    ],
)
def test_one_sentence_says_what_it_comes_to(part_load: str, full_load: str, says: str) -> None:
    assert says in two_screw(part_load, full_load).says


def test_a_movement_that_does_not_fit_says_where() -> None:
    says = {fit.movement: fit.says for fit in two_screw("unchanged", "leaner").movements}

    assert says[IN] == f"{IN}: does not fit, part load would be leaner, but was unchanged"
    assert says[BOTH_IN] == f"{BOTH_IN}: fits, it would make part load unchanged, full load leaner"


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

    assert (reading.read, reading.movements) == (False, ())
    assert reading.says.startswith("not read")
    assert len(reading.look_first) == len(CHECKS)


def test_an_intact_cap_speaks_against_a_moved_adjuster() -> None:
    reading = read_adjuster(
        "pressure sensor", "two-screw", "leaner", "leaner", cap="intact", cap_facts=("seal_sighting-3",)
    )

    (cap,) = (reason for reason in reading.reasons if reason.facts)
    assert "speaks against a moved adjuster" in cap.says
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


#: The imperative, wherever it stands. What was done to a screw ("turned in") is told; what to do to one never is.
TURNING = re.compile(
    r"\b(turn|screw (it|them|the)|wind|adjust|re-?adjust|set (it|them|the)|re-?set|tighten|loosen|slacken|undo|move|rotate"
    r"|back (it|them|the)? ?(off|out)|(a|half|quarter|full|one) turns?|clockwise|degrees?)\b",
    re.IGNORECASE,
)


def every_sentence() -> Iterator[str]:
    """All that is said, over every type, both observations, every cap, and none, some or all causes checked."""
    for stop, part, full, cap in itertools.product(TYPES, OBSERVED, OBSERVED, CAPS):
        for count in range(len(CHECKS) + 1):
            told = read_adjuster("pressure sensor", stop, part, full, checked=CHECKS[:count], cap=cap)
            yield from (told.says, told.care, told.remedy, *told.look_first)
            yield from (fit.says for fit in told.movements)
            yield from (text for reason in told.reasons for text in (reason.says, reason.rule))


def test_nobody_is_told_to_turn_anything() -> None:
    said = set(every_sentence())

    assert len(said) > 40
    assert [sentence for sentence in said if TURNING.search(sentence)] == []


@pytest.mark.parametrize(
    "advice",
    ["turn the inner screw out a little", "Adjust it richer", "half a turn", "back it off", "set the stop again"],
)
def test_such_advice_would_be_seen(advice: str) -> None:
    assert TURNING.search(advice)


def test_the_caution_and_the_remedy_stand_in_every_reading() -> None:
    for stop in TYPES:
        reading = read_adjuster("pressure sensor", stop, "leaner", "unknown")

        assert reading.care == "CARE  Never hold full load to observe a lean engine: it can hole a piston."
        assert len(reading.care) <= 78
        assert "a specialist with the reference charts" in reading.remedy


def test_the_checks_on_file_are_those_that_can_be_named() -> None:
    assert tuple(each.name for each in adjuster_data().checks) == CHECKS
