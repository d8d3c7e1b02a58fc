"""Every pair of the house: the best by name, the many others counted by the sensors' number."""

from __future__ import annotations

from collections import Counter

import pytest

from inventory.errors import Refused
from inventory.pairing.every_pair import best_pairs, every_pair
from inventory.pairing.findings.fit import Fits
from inventory.pairing.judgements import pairs_among
from tests.pairing.test_plan import sensor, shelf, unit

FITS = Fits.of([("s0", "u1"), ("s1", "u1"), ("s2", "u2")], [])


@pytest.mark.parametrize("seed", range(12))
def test_by_name_they_are_those_of_grading_each_pair_and_the_counts_are_the_rest(seed: int) -> None:
    sensors, units = shelf(seed, 9)
    expected = pairs_among(sensors, units, FITS, include_ruled_out=True)

    every = every_pair([(sensors, units)], FITS, include_ruled_out=True, few=None)
    few = every_pair([(sensors, units)], FITS, include_ruled_out=True, few=3)
    usual = every_pair([(sensors[:1], units), (sensors[1:], units)], FITS, few=None)

    assert [(pair.sensor, pair.unit, pair.grade) for pair in every.pairs] == [
        (pair.sensor, pair.unit, pair.grade) for pair in expected
    ]
    assert list(usual.pairs) == [pair for pair in expected if pair.grade != "ruled out"]
    grades = Counter(pair.grade for pair in expected)
    named = Counter(pair.grade for pair in few.pairs)
    for word in ("possible", "ruled out"):
        counted = sum(each.count for each in few.counted if each.grade == word)
        assert (named[word], counted) == ((0, grades[word]) if grades[word] > 3 else (grades[word], 0))
    assert (named["confirmed"], named["probable"]) == (grades["confirmed"], grades["probable"])


@pytest.mark.parametrize("seed", range(6))
def test_the_best_are_those_of_grading_each_pair_and_the_others_are_counted(seed: int) -> None:
    sensors, units = shelf(seed, 9)
    expected = pairs_among(sensors, units, FITS, include_ruled_out=True)
    grades = Counter(pair.grade for pair in expected)

    for most in (1, 5, 30, 1000):
        best = best_pairs([(sensors, units)], FITS, most, include_ruled_out=True)
        assert [pair.rank[:2] for pair in best.pairs] == [pair.rank[:2] for pair in expected[:most]]
        assert Counter(best.totals) == grades
        assert best.not_named == len(expected) - len(best.pairs)
    assert best.pairs == expected
    usual = best_pairs([(sensors, units)], FITS, 1000).pairs
    assert usual == tuple(pair for pair in expected if pair.grade != "ruled out")


def test_twenty_thousand_offered_parts_make_few_pairs_and_too_many_classes_are_refused() -> None:
    units = [unit(f"U{at}", "K", "u1") for at in range(100)]

    alike = best_pairs([([sensor(f"S{at}", "K", f"s{at % 2}") for at in range(20_000)], units)], FITS, 50)
    assert (len(alike.pairs), sum(alike.totals.values())) == (50, 2_000_000)
    varied = [unit(f"U{at}", f"{at}", "u1") for at in range(100)]
    with pytest.raises(Refused) as refused:
        best_pairs([([sensor(f"S{at}", f"{at}", "s1") for at in range(20_000)], varied)], FITS, 50)
    assert refused.value.code == "offer-too-varied"


def test_a_shelf_of_numbers_of_which_nothing_is_on_record_is_counted_in_a_line_for_each_number() -> None:
    sensors = [sensor(f"S{at}", "K", "s8" if at % 2 else "s9") for at in range(20)]
    units = [unit(f"U{at}", "K", "u8") for at in range(10)]

    found = every_pair([(sensors, units)], FITS)

    assert found.pairs == ()
    assert [each.says for each in found.counted] == [
        "s8: 10 sensors with 10 control units, 100 possible pairs",
        "s9: 10 sensors with 10 control units, 100 possible pairs",
    ]
