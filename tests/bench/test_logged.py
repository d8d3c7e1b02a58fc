"""A logging gauge's csv: what is read, what is refused with its line, what is kept."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from inventory.bench.quantities.units import parse_quantity
from inventory.bench.runs.read_hold_log import readings_from
from inventory.bench.runs.read_log import as_typed, as_vacuum, read_logged, thinned
from inventory.errors import Refused
from inventory.reference.data import PROGRAM
from tests.judging import judge


def written(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    path = folder / "curve.csv"
    path.write_bytes(text.encode(encoding))
    return path


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("Time (s),Vacuum (cmHg)\n0,50\n10,48\n", ["0s=50cmHg", "10s=48cmHg"]),
        ("Zeit [s];Vakuum [kPa]\n0,0;66,7\n10,5;64,1\n", ["0s=66.7kPa", "10.5s=64.1kPa"]),
        ("time\tvacuum\n(min)\t(inHg)\n0\t20.0\n0.5\t19.5\n", ["0s=20.0inHg", "30s=19.5inHg"]),
        ("No,Vacuum / mbar,t / ms\n1,667,0\n2,660,5000\n", ["0s=667mbar", "5s=660mbar"]),
        (
            'Gauge 7\nserial 12\n\n"Time (s)";"Vacuum (kPa)"\n"0,0";"50,25"\n"1,0";"50,00"\n',
            ["0s=50.25kPa", "1s=50.00kPa"],
        ),
        ("Time (s),Pressure (kPa)\n0,-50.0\n10,-48.5\n", ["0s=50.0kPa", "10s=48.5kPa"]),
        ("Time (s),Vacuum (kPa),Temperature (degC)\n0,50.0,20.1\n10,48.5,20.2\n", ["0s=50.0kPa", "10s=48.5kPa"]),
        ("Time s,Vacuum kPa\n-2,20.0\n-1,51.0\n0,50.0\n10,48.5\n\n", ["0s=50.0kPa", "10s=48.5kPa"]),
        ("Time (s),Absolute pressure (hPa)\n0,346.5\n10,373.2\n", ["0s=653.5hPa", "10s=626.8hPa"]),
        ("Time (s),Pressure (kPa abs)\n0,34.65\n10,37.32\n", ["0s=65.35kPa", "10s=62.68kPa"]),
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_columns_units_and_marks_are_taken_as_they_come(
    tmp_path: Path, text: str, readings: list[str], encoding: str
) -> None:
    curve = as_vacuum(read_logged(written(tmp_path, text, encoding), "pressure"), parse_quantity("1000hPa", "pressure"))
    assert as_typed(curve) == readings


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "no-curve"),
        ("Time (s),Vacuum (kPa)\n", "no-curve"),
        ("0,50\n10,48\n", "no-header"),
        ("Time,Vacuum (kPa)\n0,50\n10,48\n", "no-column"),
        ("Time (s),Vacuum\n0,50\n10,48\n", "no-column"),
        ("Time (s),P1 (kPa),P2 (kPa)\n0,50,50\n10,48,49\n", "two-columns"),
        ("Time (s),Vacuum (kPa)\n0,50\n5,lost\n10,48\n", "no-reading"),
        ("Time (s),Vacuum (kPa)\n0,50\n5,\n10,48\n", "no-reading"),
        ("Time (s),Vacuum (kPa)\n0,50\n5,nan\n10,48\n", "no-reading"),
        ("Time (s),Vacuum (kPa)\n0,50\n10,48\nend of run\n", "no-reading"),
        ("Time (s),Vacuum (kPa)\n0,50\n10,48\n0,50\n", "time-runs-back"),
        ("Time (s),Vacuum (kPa)\n0,50\n", "no-curve"),
        ("Time (s),Absolute pressure (kPa)\n0,34\n10,36\n", "no-barometer"),
        ("Time (s),Pressure (kPa)\n0,50\n10,48\n", "vacuum-or-pressure"),
    ],
)
def test_what_is_no_curve_is_refused_with_its_line(tmp_path: Path, text: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        as_vacuum(read_logged(written(tmp_path, text), "pressure"), None)
    assert refused.value.code == code


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        read_logged(tmp_path / "none.csv", "pressure")
    assert refused.value.code == "file-not-readable"


def test_another_quantity_can_be_read_the_same_way(tmp_path: Path) -> None:
    curve = read_logged(written(tmp_path, "t (s);U (V)\n0;12,60\n1;11,95\n"), "voltage")
    assert as_typed(curve) == ["0s=12.60V", "1s=11.95V"]


def long_curve(folder: Path, rows: int, noise: float = 0.0) -> Path:
    times = np.arange(rows) * (300 / rows)
    vacuum = 66.5 * np.exp(-times / 900) + noise * np.random.default_rng(1).normal(size=rows)
    lines = (f"{time:.3f};{value:.2f}" for time, value in zip(times, vacuum, strict=True))
    return written(folder, "\n".join(["Time (s);Vacuum (kPa)", *lines]).replace(".", ","))


@pytest.mark.parametrize("noise", [0.0, 0.05])
def test_of_a_long_file_some_hundreds_are_kept_and_say_the_same(tmp_path: Path, noise: float) -> None:
    kept = readings_from(long_curve(tmp_path, 20_000, noise), PROGRAM.procedure("hold"), {"resolution": "0.01kPa"})
    run = judge("hold", "pressure sensor", kept.readings, kept.conditions)
    assert (len(kept.readings) <= 240, kept.samples) == (True, 20_000)
    assert f"{len(kept.readings)} readings of 20,000 in curve.csv are kept" in kept.says
    assert kept.conditions["note"] == f"{len(kept.readings)} readings of 20,000 in curve.csv"
    assert run.verdict == "pass"
    assert run.figures["time_constant_s"] == pytest.approx(900, rel=5e-3)
    assert sum(float(reading.partition("s=")[0]) <= 10 for reading in kept.readings) > 20


def test_a_short_file_is_kept_whole(tmp_path: Path) -> None:
    kept = readings_from(
        written(tmp_path, "Time (s),Vacuum (kPa)\n0,50\n10,48\n"), PROGRAM.procedure("hold"), {"note": "calm"}
    )
    assert (kept.readings, kept.conditions["note"]) == (["0s=50kPa", "10s=48kPa"], "calm; 2 readings in curve.csv")


def test_pumping_down_is_left_before_the_clock(tmp_path: Path) -> None:
    """Ten seconds of pumping, then the hold: dense from where the clock was started."""
    down = [f"{i / 100},{5 * i / 100:.2f}" for i in range(1000)]
    held = [f"{10 + i / 100},{50 * np.exp(-i / 100 / 300):.2f}" for i in range(6000)]
    path = written(tmp_path, "\n".join(["Time (s),Vacuum (kPa)", *down, *held]))
    kept = readings_from(path, PROGRAM.procedure("hold"), {"clock from": "10s"})
    run = judge("hold", "pressure sensor", kept.readings, kept.conditions)
    assert run.verdict == "pass"
    assert run.figures["time_constant_s"] == pytest.approx(300, rel=1e-2)
    without = readings_from(path, PROGRAM.procedure("hold"), {})
    assert "the vacuum rises" in judge("hold", "pressure sensor", without.readings, without.conditions).says


def test_only_a_hold_is_read_from_a_file(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        readings_from(tmp_path / "any.csv", PROGRAM.procedure("resistance"), {})
    assert refused.value.code == "no-curve-wanted"


def test_thinning_takes_the_middle_of_each_stretch(tmp_path: Path) -> None:
    lines = "\n".join(f"{i},{100 - i}" for i in range(100))
    curve = thinned(read_logged(written(tmp_path, f"Time (s),Vacuum (kPa)\n{lines}"), "pressure"), 20)
    assert len(curve.time_s) <= 20
    assert np.allclose(curve.time_s + curve.value, 100.0)  # on the line where the curve is one
