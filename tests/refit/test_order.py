"""The order of putting back, against networkx: topological orders, components and circles of random graphs."""

from __future__ import annotations

from collections.abc import Sequence

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.refit.order import Before, Order, in_order

NAMES = [f"step-{number}" for number in range(12)]
KEYS = st.permutations(NAMES)
PAIRS = st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)), max_size=30)


def ordered(keys: Sequence[str], pairs: Sequence[tuple[str, str]]) -> Order:
    return in_order(keys, [Before(*pair, f"fact-{number}", "") for number, pair in enumerate(pairs)])


def graph_of(keys: Sequence[str], pairs: Sequence[tuple[str, str]]) -> networkx.DiGraph:
    graph = networkx.DiGraph()
    graph.add_nodes_from(keys)
    graph.add_edges_from(pairs)
    return graph


@settings(max_examples=50)
@given(KEYS, PAIRS)
def test_the_order_is_that_of_networkx_where_circles_are_opened(keys: list[str], pairs: list[tuple[str, str]]) -> None:
    order = ordered(keys, pairs)
    whole, opened = graph_of(keys, pairs), graph_of(keys, pairs)
    opened.remove_edges_from((each.first, each.then) for each in order.set_aside)

    assert list(order.sequence) == list(networkx.lexicographical_topological_sort(opened, key=keys.index))
    generations = enumerate(networkx.topological_generations(opened), 1)
    assert order.group == {key: number for number, those in generations for key in those}
    assert {key: set(order.after[key]) for key in keys} == {key: set(opened.predecessors(key)) for key in keys}

    knots = list(networkx.strongly_connected_components(whole))
    for each in order.set_aside:
        assert any({each.first, each.then} <= knot for knot in knots), "only what is part of a circle is set aside"
        assert keys.index(each.first) >= keys.index(each.then)
    circling = {key for knot in knots if len(knot) > 1 for key in knot} | set(networkx.nodes_with_selfloops(whole))
    assert bool(order.cycles) == bool(circling) == bool(order.set_aside)


@settings(max_examples=50)
@given(KEYS, PAIRS)
def test_each_circle_is_one_and_all_that_is_set_aside_stands_in_one(
    keys: list[str], pairs: list[tuple[str, str]]
) -> None:
    order = ordered(keys, pairs)
    graph = graph_of(keys, pairs)
    for circle in order.cycles:
        way = list(dict.fromkeys((each.first, each.then) for each in circle))
        assert all(one[1] == other[0] for one, other in zip(way, [*way[1:], way[0]], strict=True))
        assert len({first for first, _ in way}) == len(way), "each thing stands in it once"
        assert graph.edges >= set(way)
    shown = {each.fact for circle in order.cycles for each in circle}
    assert {each.fact for each in order.set_aside} <= shown


def test_a_long_chain_and_a_large_circle_need_no_recursion() -> None:
    keys = [str(number) for number in range(5000)]
    chain = ordered(keys, list(zip(keys[1:], keys, strict=False)))
    assert list(chain.sequence) == keys[::-1]
    (circle,) = ordered(keys, list(zip(keys, [*keys[1:], keys[0]], strict=True))).cycles
    assert len(circle) == 5000
