"""The programs of the plan against every flow there is, scipy, and networkx with whole-number weights of any size."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from numpy.typing import NDArray

from inventory.pairing.plan.flows import STEPS, Network, best_flow, highest_worth_flow
from inventory.pairing.plan.linear import Program, least_cost
from tests.published.test_assignments import one_each

Whole = NDArray[np.int64]


def test_what_may_not_be_matched_stays_single() -> None:
    assert list(best_flow(one_each(np.array([[False, False], [True, False]])), [np.ones(1, np.int64)])[0]) == [1]
    assert list(best_flow(one_each(np.zeros((3, 2), bool)), [np.ones(0, np.int64)])[0]) == []


def test_a_later_aim_never_costs_an_earlier_one() -> None:
    network = one_each(np.ones((2, 2), bool))
    first, second = np.array([2, 1, 1, 1]), np.array([0, 10**6, 10**6, 0])

    assert list(best_flow(network, [first, second])[0]) == [1, 0, 0, 1]
    assert list(best_flow(network, [second, first])[0]) == [0, 1, 1, 0]


def made_network(chance: np.random.Generator, most: int) -> tuple[Network, list[Whole]]:
    rows, columns = (chance.integers(0, most, size=chance.integers(1, 4)) for _ in range(2))
    allowed = chance.random((len(rows), len(columns))) < 0.7
    row, column = np.nonzero(allowed)
    edges = chance.integers(0, most, size=len(row))
    return Network(rows, columns, row, column, edges), [chance.integers(0, 3, size=len(row)) for _ in range(3)]


def every_flow(network: Network) -> list[Whole]:
    found = []
    for flow in itertools.product(*(range(int(most) + 1) for most in network.most)):
        if (network.used(np.array(flow, dtype=np.int64)) <= network.capacities).all():
            found.append(np.array(flow, dtype=np.int64))
    return found


@pytest.mark.parametrize("seed", range(150))
def test_every_aim_and_the_worth_agree_with_trying_every_flow(seed: int) -> None:
    chance = np.random.default_rng(seed)
    network, aims = made_network(chance, 4)
    worth = [_totals(chance, int(many)) for many in network.capacities]

    def value(flow: Whole) -> tuple[int, ...]:
        worths = (int(total[many]) for total, many in zip(worth, network.used(flow), strict=True))
        return (*(int(aim @ flow) for aim in aims), sum(worths))

    flow, bounds = best_flow(network, aims)
    best = max(map(value, every_flow(network)))

    assert best[:3] == value(flow)[:3]
    assert best == value(highest_worth_flow(network, aims, flow, bounds, worth))


def _totals(chance: np.random.Generator, many: int) -> Whole:
    """Running totals of worths, best first, in thousandths: some equal, some not."""
    worths = np.sort(chance.choice([-700, -700, -100, int(chance.integers(-3000, 0))], size=many))[::-1]
    return np.concatenate([[0], np.cumsum(worths)]).astype(np.int64) * (STEPS // 1000)


@pytest.mark.parametrize("seed", range(40))
def test_larger_assignments_agree_with_networkx(seed: int) -> None:
    """networkx keeps Python's whole numbers, so one huge weight per edge is exact there."""
    chance = np.random.default_rng(seed)
    network = one_each(chance.random(chance.integers(5, 13, size=2)) < chance.choice([0.2, 0.5, 0.9]))
    aims = [chance.integers(0, high, size=len(network.row)) for high in (3, 10**4, 3)]
    graph = nx.Graph()
    for at, (row, column) in enumerate(zip(network.row.tolist(), network.column.tolist(), strict=True)):
        weight = 0
        for aim in aims:
            weight = weight * 10**6 + int(aim[at])
        graph.add_edge(("row", row), ("column", column), weight=weight, at=at)
    mated = [graph.edges[edge]["at"] for edge in nx.max_weight_matching(graph)]
    flow, _ = best_flow(network, aims)

    assert [int(aim[mated].sum()) for aim in aims] == [int(aim @ flow) for aim in aims]


@pytest.mark.parametrize("seed", range(40))
def test_random_assignments_agree_with_scipy(seed: int) -> None:
    from scipy.optimize import linear_sum_assignment

    chance = np.random.default_rng(seed)
    cost = chance.integers(0, 1000, size=(chance.integers(2, 40), chance.integers(2, 40)))
    network = one_each(np.ones(cost.shape, bool))
    flow, _ = best_flow(network, [1000 - cost[network.row, network.column]])
    rows, columns = linear_sum_assignment(cost)

    assert int(cost[rows, columns].sum()) == int(cost[network.row, network.column] @ flow)


