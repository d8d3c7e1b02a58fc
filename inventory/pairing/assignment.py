"""The best matching of two shelves by several aims, one after the other, exact in whole numbers.

Each aim is a table of whole numbers. Among all matchings the first aim's sum is made as large as can be; among those
that reach it the second's; and so on; what is still equal is settled by order. No aim is folded into another by a big
weight, so no figure is lost.

How: scipy's assignment routine solves one aim on a square in which every row and column has a stand-in for "left
single". From its answer we work out prices in whole numbers (shortest paths); an edge belongs to some best matching
only if cost and prices cancel, and every perfect matching of such edges is a best one (complementary slackness). The
next aim sees only those edges. Where prices cannot be found the answer was not the best, and that is said, not used.

Exact while rows + columns times the largest figure stays under 2**53, up to which scipy's float64 holds whole numbers.
Meant for shelves of some hundreds: time grows with the cube of rows + columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]
    Edges = NDArray[np.bool_]

__all__ = ["best_matching", "prices"]

_LARGEST_EXACT = 2**53
_NO_EDGE = 2**61


def best_matching(allowed: Edges, aims: Sequence[Whole]) -> list[tuple[int, int]]:
    """The rows and columns to be matched, in row order.

    `allowed` says which may be; each of `aims` gives every edge its figure. Of matchings equal in all aims the first
    in order is taken: the first row has its lowest column, or any rather than none, then the second row, and so on.
    Raises OverflowError where a figure is too large to be exact.
    """
    import numpy as np  # with scipy.optimize about 0.2 s, so not on the way to --help

    rows, columns = allowed.shape
    edges = np.block([[allowed, np.eye(rows, dtype=bool)], [np.eye(columns, dtype=bool), allowed.T]])
    match = np.concatenate([np.arange(rows) + columns, np.arange(columns)])
    for aim in aims:
        cost = np.zeros(edges.shape, dtype=np.int64)
        cost[:rows, :columns] = -np.where(allowed, aim, 0)
        match, edges = _narrow(cost, edges)
    for row in range(rows):
        if match[row] != np.flatnonzero(edges[row])[0]:
            cost = np.zeros(edges.shape, dtype=np.int64)
            cost[row] = np.arange(rows + columns)
            match, edges = _narrow(cost, edges)
        edges[row], edges[:, match[row]] = False, False
        edges[row, match[row]] = True
    return [(row, int(match[row])) for row in range(rows) if match[row] < columns]


def prices(cost: Whole, edges: Edges, match: Whole) -> Whole:
    """A price for each column such that no row would rather have another column than its own.

    Shortest paths from all columns at once (Bellman and Ford), in whole numbers. Raises ArithmeticError if there are
    none, which is so exactly when `match` is not of least cost.
    """
    import numpy as np

    own = cost[np.arange(len(match)), match]
    gain = np.where(edges, cost - own[:, None], _NO_EDGE)
    price = np.zeros(len(match), dtype=np.int64)
    for _ in range(len(match) + 1):
        lower = np.minimum(price, (gain + price[match][:, None]).min(axis=0))
        if np.array_equal(lower, price):
            return price
        price = lower
    raise ArithmeticError("this matching is not of least cost")


def _narrow(cost: Whole, edges: Edges) -> tuple[Whole, Edges]:
    """A perfect matching of least cost, and the edges of which all such matchings consist."""
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    if len(cost) * int(np.abs(cost).max(initial=0)) >= _LARGEST_EXACT:
        raise OverflowError("figures too large to be matched exactly")
    match = linear_sum_assignment(np.where(edges, cost, np.inf))[1].astype(np.int64)
    price = prices(cost, edges, match)
    paid = cost[np.arange(len(match)), match] - price[match]
    return match, edges & (cost - paid[:, None] - price[None, :] == 0)
