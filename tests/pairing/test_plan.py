"""The plan of a shelf against every plan there is, and against networkx; what is left over and why."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product
from math import log
from typing import Any

import networkx as nx
import pytest

from inventory.errors import Refused
from inventory.pairing.candidate import (
    SENSOR_KIND,
    UNIT_KIND,
    CalibrationShown,
    Candidate,
    Setting,
    StripDown,
    TestBeside,
)
from inventory.pairing.findings.by_part import GRADES
from inventory.pairing.findings.fit import Fits
from inventory.pairing.findings.likeness import bound_to, likeness
from inventory.pairing.judgements import PairJudgement, grade
from inventory.pairing.plan.shelf_plan import Plan, plan

FITS = Fits.of([("s1", "u1"), ("s2", "u1"), ("s2", "u2")], [("s0", "s1")])
MENDED = ("repaired by a specialist",)
FAILED = TestBeside("hold", "fail", "failed the hold on 12 March 2026", "2026-03-12", "run-1", MENDED)
WORDS = GRADES[:3]
Key = tuple[int, ...]


def half(kind: str, tag: str, number: str, code: str = "", **more: object) -> Candidate:
    plain = Candidate(tag, kind, number, number, 0.5, code, "read" if code else "not looked at", seal_state="intact")
    return replace(plain, **more)  # type: ignore[arg-type]


def sensor(tag: str, code: str = "K", number: str = "s1", **more: object) -> Candidate:
    return half(SENSOR_KIND, tag, number, code, **more)


def unit(tag: str, code: str = "K", number: str = "u1", **more: object) -> Candidate:
    return half(UNIT_KIND, tag, number, code, **more)


def any_of(chance: random.Random, kind: str, tag: str, numbers: list[str]) -> Candidate:
    return half(
        kind,
        tag,
        chance.choice(numbers),
        chance.choice(["", "", "K", "K", "M", "K or N"]),
        seal_state=chance.choice(["intact", "intact", "not seen", "missing"]),
        p_serviceable=chance.choice([0.5, 0.5, 0.9, chance.random(), 0.0]),
        document_count=chance.choice([0, 0, 1, 2]),
        tests=chance.choice([()] * 3 + [(FAILED,)]),
    )


def shelf(seed: int, most: int) -> tuple[list[Candidate], list[Candidate]]:
    """Random sensors and units: few codes, missing ones, broken seals, pairs off one car, running cars, papers."""
    chance = random.Random(seed)
    ours = {f"S{at:02}": ["s0", "s1", "s2", "s8", ""] for at in range(chance.randint(1, most))}
    theirs = {f"U{at:02}": ["u1", "u1", "u2", "u8", ""] for at in range(chance.randint(1, most))}
    sensors = {tag: any_of(chance, SENSOR_KIND, tag, numbers) for tag, numbers in ours.items()}
    units = {tag: any_of(chance, UNIT_KIND, tag, numbers) for tag, numbers in theirs.items()}
    off_cars = min(len(sensors), len(units), chance.choice([0, 1, 2, 4, most]))
    for one, other in zip(chance.sample(list(sensors), off_cars), chance.sample(list(units), off_cars), strict=True):
        sensors[one] = replace(sensors[one], strip_down=StripDown(one, "Green tourer", mate=other))
        units[other] = replace(units[other], strip_down=StripDown(one, "Green tourer", mate=one))
    for tag in sensors:
        shown = [CalibrationShown("mixture right", "2026", unit) for unit in units if chance.random() < 0.04]
        paper = chance.choice([Setting(chance.choice(list(units))), Setting("", "u1", "u1", "K"), Setting()])
        sensors[tag] = replace(
            sensors[tag], calibration_shown=tuple(shown), setting=paper if chance.random() < 0.15 else None
        )
    both = [*sensors.values()], [*units.values()]
    chance.shuffle(both[0])
    chance.shuffle(both[1])
    return both


def value(pair: PairJudgement, halves: dict[str, Candidate]) -> Key:
    """What one pair adds: confirmed, probable, possible; with none, one, two failed; log p in steps of 1e-9."""
    both = (halves[pair.sensor], halves[pair.unit])
    failed = sum(bool(one.tests) for one in both)
    counts = [pair.grade == word and failed == many for many in range(3) for word in WORDS]
    chance = sum(round(log(max(one.p_serviceable, 1e-12)) * 10**9) for one in both)
    return (*map(int, counts), chance)


def total(pairs: tuple[PairJudgement, ...], halves: dict[str, Candidate]) -> Key:
    return tuple(map(sum, zip((0,) * 10, *(value(pair, halves) for pair in pairs), strict=True)))


def every_plan(sensors: list[Candidate], units: list[Candidate]) -> list[tuple[PairJudgement, ...]]:
    if not sensors:
        return [()]
    found = []
    for mate in units:
        pair = grade(sensors[0], mate, FITS)
        if pair.grade != "ruled out":
            rest = [other for other in units if other is not mate]
            found += [(pair, *further) for further in every_plan(sensors[1:], rest)]
    return found + every_plan(sensors[1:], units)


def graded_truly(made: Plan) -> bool:
    """Whether every pair of a plan has the grade that its two halves have with each other."""
    return all(pair.grade == grade(pair.sensor_candidate, pair.unit_candidate, FITS).grade for pair in made.pairs)


@pytest.mark.parametrize("seed", range(150))
def test_small_shelves_agree_with_trying_every_plan(seed: int) -> None:
    sensors, units = shelf(seed, 4)
    halves = {one.tag: one for one in sensors + units}

    expected = max(total(pairs, halves) for pairs in every_plan(sensors, units))
    made = plan(sensors, units, FITS)

    assert expected == total(made.pairs, halves)
    assert graded_truly(made)


def best_by_networkx(sensors: list[Candidate], units: list[Candidate]) -> Key:
    """networkx keeps Python's whole numbers, so the four aims in one huge weight are exact there."""
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
    return total(tuple(grade(halves[one], halves[other], FITS) for one, other in mated), halves)


