"""How an adjuster, switch or setting of a car was found, and how it was left. Nothing says what it ought to read."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Shop

CAR = "Green tourer"


@pytest.fixture
def garage(shop: Shop) -> Shop:
    """A workshop with a car."""
    shop.ok("car", "add", CAR)
    return shop


def found(garage: Shop, *said: str, on: str = "2026-03-02") -> str:
    """Write down an adjuster as found; gives the fact's id."""
    words = [word for each in said for word in ("--set", each)]
    return str(garage.ok("fact", "add", "adjuster found", CAR, *words, "--on", on)["fact"])


def told(garage: Shop) -> list[tuple[str | None, ...]]:
    """What `car show` says of adjusters."""
    names = ("adjuster", "before", "after", "unit", "text", "on")
    return [tuple(fact[name] for name in names) for fact in garage.ok("car", "show", CAR)["adjusters"]]


def test_an_adjuster_as_found_is_shown_on_the_car(garage: Shop) -> None:
    fact = found(garage, "adjuster=idle air screw", "before=2.5", "unit=clicks", "text=paint mark in line")
    found(garage, "adjuster=fuel cut switch", "before=off")

    assert told(garage) == [
        ("idle air screw", "2.5", None, "clicks", "paint mark in line", "2026-03-02"),
        ("fuel cut switch", "off", None, None, None, "2026-03-02"),
    ]
    text = garage.text("car", "show", CAR)
    assert "Adjusters and switches, as found\n" in text
    assert f"  {fact}  2026-03-02  idle air screw: 2.5 clicks when found; paint mark in line\n" in text
    assert "fuel cut switch: off when found" in text
    assert f"{fact}  2026-03-02  Ines: idle air screw: 2.5 clicks" in garage.text("fact", "list", CAR)
    assert garage.ok("verify")["ok"]


def test_what_it_reads_after_the_work_is_put_beside_what_it_read_before(garage: Shop) -> None:
    fact = found(garage, "adjuster=throttle stop", "before=seized", "unit=clicks")

    anew = garage.ok("fact", "correct", fact, "--set", "after=2.25", "--reason", "freed and set back")["fact"]

    assert told(garage) == [("throttle stop", "seized", "2.25", "clicks", None, "2026-03-02")]
    assert "throttle stop: seized when found; 2.25 clicks after the work" in garage.text("car", "show", CAR)
    garage.ok("fact", "withdraw", anew, "--reason", "not set back yet")
    assert told(garage) == [("throttle stop", "seized", None, "clicks", None, "2026-03-02")], "what it replaced"
    garage.ok("fact", "withdraw", "adjuster_found-3", "--reason", "another car")
    assert told(garage) == []
    assert "Adjusters" not in garage.text("car", "show", CAR)
    assert garage.ok("verify")["ok"]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        (["adjuster=idle air screw", "before=2.5"], "unit-missing"),
        (["adjuster=idle air screw", "before=seized", "after=2 1/2"], "unit-missing"),
        (["adjuster=idle air screw", "unit=clicks"], "value-missing"),
        (["before=2.5", "unit=clicks"], "value-missing"),
        (["adjuster=idle air screw", "ought=2", "unit=clicks"], "unknown-value-to-correct"),
    ],
)
def test_what_says_too_little_is_refused(garage: Shop, said: list[str], code: str) -> None:
    words = [word for each in said for word in ("--set", each)]
    assert garage.refused("fact", "add", "adjuster found", CAR, *words)["code"] == code


@pytest.mark.parametrize("before", ["8°", "?", "2 1/2 clicks", "12 %"])
def test_what_is_no_bare_number_needs_no_unit(garage: Shop, before: str) -> None:
    found(garage, "adjuster=timing", f"before={before}")
    assert f"timing: {before} when found\n" in garage.text("car", "show", CAR)


def test_an_adjuster_is_found_on_a_car_alone(garage: Shop) -> None:
    words = ("--set", "adjuster=idle air screw", "--set", "before=off")
    garage.refused("fact", "add", "adjuster found", garage.part(), *words)
