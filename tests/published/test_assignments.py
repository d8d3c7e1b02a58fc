"""Published assignments, through the programs that plan a shelf: with one part to a class each is a plan."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from inventory.pairing.plan.flows import Network, best_flow
from inventory.pairing.plan.linear import Program, least_cost


def one_each(allowed: NDArray[np.bool_]) -> Network:
    """Every class holds one: a network that is an assignment."""
    row, column = np.nonzero(allowed)
    rows, columns = (np.ones(many, dtype=np.int64) for many in allowed.shape)
    return Network(rows, columns, row, column, np.ones(len(row), dtype=np.int64))


INF = 10**6
PUBLISHED = [
    # scipy.optimize.linear_sum_assignment, docstring (seen)
    ([[4, 1, 3], [2, 0, 5], [3, 2, 2]], 5),
    # scipy/sparse/csgraph/tests/test_matching.py (seen)
    ([[400, 150, 400], [400, 450, 600], [300, 225, 300]], 850),
    ([[400, 150, 400, 1], [400, 450, 600, 2], [300, 225, 300, 3]], 452),
    ([[10, 10, 8], [9, 8, 1], [9, 7, 4]], 18),
    ([[10, 10, 8, 11], [9, 8, 1, 1], [9, 7, 4, 10]], 15),
    ([[10, INF, INF], [INF, INF, 1], [INF, 7, INF]], 18),
    # taking the cheapest edge first gives 101 (computed)
    ([[1, 2], [2, 100]], 4),
]


@pytest.mark.parametrize(("costs", "least"), PUBLISHED)
def test_published_assignments(costs: list[list[int]], least: int) -> None:
    """Least totals, turned into aims by 1000 - cost so that every row wants a partner."""
    cost = np.array(costs)
    network = one_each(cost < INF)
    of_edges = cost[network.row, network.column]

    flow, _ = best_flow(network, [1000 - of_edges])

    assert len(cost) == int(flow.sum())
    assert least == int(of_edges @ flow)


def test_a_hundred_by_a_hundred() -> None:
    """OR-Library, assign100: 305 at least (seen, in a solver's log beside a public copy of the costs), 9900 at most.

    The greatest total is computed with scipy.optimize.linear_sum_assignment, which gives 305 for the least as well.
    """
    size, *costs = map(int, (Path(__file__).parent / "assign100.txt").read_text(encoding="ascii").split())
    cost = np.array(costs).reshape(size, size)
    network = one_each(cost > 0)
    of_edges = cost[network.row, network.column]

    cheapest, _ = best_flow(network, [1000 - of_edges])
    dearest, _ = best_flow(network, [of_edges])

    assert (size, len(of_edges), cost.min(), cost.max()) == (100, 10_000, 1, 100)
    assert [size, size] == [int(flow.sum()) for flow in (cheapest, dearest)]
    assert [int(of_edges @ flow) for flow in (cheapest, dearest)] == [305, 9900]


def test_the_documented_case_of_the_solver() -> None:
    """scipy.optimize.linprog, docstring (seen): the answer and the prices that come with it."""
    found = least_cost(
        Program(
            cost=np.array([-1.0, 4.0]),
            least=np.array([-np.inf, -3.0]),
            most=np.array([np.inf, np.inf]),
            row_least=np.array([-np.inf, -np.inf]),
            row_most=np.array([6.0, 4.0]),
            entries=(np.array([0, 1, 0, 1]), np.array([0, 0, 1, 1]), np.array([-3.0, 1.0, 1.0, 2.0])),
        )
    )

    assert found.amounts.tolist() == [10.0, -3.0]
    assert found.row_prices.tolist() == [0.0, -1.0]
    assert found.prices.tolist() == [0.0, 6.0]
