"""Grades worked out once for all that are alike are the grades that each pair has by itself."""

from __future__ import annotations

import random

import pytest

from inventory.pairing.findings.likeness import Grades
from inventory.pairing.findings.together import ceiling
from tests.pairing.test_plan import FITS, shelf


@pytest.mark.parametrize("seed", range(60))
def test_a_grade_by_likeness_is_the_grade_of_the_pair(seed: int) -> None:
    sensors, units = shelf(seed, 14)
    order = random.Random(seed)
    order.shuffle(sensors)
    grades = Grades(FITS)

    for sensor in sensors:
        for unit, found in grades.with_each(sensor, units):
            assert ceiling(sensor, unit, FITS) == found
