"""A workshop's own reference data at the command line, and what the bench lists and says of limits and cares."""

from __future__ import annotations

from pathlib import Path

import pytest

from inventory.reference.workshop import read_workshop as workshop
from inventory.reference.workshop.write_example import example
from tests.cli.conftest import Shop


@pytest.fixture
def own(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A workshop's file in force: beside a file of a record, by the variable for one on a server."""
    if "://" in shop.target:
        path = tmp_path / "ours.toml"
        monkeypatch.setenv("MATCHMARK_WORKSHOP", str(path))
    else:
        path = Path(shop.target).with_suffix(".workshop.toml")
    path.write_text(example(), encoding="utf-8")
    return path


def test_limits_of_the_workshops_own_are_listed_as_such_and_judge(shop: Shop, own: Path) -> None:
    tag = shop.ok("part", "add", "--kind", "injector", "--part-number", "HV 441 009")["tag"]

    listed = shop.run("bench", "list", "--kind", "injector").out
    ran = shop.ok(
        "bench", "run", "flow", tag, "--reading", "static=61.0ml", "--over", "30s", "--pressure", "2.00bar",
        "--fluid", "test fluid",
    )  # fmt: skip

    assert "coil: 2 to 3 ohm (the workshop's own; workshop judgement; forty of our own, at 20 degC)" in listed
    assert "static (HV 441 009): 118 to 126 ml/min, at 1.95 to 2.05 bar" in listed
    assert f"The workshop's own data come from {own}." in listed
    assert (ran["verdict"], ran["says"]) == ("pass", "static 122.00 ml/min (118 to 126 ml/min): pass")


def test_a_kind_of_the_workshops_own_is_a_kind_everywhere(shop: Shop, own: Path) -> None:
    tag = shop.ok("part", "add", "--kind", "throttle body")["tag"]

    assert (
        shop.ok("bench", "run", "wear", tag, "--reading", "play=1.0deg", "--reading", "mark=dry")["verdict"] == "pass"
    )
    assert shop.ok("part", "find", "throttle body")["total"] == 1
    assert [each["weight"] for each in shop.ok("evidence", "of", tag)["tests"]] == [0.0]

    own.unlink()
    if "://" not in shop.target:
        assert shop.run("bench", "run", "wear", tag, "--reading", "play=1.0deg").status == 3


def test_an_entry_that_cannot_stand_is_refused_by_every_command_that_opens_the_record(shop: Shop, own: Path) -> None:
    own.write_text(example().replace("low = 118.0", "low = 181.0"), encoding="utf-8")

    for words in (["car", "list"], ["bench", "list", "--kind", "injector"]):
        refused = shop.run(*words, "--json")
        assert (refused.status, refused.json["error"]["where"]) == (3, f"{own}:61")
    own.write_text(example(), encoding="utf-8")
    assert shop.run("car", "list").status == 0


def test_a_variable_that_names_no_file_is_refused(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MATCHMARK_WORKSHOP", "/nowhere/ours.toml")

    said = shop.run("car", "list", "--json")

    assert (said.status, said.json["error"]["code"]) == (3, "no-workshop-file")


def test_the_example_is_written_with_its_entries_taken_out_and_can_be_put_in_force(shop: Shop, tmp_path: Path) -> None:
    path = tmp_path / "example.toml"

    assert shop.ok("bench", "template", str(path)) == {"file": str(path)}
    text = path.read_text(encoding="utf-8")
    workshop.reference_from(path)
    assert text.replace("#: ", "") == example()
    assert all(not line or line.startswith("#") for line in text.splitlines())
    assert shop.run("bench", "template", str(path)).status == 3
    assert shop.run("bench", "template", str(path), "--over").status == 0
    path.write_text(example(), encoding="utf-8")
    assert workshop.reference_from(path).own


def test_a_car_is_run_listed_and_told_of_by_name(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer")

    ran = shop.ok("bench", "run", "fuel pressure", "green tourer", "--reading", "idle=2.05bar")
    told = shop.run("bench", "history", "Green tourer").out
    listed = shop.run("bench", "list", "--kind", "car").out

    assert (ran["tag"], ran["car"], ran["verdict"]) == (None, "Green tourer", "pass")
    assert [run["run"] for run in shop.ok("car", "show", "Green tourer")["runs"]] == [ran["run"]]
    assert "fuel pressure: PASS. idle 2.05 bar" in shop.run("car", "show", "Green tourer").out
    assert told.startswith("Green tourer\nbench_run-")
    assert "mixture: mixture on the car." in listed
    assert "idle: 1.9 to 2.2 bar (from memory; check your workshop manual)" in listed
    assert shop.run("part", "add", "--kind", "car").status == 3
    error = shop.refused("bench", "run", "running", "Green tourist", "--reading", "starts=yes")
    assert (error["code"], "Green tourer" in error["hint"]) == ("unknown-car", True)


@pytest.mark.parametrize(
    ("words", "care"),
    [
        (("--kind", "fuel pump"), "CARE  The fuel line keeps its pressure with the pump off. Relieve it first."),
        (("--kind", "injector"), "CARE  Flow with test fluid, never petrol: one spark ignites a petrol spray."),
        (("--kind", "loom"), "CARE  Battery off, earthed lead first (some old cars earth the plus). Goggles."),
        (("--kind", "car"), "CARE  Never hold full load lean: it can hole a piston. Lift off at once."),
        (("--kind", "control unit"), "CARE  No insulation tester on a control unit, or on a loom plugged into one."),
    ],
)
def test_the_care_lines_stand_with_the_procedures(shop: Shop, words: tuple[str, ...], care: str) -> None:
    assert f"  {care}\n" in shop.run("bench", "list", *words).out


def test_the_care_line_stands_under_a_run_and_the_loom_under_a_history(shop: Shop) -> None:
    tag = shop.ok("part", "add", "--kind", "pressure sensor")["tag"]

    run = ("bench", "run", "resistance", tag, "--ambient", "20degC", "--meter", "0.1ohm")
    said = shop.run(*run, "--reading", "primary=94.1ohm").out
    shop.ok(*run, "--reading", "primary=97.6ohm", "--at", "plug")
    history = shop.ok("bench", "history", tag)

    assert "  CARE  Battery off, earthed lead first" in said
    assert [each["says"] for each in history["loom"]] == [
        "resistance, primary, part and plug: 3.5 ohm, give or take 0.16 more at the plug: "
        "the wires and terminals of the loom"
    ]
    assert "the wires and terminals of the loom" in shop.run("bench", "history", tag).out


def test_no_insulation_run_is_written_on_a_control_unit(shop: Shop) -> None:
    tag = shop.ok("part", "add", "--kind", "control unit")["tag"]

    error = shop.refused("bench", "run", "insulation", tag, "--reading", "primary to case=OL")

    assert error["code"] == "never-on-kind"
    assert "any other voltage than its own destroys its transistors" in error["message"]


@pytest.mark.parametrize(("number", "asks"), [("HV 204 118", False), ("HV 204 119", True)])
def test_only_seals_that_a_number_left_the_factory_with_are_asked_after(
    shop: Shop, own: Path, number: str, asks: bool
) -> None:
    assert own.exists()
    tag = shop.part(part_number=number)
    shop.part("control unit", part_number="HV 310 002")
    shop.ok("fits", "add", number, "HV 310 002")
    shop.ok("seal", "note", tag, "--seal", "cap", "--state", "intact")

    (pair,) = shop.ok("pairs", tag)["pairs"]

    says = [reason["says"] for reason in pair["reasons"]]
    assert ("nothing is noted about the sensor's sealant, label" in says) == asks
