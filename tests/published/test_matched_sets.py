"""The closest N of M values. No published table was found; a worked list, and the standard library trying all.

The eight values and the answer {2.33, 2.34, 2.35, 2.36}, spread 0.03, were computed for this program and confirmed
by trying all combinations; they stand in no book.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from inventory.pairing.sets.alike import closest_sets

VALUES = [2.31, 2.35, 2.40, 2.44, 2.33, 2.36, 2.52, 2.34]


def test_the_closest_four_of_eight() -> None:
    ((*places,),) = closest_sets(VALUES, 4)

    assert sorted(VALUES[place] for place in places) == [2.33, 2.34, 2.35, 2.36]
    assert max(VALUES[place] for place in places) - min(VALUES[place] for place in places) == pytest.approx(0.03)
    assert min(max(four) - min(four) for four in combinations(VALUES, 4)) == pytest.approx(0.03)
