"""Readings typed without a unit: the run's, then the instrument's, and never a guess."""

from __future__ import annotations

import pytest

from inventory.bench.missing_units import with_units
from inventory.bench.typed_run import InstrumentUsed, RunContext, TypedRun
from inventory.reference.data import PROGRAM

SENSOR, UNIT, PUMP = "pressure sensor", "control unit", "fuel pump"


@pytest.mark.parametrize(
    ("procedure", "kind", "typed", "written"),
    [
        ("hold", SENSOR, ["0s=50cmHg", "10=37"], ["0s=50cmHg", "10s=37cmHg"]),
        ("hold", SENSOR, ["0s=-20inHg", "10s=-19 1/2"], ["0s=-20inHg", "10s=-19 1/2inHg"]),
        ("hold", SENSOR, ["0s=50cmHg", "5s=60kPa", "10s=37"], ["0s=50cmHg", "5s=60kPa", "10s=37"]),
        ("hold", SENSOR, ["0s=50", "10s=37"], ["0s=50", "10s=37"]),
        ("pulse", UNIT, ["700mH=4.2", "900=5,3"], ["700mH=4.2ms", "900mH=5,3ms"]),
        ("pulse", UNIT, ["idle=4200us", "700mH=5300"], ["idle=4200us", "700mH=5300us"]),
        ("sweep", SENSOR, ["0cmHg=1.62H", "up: 10=1.5"], ["0cmHg=1.62H", "up: 10cmHg=1.5H"]),
        ("curve", "air temperature sensor", ["20degC=2.5kohm", "30=OL"], ["20degC=2.5kohm", "30degC=OL"]),
        ("check valve", PUMP, ["start=2.0bar", "10min=1.3"], ["start=2.0bar", "10min=1.3bar"]),
        ("resistance", SENSOR, ["primary=94.1", "secondary=0.361k"], ["primary=94.1", "secondary=0.361k"]),
        ("delivery", PUMP, ["delivery=1"], ["delivery=1"]),
    ],
)  # fmt: skip
def test_each_side_takes_the_unit_of_the_run(procedure: str, kind: str, typed: list[str], written: list[str]) -> None:
    assert with_units(TypedRun(procedure, tuple(typed)), RunContext(kind, PROGRAM)).readings == tuple(written)


def test_then_a_value_takes_the_unit_of_its_step_then_of_the_instruments_dial() -> None:
    typed = TypedRun("hold", ("0s=50", "10s=37"), {"blank": ["0s=50", "10s=50"]})
    dial = RunContext(SENSOR, PROGRAM, instrument=InstrumentUsed("gauge", dial_unit="cmHg"))

    found = with_units(typed, dial)

    assert (found.readings[1], found.conditions["blank"]) == ("10s=37cmHg", ["0s=50cmHg", "10s=50cmHg"])
    stepped = TypedRun("hold", typed.readings, {"resolution": "1kPa"})
    assert with_units(stepped, dial).readings == ("0s=50kPa", "10s=37kPa")
    meter = RunContext(UNIT, PROGRAM, instrument=InstrumentUsed("meter", dial_unit="ohm"))
    assert with_units(TypedRun("pulse", ("700mH=4.2",)), meter).readings == ("700mH=4.2ms",)
