"""Whether a part may go on: each rule alone, on plain values, and when it softens to a note."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from inventory.contradictions.looks import ANSWERS, ANSWERS_OF_A_SEAL, Contradiction
from inventory.reference.data import PROGRAM
from inventory.reference.readiness import readiness_rules
from inventory.refit.fuel import fuel_seen, hose_age
from inventory.refit.part_to_fit import Hold, Mate, OnRecord, PartToFit
from inventory.refit.readiness import findings_of

RULES = readiness_rules()
UNIT = Mate("K2210-C", "HV 310 002", True, "K")
#: A sensor of another car against which nothing stands.
SOUND = PartToFit(
    "K4127-7",
    "pressure sensor",
    "HV 204 118",
    axis="across",
    moving_element=True,
    letter="K",
    seals={"cap": "intact"},
    mates=(UNIT,),
    hold=Hold("2026-03-09", "bench_run-1", "pass", passed=True),
)
OWN = {"own": True}
RAN = {"own": True, "ran": True}


def fact(day: str, table: str = "work", **values: Any) -> Any:
    return SimpleNamespace(
        table=table, values=values, on=day, earliest=day, latest=day, counts_from=day, ranked=day, id=f"{table}-1"
    )


def found(part: PartToFit) -> dict[str, str]:
    return {each.rule: each.level for each in findings_of(part, RULES)}


def test_a_sound_sensor_has_nothing_against_it() -> None:
    assert found(SOUND) == {}


@pytest.mark.parametrize(
    ("what", "rule", "foreign", "own", "ran"),
    [
        ({"failed": (OnRecord("hold", "2026-03-09", "bench_run-2"),)}, "test-failed", "stop", "stop", "stop"),
        ({"failed": (OnRecord("resistance", "2026-03-09", ""),)}, "test-failed", "stop", "stop", "stop"),
        ({"claimed": (OnRecord("said not to work", "", ""),)}, "fault-claimed", "note", "note", "note"),
        ({"hold": Hold("", "", "pass", ended="heated")}, "hold-stale", "stop", "stop", "stop"),
        ({"hold": Hold("", "", "fail", ended="new diaphragm")}, "hold-stale", "stop", "stop", "stop"),
        ({"hold": Hold("", "", "undecided", short=True)}, "hold-short", "stop", "stop", "stop"),
        ({"hold": Hold("", "", "undecided", short=True, passed=True)}, "hold-short", "stop", "stop", "stop"),
        ({"hold": Hold("", "", "undecided")}, "hold-undecided", "stop", "stop", "note"),
        ({"hold": None}, "hold-missing", "stop", "stop", "note"),
        ({"seals": {"cap": "missing"}}, "cap-missing", "stop", "note", "note"),
        ({"seals": {"cap": "disturbed"}}, "cap-missing", "stop", "note", "note"),
        ({"seals": {}}, "cap-not-seen", "note", "note", "note"),
        ({"letter": ""}, "letter-missing", "stop", "note", "note"),
        ({"letter": "L"}, "letter-differs", "stop", "note", "note"),
        ({"mates": ()}, "unit-not-recorded", "stop", "note", "note"),
        ({"mates": (replace(UNIT, may_fit=False),)}, "number-for-unit", "stop", "stop", "stop"),
        ({"numbers_there": ("HV 204 120",), "number_fits": False}, "number-for-position", "stop", "stop", "stop"),
        ({"kind_there": "relay"}, "kind-for-position", "stop", "stop", "stop"),
        ({"axis": "along"}, "axis-along", "stop", "stop", "stop"),
        ({"axis": "upright"}, "axis-upright", "note", "note", "note"),
        ({"axis": ""}, "axis-not-known", "note", "note", "note"),
        ({"axis": "along", "axis_there": "upright"}, "axis-along", "stop", "stop", "stop"),
        ({"axis_there": "along"}, "axis-not-as-listed", "note", "note", "note"),
        ({"away": OnRecord("sent out", "2026-02-01", "")}, "away", "stop", "stop", "stop"),
        ({"fuel": OnRecord("fuel smelt", "2026-02-01", "")}, "fuel-at-port", "note", "note", "note"),
        ({"facts": {"assessment": [fact("2026-02-01", damage="one stud bent")]}}, "mounts", "stop", "stop", "stop"),
        ({"facts": {"removal": [fact("2026-02-01", broken="stud")]}}, "mounts", "stop", "stop", "stop"),
    ],
)  # fmt: skip
def test_each_rule_for_a_part_of_another_car_of_this_one_and_of_one_that_ran(
    what: dict[str, Any], rule: str, foreign: str, own: str, ran: str
) -> None:
    assert found(replace(SOUND, **what)) == {rule: foreign}
    assert found(replace(SOUND, **OWN, **what)) == {rule: own}
    assert found(replace(SOUND, **RAN, **what)) == {rule: ran}


def test_an_axis_that_the_list_states_goes_before_the_general_rule() -> None:
    assert found(replace(SOUND, axis="along", axis_there="along")) == {}
    (told,) = findings_of(replace(SOUND, axis="along", axis_there="across", listed_by="from a list, Ines"), RULES)
    assert told.says.endswith("; listed there: sideways, from a list, Ines")


def test_an_earlier_pass_stands_beside_a_later_run_that_decides_nothing() -> None:
    assert found(replace(SOUND, hold=Hold("", "", "undecided", passed=True))) == {}


@pytest.mark.parametrize(
    ("damage", "unsound"),
    [
        ("one mount cracked", True),
        ("grommets perished; case scratched", True),
        ("mounts not cracked", False),
        ("bracket sound, hose torn", False),
        ("paint gone", False),
        ("no stud missing", False),
    ],
)
def test_which_words_say_that_mounts_are_not_sound(damage: str, unsound: bool) -> None:
    part = replace(SOUND, facts={"assessment": [fact("2026-02-01", damage=damage)]})
    assert ("mounts" in found(part)) == unsound


def test_mounts_are_sound_again_after_work_on_them_and_only_after_it() -> None:
    damage = [fact("2026-02-01", damage="one stud bent")]
    for day, what, stops in (
        ("2026-03-04", "new mounts", False),
        ("2026-03-04", "stud straightened", False),
        ("2026-01-04", "new mounts", True),
        ("2026-03-04", "mounts cleaned", True),
        ("2026-03-04", "no new mounts", True),
    ):
        part = replace(SOUND, facts={"assessment": damage, "work": [fact(day, what=what)]})
        assert ("mounts" in found(part)) == stops, (day, what)
    looked_again = [*damage, fact("2026-04-01", damage=None)]
    assert found(replace(SOUND, facts={"assessment": looked_again})) == {}


@pytest.mark.parametrize(("kind", "rule"), [("injector", "fuel-seen"), ("fuel pressure regulator", "fuel-seen"),
                                            ("relay", "fuel-at-port")])  # fmt: skip
def test_fuel_at_a_fuel_part_stops_it(kind: str, rule: str) -> None:
    assert list(found(PartToFit("D2222-6", kind, fuel=OnRecord("fuel", "2026-02-01")))) == [rule]


def test_fuel_seen_is_over_once_something_was_renewed() -> None:
    seen = {"removal": [fact("2026-02-01", "removal", at_port="wet with fuel")]}
    assert fuel_seen(seen, RULES).what == "wet with fuel"  # type: ignore[union-attr]
    assert fuel_seen({"removal": [fact("2026-02-01", at_port="no fuel, dry")]}, RULES) is None
    assert fuel_seen({**seen, "work": [fact("2026-03-01", what="new seals")]}, RULES) is None
    for what in ("cleaned", "new studs", "seals cleaned"):
        assert fuel_seen({**seen, "work": [fact("2026-03-01", what=what)]}, RULES) is not None


def test_fuel_on_a_regulators_vacuum_side_is_its_diaphragm_and_no_new_hose_ends_it() -> None:
    seen = {"removal": [fact("2026-02-01", at_port="fuel at the vacuum port")]}
    for what, over in (("new fuel hose", False), ("new seals", False), ("new diaphragm", True)):
        held = fuel_seen({**seen, "work": [fact("2026-03-01", what=what)]}, RULES, "fuel pressure regulator")
        assert (held is None) == over
    part = PartToFit("D2222-6", "fuel pressure regulator", fuel=OnRecord("fuel at the vacuum port", "2026-02-01"))
    assert found(part) == {"fuel-in-vacuum-line": "stop"}


def test_a_leakage_test_passed_since_clears_fuel_that_was_seen_before_it() -> None:
    seen = PartToFit("E1111-4", "injector", fuel=OnRecord("fuel", "2026-02-01", "", ("2026-02-01", "a")))
    assert found(replace(seen, tight=OnRecord("leakage", order=("2026-03-01", "b")))) == {}
    assert found(replace(seen, tight=OnRecord("leakage", order=("2026-01-01", "b")))) == {"fuel-seen": "stop"}


def test_the_age_of_a_fuel_hose_comes_from_its_renewal_or_its_date_and_is_else_not_known() -> None:
    def judged(facts: dict[str, Any], kind: str = "injector", position: str = "", code: str = "") -> dict[str, str]:
        part = SimpleNamespace(marks=None, part_number=None, date_code=code or None)
        age = hose_age(kind, position, part, facts, RULES, "2026-11-27")
        return found(PartToFit("E1111-4", kind, hose_age=age))

    joined = {"removal": [fact("2026-02-01", connections="2-pin plug; fuel hose 8 mm")]}
    assert judged({}) == {}
    assert judged(joined) == {"fuel-hose-age": "note"}
    assert judged({**joined, "work": [fact("2026-03-01", what="new fuel hose")]}) == {}
    assert judged({**joined, "work": [fact("2016-11-28", what="new fuel hose")]}) == {}
    assert judged({**joined, "work": [fact("2016-11-01", what="new fuel hose")]}) == {"fuel-hose-old": "stop"}
    assert judged({}, "other", "fuel hose, rail to injector 1", "22/71") == {"fuel-hose-old": "stop"}
    for code in ("1998", "3/12", "Q3 2012"):
        assert judged({}, "other", "fuel hose, rail to injector 1", code) == {"fuel-hose-old": "stop"}
    assert judged({"removal": [fact("2026-02-01", connections="fuel hose 8 mm, 3/12")]}) == {"fuel-hose-old": "stop"}
    assert judged({}, "other", "fuel hose, rail to injector 1", "7122") == {"fuel-hose-age": "note"}
    assert judged({}, "other", "heater hose", "22/71") == {}


@pytest.mark.parametrize(
    ("about", "settle", "foreign", "own"),
    [
        ("seal cap", ANSWERS_OF_A_SEAL, "does-not-fit-and-would-stop", "does-not-fit"),
        ("seal label", ANSWERS_OF_A_SEAL, "does-not-fit", "does-not-fit"),
        ("letter", ANSWERS, "does-not-fit-and-would-stop", "does-not-fit"),
        ("test hold", ANSWERS, "does-not-fit-and-would-stop", "does-not-fit-and-would-stop"),
        ("whereabouts", ANSWERS, "does-not-fit", "does-not-fit"),
    ],
)
def test_an_open_contradiction_stops_where_its_worse_reading_would(
    about: str, settle: tuple[str, ...], foreign: str, own: str
) -> None:
    open_one = Contradiction(about, (), "", settle)
    part = replace(SOUND, contradictions=(open_one,))
    assert list(found(part)) == [foreign]
    assert list(found(replace(part, own=True))) == [own]
    assert found(replace(SOUND, contradictions=(replace(open_one, settle=(), settled="x"),))) == {}


def test_the_rules_name_kinds_and_sources_that_are_there() -> None:
    kinds = {kind.name for kind in PROGRAM.kinds} | {"fuel hose"}
    for rule in RULES.rules.values():
        assert set(rule.kinds) <= kinds, rule.name
        assert rule.source == "no source" or rule.standing == "published", rule.name
        assert {rule.own, rule.ran, rule.level} <= {"stop", "note"}, rule.name
