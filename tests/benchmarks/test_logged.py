"""A logging gauge's file of 100,000 samples, read and judged, against numpy reading the same file."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from inventory.bench.runs.read_hold_log import readings_from
from tests.benchmarks.report import in_turn, table
from tests.judging import judge


def test_a_file_of_100_000_samples(tmp_path: Path) -> None:
    path = tmp_path / "curve.csv"
    times = np.arange(100_000) * 0.003
    rows = (f"{time:.3f},{value:.2f}" for time, value in zip(times, 66.5 * np.exp(-times / 900), strict=True))
    path.write_text("\n".join(["Time (s),Vacuum (kPa)", *rows]), encoding="ascii")

    def whole() -> None:
        kept = readings_from(path, "hold", {})
        assert judge("hold", "pressure sensor", kept.readings, kept.conditions).verdict == "pass"

    fastest = in_turn(whole, lambda: np.loadtxt(path, delimiter=",", skiprows=1))
    slower = in_turn(whole, lambda: np.genfromtxt(path, delimiter=",", skip_header=1), runs=3)

    table("a file of 100,000 samples, read and judged", [("numpy.loadtxt", *fastest), ("numpy.genfromtxt", *slower)])
