"""Which part numbers fit: rows both ways through supersession, nothing guessed, circles refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.errors import Refused
from inventory.pairing.findings.fit import FitRow, Fits, Supersession

ROW = FitRow("s2", "u1", "fit-1")


@pytest.mark.parametrize(
    ("sensor", "unit", "supersessions", "expected"),
    [
        ("s2", "u1", [], True),
        ("s2", "u2", [], False),
        ("u1", "s2", [], False),  # a row is a sensor against a control unit, not the other way
        ("s1", "u1", [], False),
        ("s1", "u1", [("s1", "s2")], True),  # the older number
        ("s3", "u1", [("s2", "s3")], True),  # the newer one
        ("s4", "u1", [("s2", "s3"), ("s3", "s4")], True),  # two steps on
        ("s9", "u1", [("s2", "s3"), ("s9", "s3")], True),  # up to a common successor and down again
        ("s1", "u7", [("s1", "s2"), ("u1", "u7")], True),  # both sides
        ("s1", "u2", [("s1", "s2"), ("u1", "u7")], False),
        ("", "u1", [("s1", "s2")], False),
        ("s2", "", [], False),
    ],
)
def test_fit_follows_superseded_numbers_both_ways(
    sensor: str, unit: str, supersessions: list[tuple[str, str]], expected: bool
) -> None:
    assert expected == Fits.of([ROW], supersessions).judge(sensor, unit).fits


def test_an_empty_number_fits_nothing_even_if_a_row_is_empty() -> None:
    assert not Fits.of([("", "u1")], []).judge("", "u1").fits


def test_a_direct_row_is_told_before_a_chain_and_facts_are_named() -> None:
    fits = Fits.of([ROW], [Supersession("s1", "s2", "sup-1")])

    assert (fits.judge("s2", "u1").by_supersession, fits.judge("s2", "u1").facts) == (False, ("fit-1",))
    assert (fits.judge("s1", "u1").by_supersession, fits.judge("s1", "u1").facts) == (True, ("fit-1", "sup-1"))


def test_numbers_without_a_row_are_told_apart_from_those_that_fit_others() -> None:
    fits = Fits.of([ROW, FitRow("s5", "u5", fits=False)], [("s1", "s2")])
    told = {
        pair: fits.judge(*pair)
        for pair in (("s1", "u9"), ("s9", "u1"), ("s9", "u9"), ("s5", "u5"), ("s5", "u9"), ("s9", ""))
    }

    assert [pair for pair, fit in told.items() if fit.unknown] == [("s9", "u9"), ("s5", "u9"), ("s9", "")]
    assert not any(fit.fits for fit in told.values())


def test_knows_every_number_that_a_row_speaks_of_by_any_of_its_names() -> None:
    fits = Fits.of([ROW], [("s1", "s2"), ("x1", "x2")])

    assert [fits.knows(n) for n in ("s1", "s2", "u1", "x1", "u2", "")] == [True, True, True, False, False, False]


@pytest.mark.parametrize("circle", [[("a", "a")], [("a", "b"), ("b", "a")], [("a", "b"), ("b", "c"), ("c", "a")]])
def test_a_circle_is_refused_and_named(circle: list[tuple[str, str]]) -> None:
    with pytest.raises(Refused) as refusal:
        Fits.of([], [("z", "a"), *circle])

    assert refusal.value.code == "superseded-in-a-circle"
    assert all(number in refusal.value.message for step in circle for number in step)


@given(
    st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)).filter(lambda step: step[0] < step[1]), max_size=8),
    st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=4),
)
def test_fit_agrees_with_walking_the_supersessions(steps: list[tuple[int, int]], rows: list[tuple[int, int]]) -> None:
    def walk(start: int) -> set[int]:
        seen, ahead = {start}, [start]
        while ahead:
            here = ahead.pop()
            for old, new in steps:
                for there in {old, new} if here in (old, new) else set():
                    if there not in seen:
                        seen.add(there)
                        ahead.append(there)
        return seen

    fits = Fits.of([(str(s), str(u)) for s, u in rows], [(str(old), str(new)) for old, new in steps])

    for sensor in range(8):
        for unit in range(8):
            expected = any(s in walk(sensor) and u in walk(unit) for s, u in rows)
            assert expected == fits.judge(str(sensor), str(unit)).fits


CONFLICTS = [
    # the same two numbers, the last word counts
    ([FitRow("s2", "u1", "fit-1"), FitRow("s2", "u1", "fit-2", fits=False)], [], (False, ("fit-2",), ("fit-1",))),
    ([FitRow("s2", "u1", "fit-1", fits=False), FitRow("s2", "u1", "fit-2")], [], (True, ("fit-2",), ("fit-1",))),
    # by way of a number that was replaced
    (
        [FitRow("s2", "u1", "fit-1"), FitRow("s1", "u1", "fit-2", fits=False)],
        [Supersession("s1", "s2", "sup-1")],
        (False, ("fit-2", "sup-1"), ("fit-1",)),
    ),
]


@pytest.mark.parametrize(("rows", "supersessions", "expected"), CONFLICTS)
def test_rows_that_contradict_each_other_are_shown_and_the_last_word_counts(
    rows: list[FitRow], supersessions: list[Supersession], expected: tuple[bool, tuple[str, ...], tuple[str, ...]]
) -> None:
    fits = Fits.of(rows, supersessions)
    fit = fits.judge("s2", "u1")

    assert expected == (fit.fits, fit.facts, fit.against)
    assert fits.conflicts() == [tuple(rows)]


def test_rows_that_agree_are_no_conflict() -> None:
    assert Fits.of([ROW, FitRow("s1", "u1")], [("s1", "s2")]).conflicts() == []


def test_a_sensors_class_is_the_set_of_its_units_and_several_numbers_may_form_one() -> None:
    fits = Fits.of([("s1", "u1"), ("s2", "u1"), ("s2", "u2"), ("s3", "u9")], [("u1", "u2"), ("u9", "u0")])

    assert fits.sensor_class("s1") == fits.sensor_class("s2") == frozenset({"u1"})
    assert fits.sensor_class("s3") == frozenset({"u0"})
    assert fits.sensor_class("") == fits.sensor_class("s9") == frozenset()
    assert fits.mates_of("s1") == {"u1", "u2"}
    assert fits.mates_of("u2") == {"s1", "s2"}
    assert fits.mates_of("s9") == frozenset()


def test_numbers_wanted_are_given_as_written() -> None:
    assert Fits.of([("s1", "u1")], [("u1", "u2")], {"u1": "U 1"}).numbers_wanted("s1") == ("U 1", "u2")
