"""How many of each class go with how many of each other: integer programs over a bipartite network, solved in turn.

Each aim is a whole number for every edge. The first aim's total is made as large as can be; the second's among the
flows that reach it; and so on, each program fixing the totals before it. No aim is folded into another by a big weight.
What then is left open is settled by what the members of the classes are worth (`worthiest`).

Exact: edges between two sides with capacities are a transport problem, whose best flows are whole numbers whatever was
fixed before, since the flows that reach a largest total are a face of it; every answer is rounded and checked all the
same, and one that does not check is refused, not used. scipy.optimize.milp (HiGHS) solves the programs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]

__all__ = ["STEPS", "Network", "best_flow", "worthiest"]

STEPS = 10**9
"""Worths are whole numbers of this many steps to one."""


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

    def used(self, flow: Whole) -> tuple[Whole, Whole]:
        """How many of each class on either side a flow uses."""
        import numpy as np

        return (
            np.bincount(self.row, flow, len(self.rows)).astype(np.int64),
            np.bincount(self.column, flow, len(self.columns)).astype(np.int64),
        )


def best_flow(network: Network, aims: Sequence[Whole]) -> Whole:
    """The flow along each edge that is best by all aims in turn."""
    import numpy as np  # with scipy.optimize about 0.2 s, so not on the way to --help

    flow = np.zeros(len(network.row), dtype=np.int64)
    if not len(flow):
        return flow
    reached: list[tuple[Whole, int]] = []
    within = _within(network)
    for aim in aims:
        if aim.any():
            flow = _solved(network, -aim.astype(float), [within, *_fixed(reached)])
            reached.append((aim, int(aim @ flow)))
    _check(network, flow, reached)
    return flow


def worthiest(
    network: Network, aims: Sequence[Whole], flow: Whole, worth: tuple[Sequence[Whole], Sequence[Whole]]
) -> Whole:
    """Among the flows equal in all aims the one whose classes, each taking its best members, are worth most in sum.

    `worth` holds for each class on either side the running totals of its members' worths, best first, from nought; in
    steps of 1 / `STEPS`. The totals bend downwards, so pieces of them stand for them in a linear program: single steps
    beside what is taken now, longer ones further off. A flow that no single step betters is the best there is (every
    difference of two flows is a sum of cycles that change a class by one at most). Exact to 1e-7 of one, to which
    HiGHS tells two programs apart.
    """
    import numpy as np

    reached = [(aim, int(aim @ flow)) for aim in aims]
    totals = [*worth[0], *worth[1]]
    best = _worth_of(network, flow, totals)
    while len(flow):
        taken = np.concatenate(network.used(flow))
        pieces = [_pieces(total, int(now)) for total, now in zip(totals, taken, strict=True)]
        better = _solved_with_pieces(network, reached, pieces)
        _check(network, better, reached)
        now = _worth_of(network, better, totals)
        if now <= best:
            break
        flow, best = better, now
    return flow


def _pieces(total: Whole, now: int) -> tuple[Whole, Any]:
    """Lengths and slopes (in ones) that stand for the running totals of a class of which `now` are taken."""
    import numpy as np

    last = len(total) - 1
    steps = total[1:] - total[:-1]
    if last and steps[0] == steps[-1]:
        ends = np.array([0, last])
    else:
        far = 2 ** np.arange(max(last, 1).bit_length() + 1)
        ends = np.unique(np.clip(np.concatenate([[0, now, last], now + far, now - far]), 0, last))
    lengths = np.diff(ends)
    return lengths, np.diff(total[ends]) / lengths / STEPS


def _solved_with_pieces(network: Network, reached: list[tuple[Whole, int]], pieces: list[tuple[Whole, Any]]) -> Whole:
    import numpy as np
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array, hstack

    lengths = np.concatenate([length for length, _ in pieces])
    slopes = np.concatenate([slope for _, slope in pieces])
    owner = np.repeat(np.arange(len(pieces)), [len(length) for length, _ in pieces])
    taken = csr_array((-np.ones(len(owner)), (owner, np.arange(len(owner)))), shape=(len(pieces), len(owner)))
    balanced = LinearConstraint(hstack([_touches(network), taken], format="csr"), 0, 0)
    gain = np.concatenate([np.zeros(len(network.row)), -slopes])
    return _solved(network, gain, [balanced, *_fixed(reached, len(owner))], lengths)


def _solved(network: Network, cost: Any, constraints: list[Any], lengths: Any = ()) -> Whole:
    """The flow of least cost; `lengths` bound further variables that are no flows."""
    import numpy as np
    from scipy.optimize import Bounds, milp

    upper = np.concatenate([network.most, np.asarray(lengths, dtype=np.int64)])
    whole = np.concatenate([np.ones(len(network.row)), np.zeros(len(lengths))])
    found = milp(
        cost, integrality=whole, bounds=Bounds(0, upper), constraints=constraints, options={"mip_rel_gap": 0.0}
    )
    if found.x is None or found.status != 0:
        raise ArithmeticError(f"the program of the plan was not solved: {found.message}")
    flow: Whole = np.rint(found.x[: len(network.row)]).astype(np.int64)
    return flow


def _touches(network: Network) -> Any:
    """Which edge touches which class, rows above columns."""
    import numpy as np
    from scipy.sparse import csr_array

    edges = np.arange(len(network.row))
    classes = len(network.rows) + len(network.columns)
    at = (np.concatenate([network.row, len(network.rows) + network.column]), np.concatenate([edges, edges]))
    return csr_array((np.ones(2 * len(edges)), at), shape=(classes, len(edges)))


def _within(network: Network) -> Any:
    import numpy as np
    from scipy.optimize import LinearConstraint

    return LinearConstraint(_touches(network), -np.inf, np.concatenate([network.rows, network.columns]))


def _fixed(reached: list[tuple[Whole, int]], further: int = 0) -> list[Any]:
    """The totals that earlier programs reached."""
    import numpy as np
    from scipy.optimize import LinearConstraint

    return [LinearConstraint(np.concatenate([aim, np.zeros(further)])[None, :], total, total) for aim, total in reached]


def _worth_of(network: Network, flow: Whole, totals: Sequence[Whole]) -> int:
    import numpy as np

    taken = np.concatenate(network.used(flow))
    return sum(int(total[many]) for total, many in zip(totals, taken, strict=True))


def _check(network: Network, flow: Whole, reached: list[tuple[Whole, int]]) -> None:
    """Refuse a flow that does not hold to the capacities and totals, as whole numbers."""
    rows, columns = network.used(flow)
    fits = (flow >= 0).all() and (flow <= network.most).all()
    if not (fits and (rows <= network.rows).all() and (columns <= network.columns).all()):
        raise ArithmeticError("the program of the plan came out with more than there is")
    if any(int(aim @ flow) != total for aim, total in reached):
        raise ArithmeticError("the program of the plan came out with less than it had reached")
