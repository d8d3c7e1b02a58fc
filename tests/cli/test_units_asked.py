"""A reading typed without its unit: asked about on a terminal, said without one, never changed unasked."""

from __future__ import annotations

import click
import pytest

from inventory.cli.door import Door
from tests.cli.conftest import Shop

LOW = ("--reading", "primary=0.0941", "--reading", "secondary=360")


@pytest.fixture
def bench(shop: Shop) -> tuple[Shop, str]:
    shop.ok("car", "add", "Green tourer")
    shop.ok("teardown", "begin", "Green tourer")
    return shop, str(shop.ok("teardown", "log", "--kind", "pressure sensor")["part"]["tag"])


def test_without_a_terminal_it_is_written_as_typed_and_said(bench: tuple[Shop, str]) -> None:
    shop, tag = bench

    run = shop.ok("bench", "run", "resistance", tag, *LOW)

    assert (run["verdict"], shop.ok("bench", "history", tag)["runs"][0]["readings"][0]) == ("fail", "primary=0.0941")
    (doubt,) = run["one_prefix_up"]
    assert (doubt["reading"], doubt["taken"], doubt["would_pass"]) == ("primary", "0.0941 ohm", "0.0941 kohm")
    assert "0.0941 kohm would pass" in shop.text("bench", "run", "resistance", tag, *LOW)
    typed = shop.ok("bench", "run", "resistance", tag, "--reading", "primary=0.0941ohm")
    assert "one_prefix_up" not in typed


@pytest.mark.parametrize(
    ("answer", "written", "verdict"), [(True, "primary=0.0941kohm", "pass"), (False, LOW[1], "fail")]
)
def test_on_a_terminal_it_is_asked_first(
    bench: tuple[Shop, str], monkeypatch: pytest.MonkeyPatch, answer: bool, written: str, verdict: str
) -> None:
    shop, tag = bench
    asked = []

    def confirm(text: str, **_: object) -> bool:
        asked.append(text)
        return answer

    monkeypatch.setattr(click, "confirm", confirm)
    monkeypatch.setattr(Door, "can_ask", property(lambda _: True))

    shop.text("bench", "run", "resistance", tag, *LOW)

    (run,) = shop.ok("bench", "history", tag)["runs"]
    assert (run["readings"][0], run["verdict"]) == (written, verdict)
    assert asked == ["primary is taken as 0.0941 ohm, which fails; 0.0941 kohm would pass. Was it 0.0941 kohm?"]


def test_a_reading_is_corrected_to_its_repeats(bench: tuple[Shop, str]) -> None:
    shop, tag = bench
    run = shop.ok("bench", "run", "resistance", tag, "--reading", "primary=94.1", "--reading", "secondary=360")["run"]

    shop.ok("fact", "correct", run, "--set", "primary=94.1; 94.5", "--reason", "read again")

    (kept,) = shop.ok("bench", "history", tag)["runs"]
    assert kept["readings"] == ["primary=94.1", "primary=94.5", "secondary=360"]
    assert (kept["figures"]["primary"]["as_read_ohm"], kept["figures"]["primary"]["repeats"]) == (94.3, 2)


def test_by_command_the_unit_is_written_and_echoed(file_shop: Shop) -> None:
    tag = file_shop.part()
    words = ("bench", "run", "hold", tag, "--reading", "0s=50cmHg", "--reading", "10s=46")

    assert "typed without a unit, taken as 10s=46cmHg" in file_shop.text(*words)
    assert file_shop.ok(*words)["units_taken"] == ["10s=46cmHg"]
    assert file_shop.ok("bench", "history", tag)["runs"][0]["readings"] == ["0s=50cmHg", "10s=46cmHg"]
    pump = file_shop.part("fuel pump")
    assert file_shop.refused("bench", "run", "check valve", pump, "--reading", "start=2")["hint"].endswith("e.g. 2bar")
