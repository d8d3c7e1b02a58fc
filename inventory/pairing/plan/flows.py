"""How many of each class go with how many of each other: programs over a bipartite network, solved one after another.

Each aim is a whole number for every edge. The first aim's total is made as large as can be; the second's among the
flows that reach it; and so on. No aim is folded into another by a big weight. What then is left open is settled by what
the members of the classes are worth (`worthiest`).

How: edges between two sides with capacities are a transport problem, so that the linear program's corners are whole
numbers. With an answer come its prices; a flow is among the best exactly where it leaves empty what costs, fills what
is scarce, and is free elsewhere (complementary slackness). That is the `Room` the next aim is sought in, and it is a
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

__all__ = ["STEPS", "Network", "Room", "best_flow", "worthiest"]

STEPS = 10**9
"""Worths are whole numbers of this many steps to one."""

_COSTS = 1e-6
"""A price further from nought than this is one: prices of whole-number aims are whole numbers."""


@dataclass(frozen=True)
class Network:
    """Classes on two sides with how many each holds, and edges with the most that may go along each.

    `row` and `column` are the classes that each edge joins; all arrays are of whole numbers.
    """

    rows: Whole
    columns: Whole
    row: Whole
    column: Whole
    most: Whole

    @property
    def holds(self) -> Whole:
        """How many each class holds, rows before columns."""
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
class Room:
    """Where all flows lie that are best by some aims: least and most along each edge, the classes used up in all."""

    least: Whole
    most: Whole
    full: Flags


def best_flow(network: Network, aims: Sequence[Whole]) -> tuple[Whole, Room]:
    """The flow along each edge that is best by all aims in turn, and where all that are as good lie."""
    import numpy as np  # with the solver about 0.1 s, so not on the way to --help

    none = np.zeros(len(network.row), dtype=np.int64)
    room = Room(none, network.most, np.zeros(len(network.holds), dtype=bool))
    flow, reached = none, []
    for aim in aims:
        if aim.any():
            flow, room = _best_by(network, aim, room)
            reached.append((aim, int(aim @ flow)))
    _check(network, flow, reached)
    return flow, room


def worthiest(network: Network, aims: Sequence[Whole], flow: Whole, room: Room, worth: Sequence[Whole]) -> Whole:
    """Among the flows in the room the one whose classes, each taking its best members, are worth most in sum.

    `worth` holds for each class, rows before columns, the running totals of its members' worths, best first, from
    nought; in steps of 1 / `STEPS`. The totals bend downwards, so pieces of them stand for them in a linear program:
    single steps beside what is taken now, longer ones further off. A flow that no single step betters is the best there
    is (every difference of two flows is a sum of cycles that change a class by one at most). Exact to 1e-7 of one for
    each, to which HiGHS tells two programs apart.
    """
    reached = [(aim, int(aim @ flow)) for aim in aims]
    best = _worth_of(network, flow, worth)
    while (room.least < room.most).any():
        better = _bettered(network, room, worth, network.used(flow))
        _check(network, better, reached)
        now = _worth_of(network, better, worth)
        if now <= best:
            break
        flow, best = better, now
    return flow


def _best_by(network: Network, aim: Whole, room: Room) -> tuple[Whole, Room]:
    import numpy as np

    found = least_cost(
        Program(
            cost=-aim.astype(float),
            least=room.least,
            most=room.most,
            row_least=np.where(room.full, network.holds, -np.inf),
            row_most=network.holds,
            entries=_touches(network),
        )
    )
    full = room.full | (found.row_prices < -_COSTS)
    least = np.where(found.prices < -_COSTS, room.most, room.least)
    most = np.where(found.prices > _COSTS, room.least, room.most)
    return np.rint(found.amounts).astype(np.int64), Room(least, most, full)


def _bettered(network: Network, room: Room, worth: Sequence[Whole], taken: Whole) -> Whole:
    """The flow in the room that is worth most, by the pieces around what is taken now.

    A row of the program says that what a class is used equals the pieces of its worth that are taken, or what it holds.
    """
    import numpy as np

    free = room.least < room.most
    many = int(free.sum())
    reached = network.used(free.astype(np.int64)) > 0
    open_classes = np.flatnonzero(~room.full & reached)
    pieces = [_pieces(worth[number], int(taken[number])) for number in open_classes.tolist()]
    lengths = np.concatenate([np.zeros(0), *(length for length, _ in pieces)])
    slopes = np.concatenate([np.zeros(0), *(slope for _, slope in pieces)])
    owner = np.repeat(open_classes, [len(length) for length, _ in pieces])
    row, column, value = _touches(network)
    kept = free[column]
    place = np.cumsum(free) - 1
    right = np.where(room.full, network.holds, 0) - network.used(np.where(free, 0, room.least))
    bound = room.full | reached
    found = least_cost(
        Program(
            cost=np.concatenate([np.zeros(many), -slopes]),
            least=np.concatenate([room.least[free], np.zeros(len(owner))]),
            most=np.concatenate([room.most[free], lengths]),
            row_least=np.where(bound, right, -np.inf),
            row_most=np.where(bound, right, np.inf),
            entries=(
                np.concatenate([row[kept], owner]),
                np.concatenate([place[column[kept]], many + np.arange(len(owner))]),
                np.concatenate([value[kept], -np.ones(len(owner))]),
            ),
        )
    )
    flow = room.least.copy()
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


def _touches(network: Network) -> tuple[Whole, Whole, Real]:
    """Which edge touches which class, rows above columns: class, edge and 1, edge by edge."""
    import numpy as np

    classes = np.column_stack([network.row, len(network.rows) + network.column]).ravel()
    return classes, np.repeat(np.arange(len(network.row)), 2), np.ones(len(classes))


def _worth_of(network: Network, flow: Whole, worth: Sequence[Whole]) -> int:
    return sum(int(total[many]) for total, many in zip(worth, network.used(flow).tolist(), strict=True))


def _check(network: Network, flow: Whole, reached: list[tuple[Whole, int]]) -> None:
    """Refuse a flow that does not hold to the capacities and totals, as whole numbers."""
    if (flow < 0).any() or (flow > network.most).any() or (network.used(flow) > network.holds).any():
        raise ArithmeticError("the program of the plan came out with more than there is")
    if any(int(aim @ flow) != total for aim, total in reached):
        raise ArithmeticError("the program of the plan came out with less than it had reached")
