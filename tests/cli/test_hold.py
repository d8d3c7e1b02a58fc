"""A hold by command: what is noted beside it, and a logging gauge's file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Shop

BLANK = ("--blank", "0s=50cmHg", "--blank", "10s=50cmHg")


@pytest.fixture
def bench(shop: Shop) -> tuple[Shop, str]:
    shop.ok("car", "add", "Green tourer")
    shop.ok("teardown", "begin", "Green tourer")
    return shop, str(shop.ok("teardown", "log", "--kind", "pressure sensor")["part"]["tag"])


def test_everything_about_the_rig_can_be_noted(bench: tuple[Shop, str]) -> None:
    shop, tag = bench
    noted = (
        "--rig", "hand pump 2", "--rig-volume", "20ml", "--volume", "60ml", "--clock-from", "2s", "--zero", "-1cmHg",
        "--strokes", "11", "--usual-strokes", "12", "--gauge-at", "unit", "--hose", "40cm", "--trap", "--ambient",
        "20degC", "--ambient-end", "20degC", "--barometer", "1005hPa", "--barometer-end", "1005hPa", "--altitude", "50m",
    )  # fmt: skip
    readings = ("--reading", "0s=49cmHg", "--reading", "2s=49cmHg", "--reading", "12s=48cmHg")

    run = shop.ok("bench", "run", "hold", tag, *readings, *noted, *BLANK)

    assert run["verdict"] == "pass"
    (kept,) = shop.ok("bench", "history", tag)["runs"]
    assert {name: kept["conditions"][name] for name in ("rig volume", "trap", "zero", "usual strokes")} == {
        "rig volume": "20ml",
        "trap": "yes",
        "zero": "-1cmHg",
        "usual strokes": "12",
    }


def test_what_cannot_be_drawn_is_the_clearest_failure(bench: tuple[Shop, str]) -> None:
    shop, tag = bench
    said = shop.text(
        "bench", "run", "hold", tag, "--reading", "0s=22cmHg", "--not-drawn", "--strokes", "40", *BLANK
    )  # fmt: skip
    assert "hold: FAIL. could not be drawn past 22.0 cmHg in 40 strokes; the plugged rig reached 50.0" in said


def test_a_logging_gauges_file_is_read_thinned_and_attached(bench: tuple[Shop, str], tmp_path: Path) -> None:
    shop, tag = bench
    path = tmp_path / "curve.csv"
    rows = (f"{i / 10:.1f};{50 - i / 1000:.2f}".replace(".", ",") for i in range(3000))
    path.write_text("\n".join(["Zeit (s);Vakuum (kPa)", *rows]), encoding="utf-8")

    run = shop.ok("bench", "run", "hold", tag, "--readings-file", str(path), "--note", "calm day")

    assert (run["verdict"], "readings of 3,000 in curve.csv are kept" in run["kept"]) == ("pass", True)
    card = shop.ok("part", "show", tag)
    assert card["documents"][0]["document"] == "curve.csv"
    (kept,) = shop.ok("bench", "history", tag)["runs"]
    assert len(kept["readings"]) <= 240
    assert kept["conditions"]["note"].startswith("calm day; ")


def test_a_file_that_holds_no_curve_changes_nothing(bench: tuple[Shop, str], tmp_path: Path) -> None:
    shop, tag = bench
    path = tmp_path / "curve.csv"
    path.write_text("Time (s),Vacuum (kPa)\n0,50\n5,lost\n", encoding="utf-8")
    found = shop.refused("bench", "run", "hold", tag, "--readings-file", str(path))
    assert (found["code"], found["unchanged"]) == ("no-reading", True)


@pytest.mark.parametrize("words", [(), ("--reading", "0s=50cmHg", "--readings-file", "curve.csv")])
def test_readings_are_typed_or_in_a_file(bench: tuple[Shop, str], words: tuple[str, ...]) -> None:
    shop, tag = bench
    shop.refused("bench", "run", "hold", tag, *words, status=2)
