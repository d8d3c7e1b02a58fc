"""How kinds fail, as the reference data say it."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest

from inventory.reference.data import PROGRAM
from inventory.reference.modes import failure_data_from

NAMES = [each.name for each in PROGRAM.kinds]
SORT = "no full-load diaphragm"
TESTS = {
    *("hold resistance insulation sweep pulse supply curve contacts steps leakage flow spray delivery current".split()),
    *(
        "pressure",
        "drop",
        "pins",
        "runs",
        "time switch",
        "air valve",
        "check valve",
        "pull-in",
        "full-load switch",
        "mixture",
    ),
}


@pytest.mark.parametrize("name", NAMES)
def test_the_ways_a_kind_fails_add_up(name: str) -> None:
    data = PROGRAM.failure_modes(name)

    assert data.kind == name
    assert sum(mode.share for mode in data.modes) == pytest.approx(1.0)
    assert 0.0 < data.good < 1.0
    assert data.standing == "workshop judgement"
    for mode in data.modes:
        for test, shows in mode.shows.items():
            alarm = PROGRAM.failures.false_alarm(test)
            assert alarm is not None, test
            assert alarm < shows < 1.0
            assert not test.startswith("seal ") or test.removeprefix("seal ") in PROGRAM.kind(name).seals


def test_the_tests_have_the_names_of_their_procedures() -> None:
    assert {test for test in PROGRAM.failures.tests if not test.startswith("seal ")} == TESTS


@pytest.mark.parametrize("name", NAMES)
def test_what_the_bench_can_do_to_a_kind_speaks_to_a_way_it_fails(name: str) -> None:
    shown = {test for mode in PROGRAM.failure_modes(name).modes for test in mode.shows}
    of_the_part = {each for each in PROGRAM.kind(name).procedures if not PROGRAM.procedure(each).wiring}
    assert name == "other" or of_the_part <= shown
    assert all(PROGRAM.failures.tests[each].minutes > 0 for each in of_the_part & shown)


def test_leaks_are_most_of_what_fails_in_a_pressure_sensor_and_coils_the_least() -> None:
    modes = {mode.name: mode for mode in PROGRAM.failure_modes("pressure sensor").modes}

    leaks = [modes["diaphragm torn"], modes["case joint or port leaking"]]
    assert sum(mode.share for mode in leaks) >= 0.6
    assert all(mode.shows["hold"] >= 0.9 for mode in leaks)
    assert modes["coil or plug"].share <= 0.2
    assert list(modes) == [
        "diaphragm torn", "case joint or port leaking", "cells no longer evacuated", "adjuster moved",
        "core worn or sticking", "coil or plug", "port fouled",
    ]  # fmt: skip


def test_the_sort_without_a_full_load_diaphragm_has_none_to_tear_and_its_other_shares_are_made_up_to_the_whole() -> (
    None
):
    usual = {mode.name: mode.share for mode in PROGRAM.failure_modes("pressure sensor").modes}
    sort = {mode.name: mode.share for mode in PROGRAM.failure_modes("pressure sensor", SORT).modes}

    assert set(usual) - set(sort) == {"diaphragm torn"}
    assert sum(sort.values()) == pytest.approx(1.0)
    for name, share in sort.items():
        assert share == pytest.approx(usual[name] / (1.0 - usual["diaphragm torn"]))


@pytest.mark.parametrize(
    ("name", "number", "marks", "sort"),
    [
        ("pressure sensor", "HV 204 118", None, ""),
        ("pressure sensor", None, "No full-load diaphragm; dot of yellow paint", SORT),
        ("pressure sensor", None, "dot of yellow paint", ""),
        ("control unit", None, "no full-load diaphragm", ""),
        ("relay", None, None, ""),
    ],
)
def test_a_part_is_of_a_sort_by_its_marks(name: str, number: str | None, marks: str | None, sort: str) -> None:
    assert PROGRAM.failures.variant_of(name, number, marks) == sort


def test_the_figures_of_a_workshop_can_stand_in_place_of_these() -> None:
    data = tomllib.loads(files("inventory.reference").joinpath("modes.toml").read_text(encoding="utf-8"))
    data["kind"][0] |= {"good": 0.9, "standing": "common practice", "source": "our own count of 2025"}
    data["variant"][0]["numbers"] = ["HV 204 300"]

    changed = failure_data_from(data)

    sensor = changed.kinds["pressure sensor"]
    assert (sensor.good, sensor.standing, sensor.source) == (0.9, "common practice", "our own count of 2025")
    assert changed.kinds["control unit"].standing == "workshop judgement"
    assert changed.variants["pressure sensor"][0].numbers == {"hv204300"}


def test_weights_lie_between_nothing_and_all_and_each_says_what_it_is() -> None:
    data = PROGRAM.failures

    shares = ("removal", "dry year", "short uncleared", "open winding", "causes checked", "specialist's repair")
    for name in shares:
        assert 0.0 < data.figures[name].value < 1.0
    for figure in (*data.figures.values(), data.claim_against):
        assert figure.says
        assert (figure.standing, figure.source) == ("workshop judgement", "no source")
    for weights in (data.claim_source, data.claim_proof):
        assert all(0.0 < weight < 1.0 for weight in weights.values())
    assert all(words.test in data.tests for words in data.claim_words)
