"""Sets of injectors: the closest by brute force, sessions apart, what cannot be told apart; by command on both engines."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from inventory.pairing.sets.alike import Flow, Injector, closest_sets, match_sets


def spread(flows: list[float], places: tuple[int, ...]) -> float:
    return max(flows[place] for place in places) - min(flows[place] for place in places)


@pytest.mark.parametrize("seed", range(40))
def test_one_set_is_the_closest_of_all_there_are(seed: int) -> None:
    dice = random.Random(seed)
    flows = [dice.randint(360, 400) / 2 for _ in range(dice.randint(4, 11))]
    size = dice.randint(2, 4)

    (found,) = closest_sets(flows, size)

    best = min(spread(flows, each) for each in combinations(range(len(flows)), size))
    assert len(set(found)) == size
    assert spread(flows, found) == best


def brute(flows: list[float], size: int, count: int) -> float:
    """The smallest worst spread of so many sets that share none, by trying all."""

    def rest(left: frozenset[int], more: int) -> float:
        if not more:
            return 0.0
        return min(
            (max(spread(flows, each), rest(left - set(each), more - 1)) for each in combinations(sorted(left), size)),
            default=float("inf"),
        )

    return rest(frozenset(range(len(flows))), count)


@pytest.mark.parametrize("seed", range(30))
def test_several_sets_share_none_and_their_worst_is_the_smallest(seed: int) -> None:
    dice = random.Random(100 + seed)
    flows = [float(dice.randint(0, 30)) for _ in range(dice.randint(6, 9))]

    found = closest_sets(flows, 3, 2)

    assert len(set(found[0]) | set(found[1])) == 6
    assert max(spread(flows, each) for each in found) == brute(flows, 3, 2)


def test_too_few_make_no_set() -> None:
    assert closest_sets([1.0, 2.0, 3.0], 2, 2) == []


def injector(tag: str, value: float, *, session: str = "march", u: float = 0.5, **more: Any) -> Injector:
    flow = Flow("static", value, u, "ml/min", (("session", session), ("pressure", "2bar")), (f"bench_run-{tag}",))
    return Injector(tag, "HV9", (flow,), **more)


def test_flows_of_two_sessions_do_not_compare() -> None:
    some = [injector(f"A{place}", 380.0 + place, session="march" if place % 2 else "april") for place in range(8)]

    found = match_sets(some, 6)

    assert found.sets == ()
    assert "at most 4 that fit were flowed in one session; flow them again together" in found.says
    assert any("same pressure, fluid, temperature and time" in reason.says for reason in found.reasons)


def test_one_that_failed_is_left_out_and_named_and_what_was_never_measured_is_said() -> None:
    some = [injector(f"A{place}", 380.0 + place) for place in range(6)]
    some.append(injector("B1", 380.5, failed=("leakage",)))
    some[0] = injector("A0", 380.0, unmeasured=("leakage", "resistance"))

    found = match_sets(some, 3)

    assert found.sets[0].tags == ("A0", "A1", "A2")
    said = [reason.says for reason in found.reasons]
    assert "left out: B1, failed leakage" in said
    assert "not shown to be in limits: A0: leakage, resistance" in said


@pytest.mark.parametrize(("u", "words"), [(0.01, "so it is really worse"), (5.0, "so neither is shown better")])
def test_whether_the_second_best_is_really_worse(u: float, words: str) -> None:
    some = [injector(f"A{place}", value, u=u) for place, value in enumerate([380.0, 381.0, 382.0, 390.0])]

    found = match_sets(some, 3)

    assert found.second is not None
    assert set(found.second.tags) != set(found.sets[0].tags)
    assert any(words in reason.says for reason in found.reasons)


@pytest.mark.parametrize(("spread", "words"), [(0.5, "so it is really worse"), (20.0, "so neither is shown better")])
def test_repeats_show_whether_the_second_best_is_really_worse(spread: float, words: str) -> None:
    """Each flowed three times: the mean counts, with the repeats' spread instead of the method's 1 %, about 4 ml/min."""
    under = (("session", "march"), ("pressure", "2bar"))
    some = [
        Injector(
            f"A{place}",
            "HV9",
            tuple(Flow("static", value + off, 4.0, "ml/min", under, (), 4.0) for off in (-spread, spread, 0.0)),
        )
        for place, value in enumerate([380.0, 381.0, 382.0, 390.0])
    ]

    found = match_sets(some, 3)

    assert found.sets[0].spread == pytest.approx(2.0)
    assert any(words in reason.says for reason in found.reasons)
    once = [replace(each, flows=each.flows[2:]) for each in some]
    assert any("so neither is shown better" in reason.says for reason in match_sets(once, 3).reasons)
