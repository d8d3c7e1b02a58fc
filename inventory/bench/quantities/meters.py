"""What the uncertainty of one reading of a meter is made of."""

from __future__ import annotations

from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import MeterSpec
from inventory.bench.quantities.uncertainty import Input, rectangular
from inventory.bench.quantities.units import Quantity

__all__ = ["made_of"]


def made_of(
    shown: Quantity,
    meter: MeterSpec,
    resolution: Quantity | None,
    leads: Quantity | None,
    line: CorrectionLine | None,
) -> tuple[Input, Input, Input]:
    """What was shown, what the leads read alone, and the meter's correction, each with its uncertainty, in SI.

    A meter's specification is the half-width of a rectangle (JCGM 100, 4.3.7). Reading and leads are taken as
    independent, which is too wide rather than too narrow: both are off the same way.
    """
    step = resolution.si if resolution else shown.step_si
    alone = Input(0.0, 0.0)
    if leads is not None:
        alone = rectangular(leads.si, meter.half_width(leads.si, min(step, leads.step_si)))
    added = Input(*line.at(shown.si)) if line is not None else Input(0.0, 0.0)
    return rectangular(shown.si, meter.half_width(shown.si, step)), alone, added
