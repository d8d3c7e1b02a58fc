"""`bench trend` on either engine."""

from __future__ import annotations

from tests.cli.conftest import Shop

YEARS = (2018, 2019, 2020, 2021, 2023, 2025)


def measured(shop: Shop, tag: str, *years: int, name: str = "Meter 1") -> None:
    for year in years:
        shop.ok("bench", "run", "resistance", tag, "--reading", f"primary={95 - 0.4 * (year - 2018):.1f}ohm",
                "--reading", "case=20Mohm", "--ambient", "20degC", "--instrument", name, "--on", f"{year}-06-01")  # fmt: skip


def bench(shop: Shop) -> str:
    for name in ("Meter 1", "Meter 2"):
        shop.ok("instrument", "add", name, "--specification", "0.5% + 1 x 0.1ohm", "--on", "2017-01-01")
    return shop.part()


def test_a_part_whose_winding_falls(shop: Shop) -> None:
    tag = bench(shop)
    measured(shop, tag, *YEARS)
    measured(shop, tag, 2024, name="Meter 2")

    (found,) = shop.ok("bench", "trend", tag, "--procedure", "resistance", "--reading", "Primary")["trends"]
    every = shop.ok("bench", "trend", tag)["trends"]
    text = shop.text("bench", "trend", tag)

    assert found["direction"] == "falls"
    assert found["says"] == "falls by 0.4 ohm a year, 95 % 0.4 to 0.4; seen in 6 runs"
    assert (found["unit"], found["s"]) == ("ohm", -15)
    assert [point["on"] for point in found["points"]] == [f"{year}-06-01" for year in YEARS]
    assert [out["why"] for out in found["left_out"]] == ["another rig: instrument meter 2"]
    assert [each["reading"] for each in every] == ["primary", "case"]
    assert "resistance, primary: falls by 0.4 ohm a year" in text
    assert "is left out: another rig: instrument meter 2" in text


def test_four_runs_show_nothing(shop: Shop) -> None:
    tag = bench(shop)
    measured(shop, tag, *YEARS[:4])

    assert "no trend can be shown from 4 runs: five are needed" in shop.text("bench", "trend", tag)


def test_work_on_the_unit_and_a_doubtful_meter_begin_anew(shop: Shop) -> None:
    tag = bench(shop)
    measured(shop, tag, *YEARS)
    shop.ok("work", "log", tag, "--what", "rewound", "--where", "on the unit", "--on", "2019-12-01")
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "passed", "--on", "2020-01-01")
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "passed", "--on", "2022-01-01")
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "failed", "--on", "2024-01-01")
    shop.ok("instrument", "calibrate", "Meter 1", "--result", "passed", "--on", "2024-02-01")

    (found,) = shop.ok("bench", "trend", tag, "--reading", "primary")["trends"]

    assert [out["why"] for out in found["left_out"]] == [
        "the unit was worked on later",
        "the unit was worked on later",
        "its instrument is doubtful",
    ]
    assert len(found["points"]) == 3


def test_a_part_never_measured_and_names_that_are_none(shop: Shop) -> None:
    tag = shop.part()

    assert shop.ok("bench", "trend", tag)["trends"] == []
    assert "no run of resistance" in shop.text("bench", "trend", tag, "--procedure", "resistance")
    assert shop.refused("bench", "trend", tag, "--procedure", "guess")["code"] == "unknown-procedure"
    assert shop.refused("bench", "trend", "K0000")["code"]


def test_a_cars_readings_are_followed_too(shop: Shop) -> None:
    shop.ok("car", "add", "Green tourer", "--on", "2017-01-01")
    for year in YEARS:
        shop.ok("bench", "run", "fuel pressure", "Green tourer", "--reading", f"idle={2.2 - 0.01 * (year - 2018):.2f}bar",
                "--on", f"{year}-06-01")  # fmt: skip

    found = shop.ok("bench", "trend", "green tourer")

    assert found["car"] == "Green tourer"
    assert [each["direction"] for each in found["trends"]] == ["falls"]
