"""Trends of a part's readings: which runs are compared, and what is said."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from inventory.bench.runs.trend.judgement import SeriesTrend, TrendRun, trend_of, values_of

YEARS = (2018, 2019, 2020, 2021, 2023, 2026)


def run(year: int, ohm: float | None, day: str = "06-01", latest: str | None = None, **details: Any) -> TrendRun:
    earliest = date.fromisoformat(f"{year}-{day}")
    figures = {"primary": {"at_20_degc_ohm": ohm, "as_read_ohm": ohm}, "case": {"as_read_ohm": 2e7}}
    conditions = details.pop("conditions", {"instrument": "Meter 1", "ambient": "20degC"})
    last = date.fromisoformat(latest) if latest else earliest
    return TrendRun(f"bench_run-{year}{day}", "resistance", earliest, last, conditions, figures, **details)


def falling(*years: int, by: float = 0.4) -> list[TrendRun]:
    return [run(year, 95.0 - by * (year - years[0])) for year in years]


def trend(runs: list[TrendRun], since: date | None = None) -> SeriesTrend:
    return trend_of("resistance", "primary", runs, since)


def test_a_steady_fall_is_told_by_the_year() -> None:
    values = [95.0, 94.5, 94.3, 93.7, 93.2, 91.6]
    found = trend([run(year, value) for year, value in zip(YEARS, values, strict=True)])

    assert found.direction == "falls"
    assert found.says == "falls by 0.41 ohm a year, 95 % 0.25 to 0.53; seen in 6 runs"
    assert found.slope is not None
    assert found.low is not None
    assert found.high is not None
    assert found.low <= found.slope <= found.high < 0
    assert (found.s, found.p) == (-15, pytest.approx(2 / 720))


def test_a_straight_rise_at_irregular_days() -> None:
    found = trend(falling(*YEARS, by=-0.4))

    assert found.direction == "rises"
    assert found.says == "rises by 0.4 ohm a year, 95 % 0.4 to 0.4; seen in 6 runs"


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_fewer_than_five_show_nothing_however_steady(n: int) -> None:
    found = trend(falling(*YEARS[:n]))

    assert found.says == f"no trend can be shown from {n} run{'s' if n > 1 else ''}: five are needed"
    assert (found.direction, found.slope, found.p) == ("none shown", None, None)


def test_readings_that_go_up_and_down_show_nothing_and_say_within_what() -> None:
    found = trend([run(year, value) for year, value in zip(YEARS, [94.0, 94.4, 93.9, 94.2, 94.1, 94.3], strict=True)])

    assert found.direction == "none shown"
    assert found.says.startswith("no trend can be shown: -0.")
    assert found.says.endswith(" ohm a year (95 %), from 6 runs")


def test_readings_that_never_change_show_nothing() -> None:
    found = trend([run(year, 94.0) for year in YEARS])

    assert found.says == "no trend can be shown: 0 to 0 ohm a year (95 %), from 6 runs"
    assert found.p == 1.0


@pytest.mark.parametrize(
    ("odd", "why"),
    [
        (run(2024, 60.0, conditions={"instrument": "Meter 2", "ambient": "20degC"}), "another rig: instrument meter 2"),
        (run(2024, 60.0, conditions={"instrument": "Meter 1"}), "another rig: temperature not noted"),
        (run(2024, 60.0, conditions={"instrument": "Meter 1", "ambient": "20degC", "lain": "no"}),
         "another rig: temperature noted, just off the engine"),
        (run(2024, 60.0, conditions={"instrument": "Meter 1", "ambient": "20degC", "leads": "0.2ohm"}),
         "another rig: leads noted"),
        (run(2024, 60.0, conditions={"instrument": "Meter 1", "ambient": "20degC", "at": "plug"}),
         "another rig: at plug"),
        (run(2024, 60.0, doubtful=True), "its instrument is doubtful"),
        (run(2024, 60.0, "01-01", "2024-12-31"), "its month is not known"),
    ],
)  # fmt: skip
def test_a_run_with_another_rig_is_left_out_and_named(odd: TrendRun, why: str) -> None:
    steady = falling(*YEARS)

    found = trend([*steady, odd])

    assert found.slope == trend(steady).slope
    assert [(each.run, each.why) for each in found.left_out] == [(odd.run, why)]


def test_runs_before_work_on_the_unit_are_left_out() -> None:
    found = trend(falling(2010, 2011, *YEARS), since=date(2012, 1, 1))

    assert [each.why for each in found.left_out] == ["the unit was worked on later"] * 2
    assert len(found.points) == 6


def test_repeats_on_one_day_count_once_at_their_median() -> None:
    twice = [*falling(*YEARS[:4]), run(2018, 95.2), run(2018, 95.1)]

    found = trend(twice)

    assert found.says == "no trend can be shown from 4 runs: five are needed"
    assert found.points[0][2] == pytest.approx(95.1)


def test_a_month_is_taken_at_its_middle() -> None:
    vague = [*falling(*YEARS[:4]), run(2023, 93.0, "02-01", "2023-02-28")]

    assert trend(vague).points[-1][1] == "2023-02-14"


@pytest.mark.parametrize(
    ("figures", "expected"),
    [
        ({"primary": {"at_20_degc_ohm": 90.2, "as_read_ohm": 94.1}}, {"primary": (90.2, "ohm")}),
        ({"case": {"at_20_degc_ohm": None, "as_read_ohm": 2e7}}, {"case": (2e7, "ohm")}),
        ({"case": {"at_20_degc_ohm": None, "as_read_ohm": None}}, {}),
        ({"20degC": {"as_read_ohm": 2500.0, "believes_degc": 20.0}}, {"20degC": (2500.0, "ohm")}),
        ({"current": {"as_read": 6.4, "unit": "A"}}, {"current": (6.4, "A")}),
        ({"pattern": {"as_read": None, "unit": "", "word": "cone"}}, {}),
        ({"kept_share_at_limit": 0.97, "limit_share": 0.9}, {"kept": (97.0, "%")}),
        ({"kept_share_at_limit": None}, {}),
        ({"pair": {"sensor": "K4127-7"}}, {}),
    ],
)
def test_what_of_a_run_can_be_followed(figures: dict[str, object], expected: dict[str, tuple[float, str]]) -> None:
    measured = TrendRun("bench_run-1", "any", date(2026, 1, 1), date(2026, 1, 1), {}, figures)

    assert values_of(measured) == expected
