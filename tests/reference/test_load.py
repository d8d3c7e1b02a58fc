"""The reference data: complete, within their bounds, each value with where it comes from."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any, get_args

import pytest

import inventory
from inventory.bench.conditions import condition
from inventory.bench.quantities.units import parse_quantity
from inventory.errors import UnknownName
from inventory.reasons import Standing
from inventory.reference.data import PROGRAM
from inventory.reference.forms import FORMS, LIMIT_CONDITIONS, UNITS
from inventory.reference.load import caution, caution_names, cautions_for, cautions_for_work, seal_states
from inventory.reference.procedure import Procedure, ReadingSpec

SPELLED = [
    "pressure sensor",
    "control unit",
    "injector",
    "cold-start injector",
    "thermo-time switch",
    "coolant temperature sensor",
    "air temperature sensor",
    "throttle switch",
    "trigger contacts",
    "auxiliary air valve",
    "fuel pump",
    "fuel pressure regulator",
    "relay",
    "series resistor",
    "ignition coil",
    "ballast resistor",
    "switching unit",
    "full-load pressure switch",
    "loom",
    "other",
]
STANDINGS = get_args(Standing)


def test_the_kinds_are_spelled_as_promised() -> None:
    assert [each.name for each in PROGRAM.kinds] == SPELLED


def test_one_kind_is_each_half_of_a_pair_and_both_carry_a_match_code() -> None:
    assert {each.name: each.role_in_pair for each in PROGRAM.kinds if each.role_in_pair} == {
        "pressure sensor": "sensor",
        "control unit": "unit",
    }
    assert [each.name for each in PROGRAM.kinds if each.match_code] == ["pressure sensor", "control unit"]


@pytest.mark.parametrize("typed", ["pressure sensor", "Pressure Sensor", " PRESSURE-SENSOR "])
def test_a_kind_is_found_in_any_case(typed: str) -> None:
    assert PROGRAM.kind(typed).name == "pressure sensor"


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("relais", "relay"),
        ("injectors", "injector"),
        ("brain", "control unit"),
        ("presure sensor", "pressure sensor"),
        ("cold start valve", "cold-start injector"),
        ("petrol pump", "fuel pump"),
    ],
)
def test_an_unknown_kind_is_refused_with_the_nearest_first(typed: str, first: str) -> None:
    with pytest.raises(UnknownName) as refused:
        PROGRAM.kind(typed)
    assert refused.value.code == "unknown-kind"
    assert refused.value.near[0] == first


def test_what_is_like_nothing_is_refused_without_a_guess() -> None:
    with pytest.raises(UnknownName) as refused:
        PROGRAM.kind("xyzzy")
    assert refused.value.near == []


@pytest.mark.parametrize(("typed", "near"), [("hald", "hold"), ("suply", "supply"), ("pul in", "pull-in")])
def test_an_unknown_procedure_is_refused_with_the_nearest_first(typed: str, near: str) -> None:
    with pytest.raises(UnknownName) as refused:
        PROGRAM.procedure(typed)
    assert refused.value.near[0] == near


def test_a_procedure_like_none_names_those_there_are() -> None:
    with pytest.raises(UnknownName) as refused:
        PROGRAM.procedure("xyzzy")
    assert refused.value.hint == f"one of: {', '.join(each.name for each in PROGRAM.procedures)}"


def test_every_procedure_of_every_kind_exists_with_steps_and_cautions() -> None:
    assert [each.name for each in PROGRAM.procedures_for("pressure sensor")] == [
        "hold",
        "resistance",
        "insulation",
        "sweep",
    ]
    for each in (*PROGRAM.kinds, PROGRAM.measured_kind("car")):
        for proc in PROGRAM.procedures_for(each.name):
            assert proc.steps
            assert [caution(name).name for name in proc.cautions] == list(proc.cautions)


def test_every_number_of_a_procedure_has_its_standing_and_source() -> None:
    for proc in PROGRAM.procedures:
        for figure in proc.figures.values():
            assert figure.standing in STANDINGS
            assert figure.source
            assert figure.says
        for spec in proc.readings:
            named = f"{proc.name}, {spec.kind}, {spec.name}"
            assert PROGRAM.measured_kind(spec.kind).name == spec.kind
            assert spec.standing in STANDINGS, named
            assert spec.source, named
            assert (spec.standing == "from memory") == ("check your workshop manual" in spec.source), named
            limited = spec.low is not None or spec.high is not None or bool(spec.good)
            assert limited == (spec.source != "no limit on file"), named
            if spec.low is not None and spec.high is not None:
                assert spec.low < spec.high or spec.form == "count"


LIMITS = [
    pytest.param(proc, spec, id=f"{proc.name}-{spec.kind}-{spec.name}")
    for proc in PROGRAM.procedures
    if proc.method == "limits"
    for spec in proc.readings
]


@pytest.mark.parametrize(("proc", "spec"), LIMITS)
def test_every_reading_held_against_a_limit_is_whole(proc: Procedure, spec: ReadingSpec) -> None:
    figures = {"low": spec.low is not None, "high": spec.high is not None, "good": bool(spec.good)}

    assert proc.name in PROGRAM.measured_kind(spec.kind).procedures
    assert {name for name, given in figures.items() if given} <= set(FORMS[spec.form])
    assert set(spec.good) <= set(spec.words)
    assert bool(spec.words) == (spec.form == "word")
    assert set(spec.needs) | {at.condition for at in spec.at} <= set(proc.beside) <= set(LIMIT_CONDITIONS)
    assert all(UNITS[at.unit] and at.low < at.high for at in spec.at)
    if spec.form == "ratio":
        assert {spec.of, spec.to} <= {other.name for other in proc.readings_of(spec.kind)}
    elif spec.form != "word":
        parse_quantity(f"1{spec.unit}", UNITS[spec.unit])  # type: ignore[arg-type]
    assert proc.cautions_of(spec.kind)


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_of_a_limit_is_read_as_what_it_measures(unit: str) -> None:
    assert parse_quantity(f"1{unit}", UNITS[unit]).value == 1.0  # type: ignore[arg-type]


def test_what_the_data_name_beside_a_reading_can_be_noted() -> None:
    assert all(condition(name) is not None for name in LIMIT_CONDITIONS)


def test_a_car_is_measured_and_is_no_kind_of_part() -> None:
    assert [each.name for each in PROGRAM.procedures_for("Car")] == [
        "running",
        "fuel pressure",
        "manifold vacuum",
        "mixture",
    ]
    with pytest.raises(UnknownName):
        PROGRAM.kind("car")


@pytest.mark.parametrize(
    ("name", "kind_name", "wanted"),
    [
        ("hold", "pressure sensor", {"nothing-by-mouth", "capsule-pressure"}),
        ("supply", "control unit", {"no-high-voltage", "plain-meter"}),
        ("pins", "loom", {"no-high-voltage", "battery-earth-first"}),
        ("resistance", "injector", {"battery-earth-first", "no-battery-on-injector"}),
        ("flow", "injector", {"test-fluid", "no-battery-on-injector"}),
        ("spray", "cold-start injector", {"test-fluid", "no-battery-on-injector"}),
        ("pressure", "fuel pump", {"fuel-pressure", "fuel-vapour"}),
        ("fuel pressure", "car", {"fuel-pressure", "fuel-vapour", "exhaust-gas"}),
        ("manifold vacuum", "car", {"nothing-by-mouth", "exhaust-gas"}),
        ("mixture", "car", {"exhaust-gas", "full-load-lean"}),
        ("full-load switch", "full-load pressure switch", {"nothing-by-mouth", "capsule-pressure"}),
    ],
)
def test_a_caution_stands_where_its_hazard_is(name: str, kind_name: str, wanted: set[str]) -> None:
    assert wanted <= set(PROGRAM.procedure(name).cautions_of(kind_name))


def test_what_is_typed_is_asked_with_its_unit_or_its_words_and_what_is_reckoned_is_not() -> None:
    asked = dict(PROGRAM.procedure("contacts").typed_readings("trigger contacts"))

    assert asked["contact 1"] == "opens and closes or stays open or stays closed or bounces"
    assert (asked["closed"], "angle ratio" in asked) == ("ohm", False)
    assert PROGRAM.procedure("pins").typed_readings("loom") == ()
    assert PROGRAM.procedure("curve").typed_readings("coolant temperature sensor") == ()
    assert PROGRAM.procedure("resistance").typed_readings("injector") == (("coil", "ohm"),)


def test_a_caution_of_one_kind_is_not_shown_at_another() -> None:
    assert "fuel-pressure" in PROGRAM.procedure("pressure").cautions_of("fuel pump")
    assert "dry-pump" not in PROGRAM.procedure("pressure").cautions_of("fuel pressure regulator")


#: What a source names that somebody can find: a standard with its year, a page, a bulletin.
FOUND_BY = re.compile(r"\b(19|20)\d\d\b|\w\.(uk|ca|ch|gov|org)\b|\b\d\d-\d\d-\d{4}\b|\b(ISO|ASME) [A-Z]?\d")


def _sourced(data: Any, where: str) -> Iterator[tuple[str, str, str]]:
    """Every table with a standing, at any depth: where it is, its standing, its source."""
    if isinstance(data, dict):
        if "standing" in data:
            yield where, data["standing"], data["source"]
        for name, each in data.items():
            yield from _sourced(each, f"{where} {name}")
    elif isinstance(data, list):
        for each in data:
            name = each.get("name", "") if isinstance(each, dict) else ""
            yield from _sourced(each, f"{where} {name}")


def test_every_standing_is_one_and_its_source_is_what_it_says() -> None:
    folder = files("inventory.reference")
    every = [each for each in (*folder.iterdir(), *(folder / "procedures").iterdir()) if each.name.endswith(".toml")]
    found = [row for each in every for row in _sourced(tomllib.loads(each.read_text(encoding="utf-8")), each.name)]

    assert len(found) > 100
    for where, standing, source in found:
        assert standing in STANDINGS, where
        if standing == "published":
            assert FOUND_BY.search(source), where
            assert "memory" not in source, where
        elif standing != "from memory":
            assert source == "no source", where
        else:
            assert source != "no source", where


def test_a_reason_whose_source_is_quoted_from_memory_does_not_stand_as_published() -> None:
    """All of the program's code: the source and the standing given to each `Reason`."""
    both = []
    for path in sorted(Path(inventory.__file__).parent.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        named = {
            target.id: node.value.value
            for node in tree.body
            if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "Reason" and len(node.args) > 2:
                source = node.args[2]
                text = source.value if isinstance(source, ast.Constant) else named.get(ast.unparse(source), "")
                standing = ast.unparse(node.args[3]) if len(node.args) > 3 else "WORKSHOP"
                if "memory" in str(text) and standing != "FROM_MEMORY":
                    both.append(f"{path.name}:{node.lineno}")

    assert both == []


def test_the_coil_limits_are_marked_as_from_memory() -> None:
    specs = {spec.name: spec for spec in PROGRAM.procedure("resistance").readings_of("pressure sensor")}
    assert [(specs[name].low, specs[name].high, specs[name].standing) for name in ("primary", "secondary")] == [
        (80.0, 100.0, "from memory"),
        (320.0, 380.0, "from memory"),
    ]


def test_cautions_fit_the_care_line_and_say_where_they_come_from() -> None:
    found = [caution(name) for name in caution_names()]
    assert len(found) >= 10
    for each in found:
        assert each.line.startswith("CARE  ")
        assert len(each.line) <= 78
        assert each.text
        assert each.source
        assert each.standing in STANDINGS


def test_a_caution_stands_only_where_its_hazard_is() -> None:
    at_hold = [each.name for each in cautions_for("hold", "pressure sensor")]
    assert at_hold[0] == "nothing-by-mouth"
    assert "no-high-voltage" in [each.name for each in cautions_for("strip", "control unit")]
    assert "nothing-by-mouth" not in [each.name for each in cautions_for("strip", "relay")]
    assert [each.name for each in cautions_for("strip")] == ["stands", "battery-earth-first"]


@pytest.mark.parametrize(
    ("what", "names"),
    [
        ("blasted, then painted", ["isocyanate", "old-paint"]),
        ("Powder-coated", ["paint-oven"]),
        ("stoved in the paint oven", ["isocyanate", "paint-oven"]),
        ("cleaned in the ultrasonic bath", ["ultrasonic-petrol"]),
        ("welded the bracket", ["unplug-unit"]),
        ("burnt seals taken off", ["burnt-seals"]),
        ("scraped the old gasket off", ["old-dust"]),
        ("brake pipe bent back", ["brake-fluid"]),
        ("new mounts", []),
        ("repaired", []),
    ],
)
def test_work_has_the_cautions_of_its_words_worst_first(what: str, names: list[str]) -> None:
    assert [each.name for each in cautions_for_work(what)] == names


def test_the_steps_of_a_refit_and_of_the_first_start_have_their_cautions() -> None:
    assert [each.name for each in cautions_for("refit")] == ["stands", "battery-earth-first", "torque"]
    assert "clean-port" in [each.name for each in cautions_for("refit", "pressure sensor")]
    rail = [each.name for each in cautions_for("refit", "other", "fuel rail")]
    assert "fuel-vapour" in rail and "brake-fluid" not in rail
    assert "brake-fluid" in [each.name for each in cautions_for("refit", "other", "brake pipe, front")]
    assert "brake-fluid" not in [each.name for each in cautions_for("refit", "other", "air box")]
    assert [each.name for each in cautions_for("start", "car")][:2] == ["first-start-leaks", "fuel-vapour"]


def test_seal_states_stand_worst_first() -> None:
    assert [each.name for each in seal_states()] == [
        "missing",
        "disturbed",
        "not seen",
        "renewed",
        "intact",
        "never fitted",
    ]


def test_nothing_in_the_data_advises_a_turn_of_a_screw() -> None:
    folder = files("inventory.reference")
    data = [folder / "cautions.toml", folder / "modes.toml", *(folder / "procedures").iterdir()]
    for name in data:
        text = re.sub(r"(?m)^#.*$", "", name.read_text(encoding="utf-8"))
        assert not re.search(r"\b(turn|adjust)\b", text, re.IGNORECASE), name


def test_every_resistance_has_a_law_that_is_known() -> None:
    laws = {spec.law for spec in PROGRAM.procedure("resistance").readings}

    assert laws == {"copper", "insulation", "not carried"}
