"""What is told about a vacuum hold, the rule it is held against, and what was worked out from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from inventory.bench.decay import LawFit
from inventory.bench.readings import TimedReading
from inventory.bench.units import Quantity
from inventory.bench.verdicts import Verdict

__all__ = ["Blank", "Found", "HoldInput", "HoldLimits"]


@dataclass(frozen=True)
class HoldLimits:
    """The rule: at least `share` of the vacuum (0 to 1) left after `time_s` seconds, drawn to nominal.

    `nominal_pa` is the lowest and highest vacuum meant by the rule, in Pa; `near` how far from it, as a
    share, a start may lie and still count as nominal.
    """

    share: float
    time_s: float
    nominal_pa: tuple[float, float]
    near: float

    @property
    def time_constant_s(self) -> float:
        """The time constant in seconds of an exponential that just meets the rule, to a millisecond."""
        return round(-self.time_s / math.log(self.share), 3)

    def is_near_nominal(self, start_pa: float) -> bool:
        """Whether a start counts as nominal; the trade names no unit, so 50 kPa and 50 cmHg both do."""
        low, high = self.nominal_pa
        return low * (1 - self.near) <= start_pa <= high * (1 + self.near)


@dataclass(frozen=True)
class HoldInput:
    """What was read: points in order of time, those of the blank, the gauge's step if given, the volume if known."""

    readings: tuple[TimedReading, ...]
    blank: tuple[TimedReading, ...] = ()
    resolution: Quantity | None = None
    volume: Quantity | None = None

    def step_pa(self, reading: TimedReading) -> float:
        """The gauge's step at one reading in Pa: as given, else one unit of the last digit written."""
        return self.resolution.si if self.resolution else reading.quantity.step_si

    @property
    def coarsest_pa(self) -> float:
        """The coarsest step among the readings, Pa."""
        return max(self.step_pa(reading) for reading in self.readings)

    @property
    def start_pa(self) -> float:
        """The first reading, Pa."""
        return self.readings[0].quantity.si

    @property
    def span_s(self) -> float:
        """Seconds from the first reading to the last."""
        return self.readings[-1].time_s - self.readings[0].time_s


@dataclass(frozen=True)
class Blank:
    """What the rig does by itself, its hose plugged. `fell_pa` is what it lost, Pa."""

    state: Literal["none", "short", "leaks", "tight"]
    fell_pa: float = 0.0
    span_s: float = 0.0


@dataclass(frozen=True)
class Found:
    """A hold worked out.

    `direct` is what a reading by itself decides, `carried` what all laws of leakage agree on; `laws_differ`
    when one of them passes what another fails.
    """

    exponential: LawFit | None
    direct: Verdict
    carried: Verdict
    laws_differ: bool
    near_nominal: bool
    blank: Blank
    verdict: Verdict
