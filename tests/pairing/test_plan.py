"""The plan of a shelf against every plan there is, and against networkx; what is left over and why."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product
from math import log

import networkx as nx
import pytest

from inventory.errors import Refused
from inventory.pairing.fit import Fits
from inventory.pairing.halves import SENSOR_KIND, UNIT_KIND, Half, OnRecord, StripDown
from inventory.pairing.judgements import PairJudgement, grade
from inventory.pairing.plan import Plan, plan

FITS = Fits.of([("s1", "u1"), ("s2", "u1"), ("s2", "u2")], [("s0", "s1")])
Key = tuple[int, int, int, int, int]


def half(kind: str, tag: str, number: str, code: str = "", **more: object) -> Half:
    plain = Half(tag, kind, number, number, 0.5, code, "read" if code else "not looked at", seal_state="intact")
    return replace(plain, **more)  # type: ignore[arg-type]


def sensor(tag: str, code: str = "K", number: str = "s1", **more: object) -> Half:
    return half(SENSOR_KIND, tag, number, code, **more)


def unit(tag: str, code: str = "K", number: str = "u1", **more: object) -> Half:
    return half(UNIT_KIND, tag, number, code, **more)


def shelf(seed: int, most: int) -> tuple[list[Half], list[Half]]:
    """Random sensors and units: few codes, missing ones, broken seals, several off one car, many equal."""
    chance = random.Random(seed)

    def any_of(kind: str, tag: str, numbers: list[str]) -> Half:
        strip_down = chance.choice([None, None, StripDown("1", "Green tourer"), StripDown("2", "Blue coupe")])
        return half(
            kind,
            tag,
            chance.choice(numbers),
            chance.choice(["", "", "K", "K", "M"]),
            seal_state=chance.choice(["intact", "intact", "not seen", "missing"]),
            strip_down=strip_down,
            p_serviceable=chance.choice([0.5, 0.5, 0.9, chance.random(), 0.0]),
            document_count=chance.choice([0, 0, 1, 2]),
            decisive_failure=chance.choice([None] * 7 + [OnRecord("failed the hold")]),
        )

    sensors = [any_of(SENSOR_KIND, f"S{at:02}", ["s0", "s1", "s2"]) for at in range(chance.randint(1, most))]
    units = [any_of(UNIT_KIND, f"U{at:02}", ["u1", "u1", "u2"]) for at in range(chance.randint(1, most))]
    chance.shuffle(sensors)
    chance.shuffle(units)
    return sensors, units


def value(pair: PairJudgement, halves: dict[str, Half]) -> Key:
    """What one pair adds: confirmed, probable, possible, log p in steps of 1e-9, documents."""
    both = (halves[pair.sensor], halves[pair.unit])
    counts = [pair.grade == word for word in ("confirmed", "probable", "possible")]
    chance = sum(round(log(max(one.p_serviceable, 1e-12)) * 10**9) for one in both)
    return (*map(int, counts), chance, sum(one.document_count for one in both))  # type: ignore[return-value]


def total(pairs: tuple[PairJudgement, ...], halves: dict[str, Half]) -> Key:
    return tuple(map(sum, zip((0, 0, 0, 0, 0), *(value(pair, halves) for pair in pairs), strict=True)))  # type: ignore[return-value]


def every_plan(sensors: list[Half], units: list[Half]) -> list[tuple[PairJudgement, ...]]:
    if not sensors:
        return [()]
    found = []
    for mate in units:
        pair = grade(sensors[0], mate, FITS)
        if pair.grade != "ruled out":
            rest = [other for other in units if other is not mate]
            found += [(pair, *further) for further in every_plan(sensors[1:], rest)]
    return found + every_plan(sensors[1:], units)


@pytest.mark.parametrize("seed", range(150))
def test_small_shelves_agree_with_trying_every_plan(seed: int) -> None:
    sensors, units = shelf(seed, 4)
    halves = {one.tag: one for one in sensors + units}
    by_tag = [sorted(side, key=lambda one: one.tag) for side in (sensors, units)]

    expected = max(every_plan(*by_tag), key=lambda pairs: total(pairs, halves))  # of equals the first by tags
    made = plan(sensors, units, FITS)

    assert sorted(expected, key=lambda pair: pair.rank) == list(made.pairs)


@pytest.mark.parametrize("seed", range(1000, 1050))
def test_larger_shelves_agree_with_networkx(seed: int) -> None:
    """networkx keeps Python's whole numbers, so the five aims in one huge weight are exact there."""
    sensors, units = shelf(seed, 11)
    halves = {one.tag: one for one in sensors + units}
    graph = nx.Graph()
    for one, other in product(sensors, units):
        pair = grade(one, other, FITS)
        if pair.grade != "ruled out":
            weight = 0
            for figure in value(pair, halves):
                weight = weight * 10**13 + figure
            graph.add_edge(pair.sensor, pair.unit, weight=weight)
    mated = (sorted(edge) for edge in nx.max_weight_matching(graph))
    expected = tuple(grade(halves[one], halves[other], FITS) for one, other in mated)

    assert total(expected, halves) == total(plan(sensors, units, FITS).pairs, halves)


