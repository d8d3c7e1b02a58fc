"""The matching of two shelves: published cases, brute force, and networkx with whole-number weights of any size."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from inventory.pairing.assignment import best_matching, prices

Matching = tuple[tuple[int, int], ...]


def matchings(allowed: NDArray[np.bool_]) -> Iterator[Matching]:
    """Every matching, in the order in which ties are settled: lowest column first, single last, row by row."""
    rows, columns = allowed.shape

    def onward(row: int, free: frozenset[int]) -> Iterator[Matching]:
        if row == rows:
            yield ()
            return
        for column in sorted(free):
            if allowed[row, column]:
                for rest in onward(row + 1, free - {column}):
                    yield ((row, column), *rest)
        yield from onward(row + 1, free)

    return onward(0, frozenset(range(columns)))


def worth(matching: Matching, aims: list[NDArray[np.int64]]) -> tuple[int, ...]:
    return tuple(sum(int(aim[at]) for at in matching) for aim in aims)


# Least totals, turned into aims by 1000 - cost so that every row wants a partner.
# First: scipy.optimize.linear_sum_assignment docstring. Others: scipy/sparse/csgraph/tests/test_matching.py.
INF = 10**6
PUBLISHED = [
    ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),
    ([[400, 150, 400], [400, 450, 600], [300, 225, 300]], 850),
    ([[400, 150, 400, 1], [400, 450, 600, 2], [300, 225, 300, 3]], 452),
    ([[10, 10, 8], [9, 8, 1], [9, 7, 4]], 18),
    ([[10, 10, 8, 11], [9, 8, 1, 1], [9, 7, 4, 10]], 15),
    ([[10, INF, INF], [INF, INF, 1], [INF, 7, INF]], 18),
]


@pytest.mark.parametrize(("costs", "least"), PUBLISHED)
def test_published_cases(costs: list[list[int]], least: int) -> None:
    cost = np.array(costs)

    chosen = best_matching(cost < INF, [1000 - cost])

    assert len(cost) == len(chosen)
    assert least == sum(int(cost[at]) for at in chosen)


def test_best_first_is_not_always_best() -> None:
    """Taking the cheapest edge first gives 101 here; the best is 4."""
    assert best_matching(np.ones((2, 2), bool), [1000 - np.array([[1, 2], [2, 100]])]) == [(0, 1), (1, 0)]


def test_what_may_not_be_matched_stays_single() -> None:
    assert best_matching(np.array([[False, False], [True, False]]), [np.ones((2, 2), np.int64)]) == [(1, 0)]
    assert best_matching(np.zeros((3, 2), bool), [np.ones((3, 2), np.int64)]) == []
    assert best_matching(np.zeros((0, 2), bool), [np.ones((0, 2), np.int64)]) == []


def test_without_an_aim_the_first_in_order_is_taken() -> None:
    assert best_matching(np.ones((3, 2), bool), []) == [(0, 0), (1, 1)]


def test_a_later_aim_never_costs_an_earlier_one() -> None:
    first, second = np.array([[2, 1], [1, 1]]), np.array([[0, 10**12], [10**12, 0]])

    assert best_matching(np.ones((2, 2), bool), [first, second]) == [(0, 0), (1, 1)]
    assert best_matching(np.ones((2, 2), bool), [second, first]) == [(0, 1), (1, 0)]


def test_figures_too_large_to_be_exact_are_not_used() -> None:
    with pytest.raises(OverflowError):
        best_matching(np.ones((1, 1), bool), [np.array([[2**52]])])


def test_prices_tell_a_matching_that_is_not_the_best() -> None:
    cost, every = np.array([[1, 2], [2, 100]]), np.ones((2, 2), bool)

    assert len(prices(cost, every, np.array([1, 0]))) == 2
    with pytest.raises(ArithmeticError):
        prices(cost, every, np.array([0, 1]))


@st.composite
def shelves(draw: st.DrawFn) -> tuple[NDArray[np.bool_], list[NDArray[np.int64]]]:
    shape = draw(st.tuples(st.integers(1, 4), st.integers(1, 4)))
    allowed = draw(arrays(bool, shape))
    few, wide = st.integers(0, 2), st.integers(-(10**10), 10**10)
    return allowed, [draw(arrays(np.int64, shape, elements=figures)) for figures in (few, few | wide, few)]


@settings(max_examples=300, deadline=None)
@given(shelves())
def test_every_aim_and_the_order_agree_with_trying_everything(
    shelf: tuple[NDArray[np.bool_], list[NDArray[np.int64]]],
) -> None:
    allowed, aims = shelf

    expected = max(matchings(allowed), key=lambda matching: worth(matching, aims))  # of equals, max takes the first

    assert list(expected) == best_matching(allowed, aims)


@pytest.mark.parametrize("seed", range(60))
def test_larger_shelves_agree_with_networkx(seed: int) -> None:
    """networkx keeps Python's whole numbers, so one huge weight per edge is exact there."""
    chance = np.random.default_rng(seed)
    rows, columns = chance.integers(5, 13, size=2)
    allowed = chance.random((rows, columns)) < chance.choice([0.2, 0.5, 0.9])
    aims = [chance.integers(0, high, size=(rows, columns)) for high in (3, 10**10, 3)]
    graph = nx.Graph()
    for row, column in itertools.product(range(rows), range(columns)):
        if allowed[row, column]:
            weight = 0
            for aim in aims:
                weight = weight * 10**13 + int(aim[row, column])
            graph.add_edge(("row", row), ("column", column), weight=weight)
    mated = nx.max_weight_matching(graph)
    expected = tuple(tuple(number for _, number in sorted(edge, reverse=True)) for edge in mated)

    assert worth(expected, aims) == worth(tuple(best_matching(allowed, aims)), aims)
