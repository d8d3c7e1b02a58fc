"""The spread of repeats against JCGM 100 and scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from inventory.bench.quantities.repeats import guard_for, pooled_spread, repeats_of

#: JCGM 100:2008, 4.4.3, table 1: twenty temperatures of a bath in degC. The guide prints mean 100.145, s 1.489 and
#: s/sqrt(20) 0.333 (from memory; numpy and scipy agree below).
BATH = (
    *(96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07),
    *(100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72),
)


def test_the_bath_of_the_guide() -> None:
    found = repeats_of(BATH)

    assert (found.count, found.freedom) == (20, 19)
    assert found.mean == pytest.approx(100.145, abs=5e-4)
    assert found.spread == pytest.approx(1.489, abs=5e-4)
    assert found.u == pytest.approx(0.333, abs=5e-4)
    assert found.u == pytest.approx(stats.sem(BATH), rel=1e-12)


@pytest.mark.parametrize("freedom", [1, 2, 5, 19, 600])
@pytest.mark.parametrize("risk", [0.05, 0.01])
def test_the_guard_is_students_t_on_one_side(freedom: int, risk: float) -> None:
    assert guard_for(freedom, risk) == pytest.approx(stats.t.ppf(1 - risk, freedom), rel=1e-9)
    assert guard_for(math.inf, risk) == pytest.approx(stats.norm.ppf(1 - risk), rel=1e-9)


def test_repeats_at_several_settings_are_pooled() -> None:
    """Pooled variance, weighted by degrees of freedom: JCGM 100:2008, 4.2.4 (from memory); numpy as oracle."""
    groups = ([4.20, 4.24, 4.22], [5.30, 5.36], [7.0])
    spread, freedom = pooled_spread(groups)

    squares = sum((len(each) - 1) * np.var(np.array(each) / np.mean(each), ddof=1) for each in groups[:2])
    assert freedom == 3
    assert spread == pytest.approx(math.sqrt(squares / 3), rel=1e-12)
    assert pooled_spread([[4.2], [5.3]]) == (0.0, 0)