@pytest.mark.parametrize("seed", range(2000, 2040))
def test_every_part_is_in_one_pair_or_left_over_with_a_reason(seed: int) -> None:
    sensors, units = shelf(seed, 7)
    reserved = {sensors[0].tag, units[0].tag}
    made = plan(sensors, units, FITS, reserved)

    paired_sensors, paired_units = [p.sensor for p in made.pairs], [p.unit for p in made.pairs]
    assert sorted(one.tag for one in sensors) == sorted(paired_sensors + [left.tag for left in made.left_over_sensors])
    assert sorted(one.tag for one in units) == sorted(paired_units + [left.tag for left in made.left_over_units])
    assert not reserved & {*paired_sensors, *paired_units}
    assert sum(made.counts.values()) == len(made.pairs)
    assert all(left.reasons and left.reasons[0].says for left in made.left_over_sensors + made.left_over_units)
    assert plan(sensors[::-1], units[::-1], FITS, reserved) == made


def test_one_surer_pair_is_worth_more_than_two_less_sure() -> None:
    """S1 with U1 is confirmed; S1 with U2 and S2 with U1 would be two probable ones, with more documents."""
    green = StripDown("1", "Green tourer")
    certain: dict[str, object] = {"p_serviceable": 1.0, "document_count": 5}
    sensors = [sensor("S1", number="s2", strip_down=green, **certain), sensor("S2", seal_state="not seen", **certain)]
    units = [unit("U1", **certain), unit("U2", "", number="u2", strip_down=green, **certain)]

    assert [grade(sensors[at], units[1 - at], FITS).grade for at in (0, 1)] == ["probable", "probable"]
    assert [(p.sensor, p.unit, p.grade) for p in plan(sensors, units, FITS).pairs] == [("S1", "U1", "confirmed")]


def test_two_off_one_car_are_kept_together_where_it_costs_nothing_surer() -> None:
    green = StripDown("1", "Green tourer")
    sensors = [sensor("S1", ""), sensor("S2", "", strip_down=green)]
    units = [unit("U1", "", strip_down=green), unit("U2", "")]

    made = plan(sensors, units, FITS)

    assert [(p.sensor, p.unit, p.grade) for p in made.pairs] == [("S2", "U1", "probable"), ("S1", "U2", "possible")]
    assert made.counts == {"confirmed": 0, "probable": 1, "possible": 1}


LEFT_OVER = {
    "reserved": ([sensor("S1")], [unit("U1")], {"U1"}, "U1", "reserved"),
    "its only mate is reserved": (
        [sensor("S1")], [unit("U1")], {"U1"}, "S1", "no control unit free on the shelf fits by number s1"),
    "nothing fits": (
        [sensor("S1")], [unit("U1", number="u2")], set(), "U1", "no sensor free on the shelf fits by number u2"),
    "a test failed": (
        [sensor("S1", decisive_failure=OnRecord("failed the hold", "run-1"))], [unit("U1")], set(), "S1",
        "sensor S1 failed the hold"),
    "its mate failed": (
        [sensor("S1", decisive_failure=OnRecord("failed the hold"))], [unit("U1")], set(), "U1",
        "no mate free on the shelf for code K: 1 fit by number, 1 failed a decisive test"),
    "other codes": (
        [sensor("S1")], [unit("U1", "M"), unit("U2", "N")], set(), "S1",
        "no mate free on the shelf for code K: 2 fit by number, 2 have another code"),
    "better pairs": (
        [sensor("S1"), sensor("S2", p_serviceable=0.1)], [unit("U1")], set(), "S2",
        "every control unit it could go with went to a pair at least as good: U1"),
}  # fmt: skip


@pytest.mark.parametrize(("sensors", "units", "reserved", "tag", "says"), LEFT_OVER.values(), ids=LEFT_OVER)
def test_left_over(sensors: list[Half], units: list[Half], reserved: set[str], tag: str, says: str) -> None:
    made = plan(sensors, units, FITS, reserved)
    left = {one.tag: one.reasons for one in made.left_over_sensors + made.left_over_units}

    assert [says] == [reason.says for reason in left[tag]]


def test_a_part_on_a_car_is_out_of_scope() -> None:
    made = plan([sensor("S1", fitted_to="Green tourer"), sensor("S2")], [unit("U1")], FITS)

    assert [pair.sensor for pair in made.pairs] == ["S2"]
    assert made.left_over_sensors == ()


def test_an_empty_shelf_gives_an_empty_plan() -> None:
    assert Plan((), (), (), {"confirmed": 0, "probable": 0, "possible": 0}) == plan([], [], FITS)


def test_a_kind_that_has_no_pair_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        plan([sensor("S1")], [half("relay", "U1", "u1")], FITS)

    assert refusal.value.code == "no-pair-for-kind"


def test_json_has_the_keys_of_the_contract() -> None:
    made = plan([sensor("S1"), sensor("S2", "M")], [unit("U1"), unit("U2", "N")], FITS).as_dict()

    assert list(made) == ["pairs", "left_over", "counts"]
    assert made["counts"] == {"confirmed": 1, "probable": 0, "possible": 0}
    left = made["left_over"]
    assert isinstance(left, dict)
    assert list(left) == ["sensors", "units"]
    assert [list(one) for side in left.values() for one in side] == [["tag", "reasons"]] * 2
    assert [one["tag"] for side in left.values() for one in side] == ["S2", "U2"]
