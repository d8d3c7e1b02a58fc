"""How many pairs to make between each two classes: linear programs over a bipartite network, solved in turn.

Each aim is a whole number for every edge. The first aim's total is maximised; then the second's among the flows that
reach it; and so on. No aim is folded into another by a big weight. `highest_worth_flow` chooses among the flows that
are left by the worth of the members of the classes.

How: edges between two sides with capacities are a transport problem, so the corners of the linear program are whole
numbers. Each answer has prices. A flow is optimal exactly if it leaves empty what costs, fills what is scarce, and is
free elsewhere (complementary slackness). Those are the `FlowBounds` the next aim is sought in, and it is a
transport problem again. Every answer is rounded and held to capacities and to what was reached, in whole numbers; one
that does not hold is not used. `linear.least_cost` (HiGHS, dual simplex) solves the programs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.pairing.plan.linear import Program, least_cost

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Real = NDArray[np.float64]
    Whole = NDArray[np.int64]

__all__ = ["STEPS", "FlowBounds", "Network", "best_flow", "highest_worth_flow"]

STEPS = 10**9
"""Worths are whole numbers in steps of one over this."""

_COSTS = 1e-6
"""A larger price counts as non-zero: prices of whole-number aims are whole numbers."""


@dataclass(frozen=True)
class Network:
    """Classes on two sides with their capacities, and edges with the largest flow along each.

    `row` and `column` are the classes that each edge joins; all arrays are of whole numbers.
    """

    rows: Whole
    columns: Whole
    row: Whole
    column: Whole
    most: Whole

    @property
    def capacities(self) -> Whole:
        """The capacity of each class, rows before columns."""
        import numpy as np

        return np.concatenate([self.rows, self.columns])

    def used(self, flow: Whole) -> Whole:
        """How many of each class a flow uses, rows before columns."""
        import numpy as np

        of_rows = np.bincount(self.row, flow, len(self.rows))
        of_columns = np.bincount(self.column, flow, len(self.columns))
        used: Whole = np.rint(np.concatenate([of_rows, of_columns])).astype(np.int64)
        return used


@dataclass(frozen=True)
class FlowBounds:
    """All flows that are optimal by some aims: least and most along each edge, and the classes always used up."""

    least: Whole
    most: Whole
    full: Flags


def best_flow(network: Network, aims: Sequence[Whole]) -> tuple[Whole, FlowBounds]:
    """The flow along each edge that is optimal by all aims in turn, and the bounds of all equally good flows."""
    import numpy as np  # with the solver about 0.1 s, so not on the way to --help

    none = np.zeros(len(network.row), dtype=np.int64)
    bounds = FlowBounds(none, network.most, np.zeros(len(network.capacities), dtype=bool))
    flow, reached = none, []
    for aim in aims:
        if aim.any():
            flow, bounds = _best_by(network, aim, bounds)
            reached.append((aim, int(aim @ flow)))
    _check(network, flow, reached)
    return flow, bounds


def highest_worth_flow(
    network: Network, aims: Sequence[Whole], flow: Whole, bounds: FlowBounds, worth: Sequence[Whole]
) -> Whole:
    """Among the flows in the room the one whose classes, each taking its best members, are worth most in sum.

    `worth` holds for each class, rows before columns, the running totals of its members' worths, best first, from
    0; in steps of 1 / `STEPS`. The totals bend downwards, so pieces of them stand for them in a linear program:
    single steps beside what is taken now, longer ones further off. A flow that no single step betters is the best there
    is (every difference of two flows is a sum of cycles that change a class by one at most). Exact to 1e-7 of one for
    each, to which HiGHS tells two programs apart.
    """
    reached = [(aim, int(aim @ flow)) for aim in aims]
    best = _worth_of(network, flow, worth)
    while (bounds.least < bounds.most).any():
        better = _improved(network, bounds, worth, network.used(flow))
        _check(network, better, reached)
        now = _worth_of(network, better, worth)
        if now <= best:
            break
        flow, best = better, now
    return flow


def _best_by(network: Network, aim: Whole, bounds: FlowBounds) -> tuple[Whole, FlowBounds]:
    import numpy as np

    found = least_cost(
        Program(
            cost=-aim.astype(float),
            least=bounds.least,
            most=bounds.most,
            row_least=np.where(bounds.full, network.capacities, -np.inf),
            row_most=network.capacities,
            entries=_incidence(network),
        )
    )
    full = bounds.full | (found.row_prices < -_COSTS)
    least = np.where(found.prices < -_COSTS, bounds.most, bounds.least)
    most = np.where(found.prices > _COSTS, bounds.least, bounds.most)
    return np.rint(found.amounts).astype(np.int64), FlowBounds(least, most, full)


def _improved(network: Network, bounds: FlowBounds, worth: Sequence[Whole], taken: Whole) -> Whole:
    """The flow in the room that is worth most, by the pieces around what is taken now.

    A row of the program says that what a class is used equals the pieces of its worth that are taken, or what it holds.
    """
    import numpy as np

    free = bounds.least < bounds.most
    many = int(free.sum())
    reached = network.used(free.astype(np.int64)) > 0
    open_classes = np.flatnonzero(~bounds.full & reached)
    pieces = [_pieces(worth[number], int(taken[number])) for number in open_classes.tolist()]
    lengths = np.concatenate([np.zeros(0), *(length for length, _ in pieces)])
    slopes = np.concatenate([np.zeros(0), *(slope for _, slope in pieces)])
    owner = np.repeat(open_classes, [len(length) for length, _ in pieces])
    row, column, value = _incidence(network)
    kept = free[column]
    place = np.cumsum(free) - 1
    right = np.where(bounds.full, network.capacities, 0) - network.used(np.where(free, 0, bounds.least))
    bound = bounds.full | reached
    found = least_cost(
        Program(
            cost=np.concatenate([np.zeros(many), -slopes]),
            least=np.concatenate([bounds.least[free], np.zeros(len(owner))]),
            most=np.concatenate([bounds.most[free], lengths]),
            row_least=np.where(bound, right, -np.inf),
            row_most=np.where(bound, right, np.inf),
            entries=(
                np.concatenate([row[kept], owner]),
                np.concatenate([place[column[kept]], many + np.arange(len(owner))]),
                np.concatenate([value[kept], -np.ones(len(owner))]),
            ),
        )
    )
    flow = bounds.least.copy()
    flow[free] = np.rint(found.amounts[:many]).astype(np.int64)
    return flow


def _pieces(total: Whole, now: int) -> tuple[Whole, Real]:
    """Lengths and slopes (in ones) that stand for the running totals of a class of which `now` are taken."""
    import numpy as np

    last = len(total) - 1
    if not last:
        return total[1:], total[1:].astype(float)
    if total[1] - total[0] == total[-1] - total[-2]:
        ends = np.array([0, last])
    else:
        far = 2 ** np.arange(last.bit_length() + 1)
        ends = np.unique(np.clip(np.concatenate([[0, now, last], now + far, now - far]), 0, last))
    lengths = np.diff(ends)
    return lengths, np.diff(total[ends]) / lengths / STEPS


def _incidence(network: Network) -> tuple[Whole, Whole, Real]:
    """Which edge touches which class, rows above columns: class, edge and 1, edge by edge."""
    import numpy as np

    classes = np.column_stack([network.row, len(network.rows) + network.column]).ravel()
    return classes, np.repeat(np.arange(len(network.row)), 2), np.ones(len(classes))


def _worth_of(network: Network, flow: Whole, worth: Sequence[Whole]) -> int:
    return sum(int(total[many]) for total, many in zip(worth, network.used(flow).tolist(), strict=True))


def _check(network: Network, flow: Whole, reached: list[tuple[Whole, int]]) -> None:
    """Refuse a flow that does not hold to the capacities and totals, as whole numbers."""
    if (flow < 0).any() or (flow > network.most).any() or (network.used(flow) > network.capacities).any():
        raise ArithmeticError("the program of the plan came out with more than there is")
    if any(int(aim @ flow) != total for aim, total in reached):
        raise ArithmeticError("the program of the plan came out with less than it had reached")