@pytest.mark.parametrize("hundred", range(4))
def test_hundreds_of_shelves_agree_with_networkx(hundred: int) -> None:
    for seed in range(1000 + 100 * hundred, 1100 + 100 * hundred):
        sensors, units = shelf(seed, 8)
        made = plan(sensors, units, FITS)

        assert best_by_networkx(sensors, units) == total(made.pairs, {one.tag: one for one in sensors + units})
        assert made.short_by == 0.0
        assert graded_truly(made)


@pytest.mark.parametrize("hundred", range(4))
def test_many_bound_pairs_keep_the_counts_exact_and_the_chances_bounded(
    hundred: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inventory.pairing.plan.shelf.FEW", 0)
    for seed in range(4000 + 100 * hundred, 4100 + 100 * hundred):
        sensors, units = shelf(seed, 9)
        made = plan(sensors, units, FITS)
        *counts, chance = total(made.pairs, {one.tag: one for one in sensors + units})
        *best_counts, best_chance = best_by_networkx(sensors, units)

        assert best_counts == counts
        assert 0 <= best_chance - chance <= round(made.short_by * 10**9)
        assert graded_truly(made)


def test_a_shelf_of_hundreds_agrees_with_networkx() -> None:
    sensors, units = shelf(7, 120)

    assert best_by_networkx(sensors, units) == total(
        plan(sensors, units, FITS).pairs, {one.tag: one for one in sensors + units}
    )


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


@pytest.mark.parametrize("seed", range(3000, 3100))
def test_no_failed_part_is_used_while_a_sound_one_like_it_is_left_over(seed: int) -> None:
    sensors, units = shelf(seed, 8)
    made = plan(sensors, units, FITS)
    left = {tag_of_class(each.part) for each in made.left_over_sensors + made.left_over_units if not each.part.failed}
    used = [half for pair in made.pairs for half in (pair.sensor_candidate, pair.unit_candidate) if half.failed]

    assert not left & {tag_of_class(half) for half in used if not bound_to(half)}
    failed = [bool(pair.sensor_candidate.failed) + bool(pair.unit_candidate.failed) for pair in made.pairs]
    assert failed == sorted(failed)


def tag_of_class(part: Candidate) -> object:
    """What parts have in common that the plan cannot tell apart but for their tests; none of a part bound to another."""
    return part.tag if bound_to(part) else (part.kind, likeness(part))


def test_the_sound_part_of_a_pair_with_a_failed_one_is_looked_for_a_mate() -> None:
    made = plan([sensor("S1", tests=(FAILED,))], [unit("U1")], FITS)

    assert [(pair.grade, pair.says) for pair in made.pairs] == [
        ("confirmed", "belong together; sensor failed the hold on 12 March 2026")
    ]
    assert [wish.says for wish in made.wishes] == ["pressure sensor s0 or s1 or s2, code K, for U1"]


def test_one_surer_pair_is_worth_more_than_two_less_sure() -> None:
    """S1 with U1 is confirmed; S1 with U2 and S2 with U1 would be two probable ones, with more documents."""
    ran = [StripDown("1", "Green tourer", mate=tag) for tag in ("U2", "S1")]
    certain: dict[str, object] = {"p_serviceable": 1.0, "document_count": 5}
    sensors = [sensor("S1", number="s2", strip_down=ran[0], **certain), sensor("S2", seal_state="not seen", **certain)]
    units = [unit("U1", **certain), unit("U2", "", number="u2", strip_down=ran[1], **certain)]

    assert [grade(sensors[at], units[1 - at], FITS).grade for at in (0, 1)] == ["probable", "probable"]
    assert [(p.sensor, p.unit, p.grade) for p in plan(sensors, units, FITS).pairs] == [("S1", "U1", "confirmed")]


def test_two_off_one_car_are_kept_together_where_it_costs_nothing_surer() -> None:
    sensors = [sensor("S1", ""), sensor("S2", "", strip_down=StripDown("1", "Green tourer", mate="U1"))]
    units = [unit("U1", "", strip_down=StripDown("1", "Green tourer", mate="S2")), unit("U2", "")]

    made = plan(sensors, units, FITS)

    assert [(p.sensor, p.unit, p.grade) for p in made.pairs] == [("S2", "U1", "probable"), ("S1", "U2", "possible")]
    assert made.counts == {"confirmed": 0, "probable": 1, "possible": 1}


LEFT_OVER = {
    "reserved": ([sensor("S1")], [unit("U1")], {"U1"}, "U1", "reserved"),
    "its only mate is reserved": (
        [sensor("S1")], [unit("U1")], {"U1"}, "S1", "no control unit free on the shelf fits by number s1"),
    "nothing fits": (
        [sensor("S1")], [unit("U1", number="u2")], set(), "U1", "no sensor free on the shelf fits by number u2"),
    "a test failed, and a sound one is there": (
        [sensor("S1", p_serviceable=0.9, tests=(FAILED,)), sensor("S2", p_serviceable=0.1)], [unit("U1")], set(), "S1",
        "sensor S1 failed the hold on 12 March 2026", "belongs with control unit U1"),
    "a test failed, and a sound one is there that is only possible": (
        [sensor("S1", tests=(FAILED,)), sensor("S2", "")], [unit("U1")], set(), "S1",
        "sensor S1 failed the hold on 12 March 2026", "belongs with control unit U1"),
    "a test failed, and its code is missing": (
        [sensor("S1", "", tests=(FAILED,)), sensor("S2")], [unit("U1")], set(), "S1",
        "sensor S1 failed the hold on 12 March 2026", "may belong with control unit U1"),
    "a set of codes": (
        [sensor("S1", "O or Q")], [unit("U1", "K"), unit("U2", "M")], set(), "S1",
        "no mate free on the shelf for code O or Q: 2 fit by number, 2 have another code"),
    "nothing is on record of either number": (
        [sensor("S1", number="s9", p_serviceable=0.9), sensor("S2", "", number="s8")], [unit("U1", number="u9")], set(), "S2",
        "all its possible control units are in pairs at least as good: U1"),
    "other codes": (
        [sensor("S1")], [unit("U1", "M"), unit("U2", "N")], set(), "S1",
        "no mate free on the shelf for code K: 2 fit by number, 2 have another code"),
    "better pairs": (
        [sensor("S1"), sensor("S2", p_serviceable=0.1)], [unit("U1")], set(), "S2",
        "all its possible control units are in pairs at least as good: U1", "belongs with control unit U1"),
}  # fmt: skip


@pytest.mark.parametrize("case", LEFT_OVER.values(), ids=LEFT_OVER)
def test_left_over(case: Any) -> None:
    sensors, units, reserved, tag, *says = case
    made = plan(sensors, units, FITS, reserved)
    left = {one.tag: one.reasons for one in made.left_over_sensors + made.left_over_units}

    assert says == [reason.says for reason in left[tag]]


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

    assert list(made) == ["pairs", "left_over", "counts", "wish_list"]
    assert made["counts"] == {"confirmed": 1, "probable": 0, "possible": 0}
    left = made["left_over"]
    assert isinstance(left, dict)
    assert list(left) == ["sensors", "units"]
    assert [list(one) for side in left.values() for one in side] == [["tag", "reasons"]] * 2
    assert [one["tag"] for side in left.values() for one in side] == ["S2", "U2"]
