"""The inputs of the uncertainty of one reading of a meter."""

from __future__ import annotations

from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import MeterSpec
from inventory.bench.quantities.uncertainty import Input, rectangular
from inventory.bench.quantities.units import Quantity

__all__ = ["reading_inputs"]


def reading_inputs(
    shown: Quantity,
    meter: MeterSpec,
    resolution: Quantity | None,
    leads: Quantity | None,
    line: CorrectionLine | None,
) -> tuple[Input, Input, Input]:
    """The reading, the resistance of the leads, and the meter's correction, each with its uncertainty, in SI.

    A meter's specification is the half-width of a rectangle (JCGM 100, 4.3.7). Reading and leads count as independent,
    which gives too wide rather than too narrow an uncertainty: both are off in the same direction.
    """
    step = resolution.si if resolution else shown.step_si
    alone = Input(0.0, 0.0)
    if leads is not None:
        alone = rectangular(leads.si, meter.half_width(leads.si, min(step, leads.step_si)))
    added = Input(*line.at(shown.si)) if line is not None else Input(0.0, 0.0)
    return rectangular(shown.si, meter.half_width(shown.si, step)), alone, added
