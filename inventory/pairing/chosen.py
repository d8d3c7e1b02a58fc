"""Which part goes with which, once it is known how many of each class go with how many of each other. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.pairing.findings import GRADES, Grade
from inventory.pairing.flows import STEPS, best_flow, worthiest
from inventory.pairing.shelf import Shelf, Side

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Whole = NDArray[np.int64]

__all__ = ["Chosen", "choose"]


@dataclass(frozen=True)
class Chosen:
    """Pairs by the places of their parts, best first, and by how much at most the sum of log p falls short."""

    pairs: list[tuple[int, int, Grade]]
    short_by: float


def choose(shelf: Shelf) -> Chosen:
    """The pairs of the plan."""
    if not shelf.edges:
        return Chosen([], 0.0)
    network, aims = shelf.network(), shelf.aims()
    totals = [[_totals(side, members) for members in side.members] for side in (shelf.sensors, shelf.units)]
    flow = worthiest(network, aims, best_flow(network, aims), (totals[0], totals[1]))
    rows, columns = network.used(flow)
    best = sum(int(totals[0][at][many]) for at, many in enumerate(rows))
    best += sum(int(totals[1][at][many]) for at, many in enumerate(columns))
    spare = (rows < network.rows, columns < network.columns)
    kept = _kept_together(shelf, flow, spare)
    places, grades = _paired(shelf, flow, kept)
    reached = int(shelf.sensors.log_p[places[:, 0]].sum() + shelf.units.log_p[places[:, 1]].sum())
    order = _best_first(shelf, places, grades)
    pairs = [
        (sensor, unit, GRADES[grade])
        for (sensor, unit), grade in zip(places[order].tolist(), grades[order].tolist(), strict=True)
    ]
    return Chosen(pairs, max(best - reached, 0) / STEPS)


def _totals(side: Side, members: Whole) -> Whole:
    """The running totals of log p over a class, best first, from nought."""
    import numpy as np

    return np.concatenate([np.zeros(1, dtype=np.int64), np.cumsum(side.log_p[members])])


def _kept_together(shelf: Shelf, flow: Whole, spare: tuple[Flags, Flags]) -> dict[int, list[tuple[int, int]]]:
    """By edge, the bound pairs that are kept together: the best, by the side on which not all are used anyhow."""
    kept = {}
    for number, edge in enumerate(shelf.edges):
        if edge.bound:
            ours = shelf.sensors.log_p if spare[0][edge.row] else shelf.sensors.log_p * 0
            theirs = shelf.units.log_p if spare[1][edge.column] else shelf.units.log_p * 0
            ranked = sorted(edge.bound, key=lambda pair: (-(ours[pair[0]] + theirs[pair[1]]), pair))
            kept[number] = ranked[: int(flow[number])]
    return kept


def _paired(shelf: Shelf, flow: Whole, kept: dict[int, list[tuple[int, int]]]) -> tuple[Whole, Whole]:
    """The places of all pairs, and their grades as places in GRADES."""
    import numpy as np

    together = [pair for pairs in kept.values() for pair in pairs]
    takers = [
        _Taker(shelf.sensors, {sensor for sensor, _ in together}),
        _Taker(shelf.units, {unit for _, unit in together}),
    ]
    places: list[Whole] = []
    grades: list[Whole] = []
    best_first = sorted(range(len(shelf.edges)), key=lambda number: GRADES.index(shelf.edges[number].grade))
    for number in best_first:
        edge, many = shelf.edges[number], int(flow[number])
        if not many:
            continue
        if edge.bound:
            places.append(np.array(kept[number], dtype=np.int64))
        else:
            places.append(np.column_stack([takers[0].take(edge.row, many), takers[1].take(edge.column, many)]))
        grades.append(np.full(many, GRADES.index(edge.grade), dtype=np.int64))
    if not places:
        return np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=np.int64)
    return np.concatenate(places), np.concatenate(grades)


class _Taker:
    """Takes the members of each class that are not kept in a bound pair, the best for the best grade."""

    def __init__(self, side: Side, together: set[int]) -> None:
        self._side, self._together = side, list(together)
        self._left: dict[int, Whole] = {}

    def take(self, number: int, many: int) -> Whole:
        """The next `many` members of a class."""
        import numpy as np

        left = self._left.get(number)
        if left is None:
            members = self._side.members[number]
            left = members[~np.isin(members, self._together)] if self._together else members
        self._left[number] = left[many:]
        return left[:many]


def _best_first(shelf: Shelf, places: Whole, grades: Whole) -> Whole:
    """Grade, then p both serviceable, then documents, then tags."""
    import numpy as np

    sensors, units = shelf.sensors.halves, shelf.units.halves
    p = np.array([sensors[s].p_serviceable * units[u].p_serviceable for s, u in places.tolist()], dtype=float)
    documents = [sensors[s].document_count + units[u].document_count for s, u in places.tolist()]
    order: Whole = np.lexsort((places[:, 1], places[:, 0], -np.array(documents, dtype=np.int64), -p, grades))
    return order
