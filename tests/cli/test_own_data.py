"""A workshop's own reference data at the command line, and what the bench lists and says of limits and cares."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from inventory.reference.workshop import read_workshop as workshop
from inventory.reference.workshop.write_example import example
from tests.cli.conftest import Shop
from tests.doors.workshops import OWN_LIMITS


@pytest.fixture
def own(shop: Shop, tmp_path: Path) -> Path:
    """A file that was taken in: its limits are in force."""
    path = tmp_path / "ours.toml"
    path.write_text(example(), encoding="utf-8")
    shop.ok("limits", "take", str(path))
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
    assert f"The workshop's own data come from {own.name}." in listed
    assert (ran["verdict"], ran["says"]) == ("pass", "static 122.00 ml/min (118 to 126 ml/min): pass")


def test_a_kind_of_the_workshops_own_is_a_kind_everywhere(shop: Shop, own: Path) -> None:
    tag = shop.ok("part", "add", "--kind", "throttle body")["tag"]

    assert (
        shop.ok("bench", "run", "wear", tag, "--reading", "play=1.0deg", "--reading", "mark=dry")["verdict"] == "pass"
    )
    assert shop.ok("part", "find", "throttle body")["total"] == 1
    assert [each["weight"] for each in shop.ok("evidence", "of", tag)["tests"]] == [0.0]

    own.unlink()
    assert shop.run("bench", "run", "wear", tag, "--reading", "play=1.0deg").status == 0
    (taken,) = shop.ok("limits", "list")["limits"]
    shop.ok("fact", "withdraw", taken["fact"], "--reason", "a trial")
    assert shop.run("bench", "run", "wear", tag, "--reading", "play=1.0deg").status == 3
    (run, _) = shop.ok("bench", "history", tag)["runs"]
    assert (run["verdict"], run["limits"]["own_of"]) == ("not judged", None)
    assert "wear is no test by the program's limits" in run["says"]
    assert shop.ok("evidence", tag)["tests"]
    assert [item["kind"] for item in shop.ok("condition-list")["items"]] == ["throttle body"]


def test_on_an_earlier_day_the_limits_of_now_stand_beside_those_of_that_day(shop: Shop, tmp_path: Path) -> None:
    tag = shop.part(part_number="HV 204 118")
    readings = ("--reading", "primary=90ohm", "--reading", "secondary=350ohm", "--reading", "case=OL")
    shop.ok("bench", "run", "resistance", tag, *readings, "--ambient", "20degC", "--on", "2026-03-12")
    (tmp_path / "own.toml").write_text(OWN_LIMITS, encoding="utf-8")
    taken = shop.ok("limits", "take", str(tmp_path / "own.toml"), "--on", "2026-03-20")
    then, both = ("--as-of", "2026-03-19"), ("--as-of", "2026-03-19", "--limits", "now")

    (run,) = shop.ok("bench", "history", tag, *both)["runs"]
    told = shop.run("bench", "history", tag, *both).out
    sure = shop.ok("evidence", tag, *both)
    (listed,) = shop.ok("condition-list", *both)["with_limits_now"]

    assert (run["verdict"], run["with_limits_now"]["verdict"]) == ("pass", "fail")
    assert (run["limits"]["own_of"], run["with_limits_now"]["limits"]["fact"]) == (None, taken["fact"])
    assert "by the workshop's own limits of 20 March 2026, edition" in told
    assert "it would be: FAIL. primary" in told
    assert sure["p_serviceable"] > sure["with_limits_now"]["p_serviceable"]
    assert (listed["verdict"], listed["with_limits_now"]["verdict"], listed["tag"]) == ("pass", "fail", tag)
    assert "it would be FAIL: primary" in shop.run("condition-list", *both).out
    assert "\n  judged by the workshop's own limits of 20 March 2026, edition" in shop.run("part", "show", tag).out
    assert shop.ok("condition-list", *then)["limits"] is None
    assert shop.ok("condition-list")["limits"].startswith("the workshop's own limits of 20 March 2026")
    assert "alike" in shop.run("condition-list", "--limits", "now").out


def test_a_file_that_is_not_what_the_record_goes_by_is_told_once_where_something_is_judged(
    shop: Shop, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = shop.part()
    own.write_text(example() + "\n# more\n", encoding="utf-8")
    monkeypatch.setenv("MATCHMARK_WORKSHOP", str(own))

    assert shop.run("evidence", tag).err == (
        f"Note: ours.toml is not what the record goes by; to take it in: matchmark limits take {own}\n"
    )
    monkeypatch.delitem(sys.modules, "inventory.record.write_limits")
    assert shop.run("part", "find", tag).err == ""
    assert "inventory.record.write_limits" not in sys.modules, "a find waits for nothing that it does not need"
    shop.ok("limits", "take", str(own))
    assert shop.run("evidence", tag).err == ""


def test_an_entry_that_cannot_stand_is_refused_and_the_limits_stay(shop: Shop, own: Path) -> None:
    own.write_text(example().replace("low = 118.0", "low = 181.0"), encoding="utf-8")

    refused = shop.run("limits", "take", str(own), "--json")

    assert (refused.status, refused.json["error"]["where"]) == (3, f"{own}:61")
    assert shop.ok("limits", "show")["text"] == example()


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
