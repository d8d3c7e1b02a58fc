"""Chooses the pairs of parts, given how many pairs to make between each two classes. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.pairing.findings.by_part import GRADES, Grade
from inventory.pairing.plan.flows import STEPS, best_flow, highest_worth_flow
from inventory.pairing.plan.shelf import Shelf, Side

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Whole = NDArray[np.int64]

__all__ = ["Chosen", "choose"]


@dataclass(frozen=True)
class Chosen:
    """Pairs by the indices of their parts, by rank, and an upper bound of the shortfall of the sum of log p."""

    pairs: list[tuple[int, int, Grade]]
    short_by: float


def choose(shelf: Shelf) -> Chosen:
    """The pairs of the plan."""
    if not shelf.edges:
        return Chosen([], 0.0)
    network, aims = shelf.network(), shelf.aims()
    totals = [_totals(side, members) for side in (shelf.sensors, shelf.units) for members in side.members]
    flow = highest_worth_flow(network, aims, *best_flow(network, aims), totals)
    used = network.used(flow)
    best = sum(int(total[many]) for total, many in zip(totals, used.tolist(), strict=True))
    spare = used < network.capacities
    kept = _kept_together(shelf, flow, (spare[: len(network.rows)], spare[len(network.rows) :]))
    places, ranks = _paired(shelf, flow, kept)
    reached = int(shelf.sensors.log_p[places[:, 0]].sum() + shelf.units.log_p[places[:, 1]].sum())
    order = _best_first(shelf, places, ranks)
    pairs = [
        (sensor, unit, GRADES[rank % 3])
        for (sensor, unit), rank in zip(places[order].tolist(), ranks[order].tolist(), strict=True)
    ]
    return Chosen(pairs, max(best - reached, 0) / STEPS)


def _totals(side: Side, members: Whole) -> Whole:
    """The running totals of log p over a class, best first, starting at 0."""
    import numpy as np

    return np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(side.log_p[members])])


def _kept_together(shelf: Shelf, flow: Whole, spare: tuple[Flags, Flags]) -> dict[int, Whole]:
    """By edge, the bound pairs to keep: the best, counting only sides on which not all parts are used."""
    import numpy as np

    kept = {}
    for number, edge in enumerate(shelf.edges):
        if edge.bound:
            pairs = np.array(edge.bound, dtype=np.int64)
            worth = shelf.sensors.log_p[pairs[:, 0]] * spare[0][edge.row]
            worth += shelf.units.log_p[pairs[:, 1]] * spare[1][edge.column]
            order = np.lexsort((pairs[:, 1], pairs[:, 0], -worth))
            kept[number] = pairs[order[: int(flow[number])]]
    return kept


def _paired(shelf: Shelf, flow: Whole, kept: dict[int, Whole]) -> tuple[Whole, Whole]:
    """The indices of all pairs, and their ranks: sound pairs before those with failed parts, then by grade."""
    import numpy as np

    together = np.concatenate([np.zeros((0, 2), dtype=np.int64), *kept.values()])
    takers = [_Taker(shelf.sensors, together[:, 0]), _Taker(shelf.units, together[:, 1])]
    places: list[Whole] = []
    ranks: list[Whole] = []
    for number in sorted(range(len(shelf.edges)), key=lambda number: shelf.edges[number].rank):
        edge, many = shelf.edges[number], int(flow[number])
        if not many:
            continue
        if edge.bound:
            places.append(kept[number])
        else:
            places.append(np.column_stack([takers[0].take(edge.row, many), takers[1].take(edge.column, many)]))
        ranks.append(np.full(many, edge.rank, dtype=np.int64))
    if not places:
        return np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=np.int64)
    return np.concatenate(places), np.concatenate(ranks)


class _Taker:
    """Takes the members of each class that are not in a bound pair, the best for the best grade."""

    def __init__(self, side: Side, together: Whole) -> None:
        import numpy as np

        self._members = side.members
        self._free = np.ones(len(side.parts), dtype=bool)
        self._free[together] = False
        self._left: dict[int, Whole] = {}

    def take(self, number: int, many: int) -> Whole:
        """The next `many` members of a class."""
        left = self._left.get(number)
        if left is None:
            members = self._members[number]
            left = members[self._free[members]]
        self._left[number] = left[many:]
        return left[:many]


def _best_first(shelf: Shelf, places: Whole, ranks: Whole) -> Whole:
    """The order of pairs: by rank, then p both serviceable, then documents, then tags."""
    import numpy as np

    sensors, units = places[:, 0], places[:, 1]
    p = shelf.sensors.p[sensors] * shelf.units.p[units]
    documents = shelf.sensors.documents[sensors] + shelf.units.documents[units]
    order: Whole = np.lexsort((units, sensors, -documents, -p, ranks))
    return order