def scipys_best(network: Network, aims: list[Whole], worth: list[Whole]) -> list[int]:
    """The totals of the aims in turn, and of the worth, each by a program of its own that holds to the totals before."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, hstack, vstack

    edges, classes = len(network.row), len(network.capacities)
    at = (np.concatenate([network.row, len(network.rows) + network.column]), np.tile(np.arange(edges), 2))
    touches = csr_array((np.ones(2 * edges), at), shape=(classes, edges))
    bounds = np.column_stack([np.zeros(edges), network.most])
    reached: list[int] = []
    for aim in aims:
        before = {"A_eq": np.array(aims[: len(reached)]), "b_eq": reached} if reached else {}
        found = linprog(-aim, A_ub=touches, b_ub=network.capacities, bounds=bounds, **before)
        reached.append(-round(found.fun))
    steps = np.concatenate([np.diff(total) / STEPS for total in worth])
    owner = np.repeat(np.arange(classes), [len(total) - 1 for total in worth])
    taken = csr_array((-np.ones(len(owner)), (owner, np.arange(len(owner)))), shape=(classes, len(owner)))
    kept = hstack([csr_array(np.array(aims)), csr_array((len(aims), len(owner)))])
    found = linprog(
        np.concatenate([np.zeros(edges), -steps]),
        A_eq=vstack([hstack([touches, taken]), kept]),
        b_eq=np.concatenate([np.zeros(classes), reached]),
        bounds=np.vstack([bounds, np.tile([0.0, 1.0], (len(owner), 1))]),
    )
    return [*reached, round(-found.fun * STEPS)]


@pytest.mark.parametrize("seed", range(60))
def test_larger_networks_agree_with_scipy(seed: int) -> None:
    chance = np.random.default_rng(seed)
    rows, columns = (chance.integers(0, 40, size=chance.integers(2, 25)) for _ in range(2))
    row, column = np.nonzero(chance.random((len(rows), len(columns))) < chance.choice([0.1, 0.4, 0.9]))
    network = Network(rows, columns, row, column, chance.integers(0, 40, size=len(row)))
    aims = [chance.integers(0, high, size=len(row)) for high in (2, 2, 4)]
    worth = [_totals(chance, int(many)) for many in network.capacities]

    flow, bounds = best_flow(network, aims)
    best = highest_worth_flow(network, aims, flow, bounds, worth)
    of_classes = sum(int(total[many]) for total, many in zip(worth, network.used(best), strict=True))

    assert [*(int(aim @ best) for aim in aims), of_classes] == scipys_best(network, aims, worth)


@pytest.mark.parametrize("seed", range(40))
def test_random_programs_cost_what_scipys_do_and_their_prices_prove_it(seed: int) -> None:
    from scipy.optimize import linprog

    chance = np.random.default_rng(seed)
    rows, columns = chance.integers(2, 30, size=2)
    matrix = chance.integers(-3, 4, size=(rows, columns)).astype(float)
    least, most = -chance.integers(0, 9, size=columns).astype(float), chance.integers(0, 9, size=columns).astype(float)
    high = chance.integers(0, 20, size=rows).astype(float)
    column, row = np.nonzero(matrix.T)
    cost = chance.integers(-9, 10, size=columns).astype(float)
    found = least_cost(Program(cost, least, most, np.full(rows, -np.inf), high, (row, column, matrix[row, column])))
    by_scipy = linprog(cost, A_ub=matrix, b_ub=high, bounds=np.column_stack([least, most]))
    at_bounds = np.where(found.prices > 0, least, most)

    assert found.amounts @ cost == pytest.approx(by_scipy.fun, abs=1e-7)
    assert (found.row_prices <= 1e-9).all()
    assert found.row_prices @ high + found.prices @ at_bounds == pytest.approx(by_scipy.fun, abs=1e-7)


def test_a_program_without_an_answer_is_an_error() -> None:
    one = np.ones(1)
    entries = (np.zeros(1, np.int64), np.zeros(1, np.int64), one)

    with pytest.raises(ArithmeticError, match="not solved: Infeasible"):
        least_cost(Program(one, one, one, 2 * one, 2 * one, entries))
