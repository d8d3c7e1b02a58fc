"""A sweep drawn: down, back up and the reference, in the gauge's own unit."""

from __future__ import annotations

from inventory.bench.typed_run import ReferenceRun
from tests.judging import context, judge
from tui.data.trust import curve_of
from tui.widgets.curve import draw_curve

DOWN = ["0cmHg=1.8H", "10cmHg=1.65H", "20cmHg=1.41H", "30cmHg=1.2H", "50cmHg=0.85H"]
UP = ["30cmHg=1.25H", "20cmHg=1.46H", "10cmHg=1.7H", "0cmHg=1.82H"]
GOOD = ("0cmHg=1.4H", "10cmHg=1.3H", "20cmHg=1.1H", "30cmHg=0.9H", "50cmHg=0.5H")


def figures(readings: list[str], reference: ReferenceRun | None = None) -> dict[str, object]:
    noted = {"frequency": "1kHz", "reference": "J41N8-R" if reference else ""}
    return judge("sweep", "pressure sensor", readings, noted, context("HV 1", reference=reference)).figures


def test_a_sweep_is_drawn_beside_its_reference() -> None:
    reference = ReferenceRun("J41N8-R", "HV 1", GOOD, {"frequency": "1kHz"})

    curve = curve_of("sweep", [], figures(DOWN + UP, reference))

    assert curve is not None
    assert (curve.unit, curve.across, curve.name) == ("H", "cmHg", "down")
    assert curve.points == ((0.0, 1.8), (10.0, 1.65), (20.0, 1.41), (30.0, 1.2), (50.0, 0.85))
    assert [(line.name, line.sign, line.points[0]) for line in curve.others] == [
        ("reference", "+", (0.0, 1.4)),
        ("up", "^", (0.0, 1.82)),
    ]
    lines = draw_curve(curve, 62, 12)
    assert sum(line.count("o") for line in lines[:-1]) == 5
    assert sum(line.count("+") for line in lines[:-1]) == 5
    assert sum(line.count("^") for line in lines[:-1]) >= 1
    assert lines[-1].split() == ["└0", "cmHg", "H", "o", "down", "+", "reference", "^", "up", "50", "cmHg"]


def test_a_sweep_alone_is_drawn_alone_and_vacua_of_two_units_in_kpa() -> None:
    curve = curve_of("sweep", [], figures(["0cmHg=1.8H", "10kPa=1.7H", "20kPa=1.6H"]))

    assert curve is not None
    assert (curve.across, curve.others) == ("kPa", ())
    assert curve.points == ((0.0, 1.8), (10.0, 1.7), (20.0, 1.6))


def test_one_vacuum_is_no_curve_and_a_run_that_cannot_be_read_neither() -> None:
    assert curve_of("sweep", [], figures(["0cmHg=1.8H"])) is None
    assert curve_of("sweep", [], figures(["0cmHg=nothing"])) is None


def test_a_hold_is_drawn_with_its_limit_from_the_start_of_the_clock() -> None:
    judgement = judge("hold", "pressure sensor", ["0s=52cmHg", "20s=50cmHg", "30s=49cmHg"], {"clock from": "20s"})

    curve = curve_of("hold", ["0s=52cmHg", "20s=50cmHg", "30s=49cmHg"], judgement.figures)

    assert curve is not None
    assert curve.limit == (30.0, 45.0)
    assert curve.band is not None
    assert curve.band[0] <= 49.0 <= curve.band[1] + 0.5
