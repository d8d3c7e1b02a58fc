"""The readings of a hold for the fit: from the start of the clock, corrected for zero and drift of the air."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.bench.methods.hold.decay import Vector
from inventory.bench.methods.hold.values import HoldInput, HoldLimits
from inventory.bench.quantities.air import sealed_change_pa
from inventory.bench.quantities.readings import TimedReading
from inventory.bench.quantities.units import Quantity

__all__ = ["Trace", "blank_trace", "trace_of"]

_ROOT_3, _ROOT_12 = math.sqrt(3.0), math.sqrt(12.0)
_ENOUGH_TO_TREMBLE = 10


@dataclass(frozen=True)
class Trace:
    """Seconds from the first reading, vacuum and the gauge's step at each, Pa.

    `u_drift_pa` is the standard uncertainty, at the end, of what the air may have done to the vacuum; `assumed` when
    that is an assumption because nobody noted it, `drift_pa` what was taken off at the end. `trembles`: the readings
    jump by more than the gauge's step, and what they jump by is taken for it.
    """

    times_s: Vector
    vacuum_pa: Vector
    step_pa: Vector
    drift_pa: float = 0.0
    u_drift_pa: float = 0.0
    assumed: bool = False
    trembles: bool = False

    @property
    def start_pa(self) -> float:
        """The first vacuum, Pa."""
        return float(self.vacuum_pa[0])

    @property
    def span_s(self) -> float:
        """Seconds from the first reading to the last."""
        return float(self.times_s[-1])

    @property
    def coarsest_pa(self) -> float:
        """The coarsest step among the readings, Pa."""
        return float(self.step_pa.max())

    @property
    def jitter_pa(self) -> float:
        """Largest accepted residual: one step, or twice the jitter of a noisy gauge."""
        return 2.0 * self.coarsest_pa if self.trembles else self.coarsest_pa

    def u_rate_drift_per_s(self) -> float:
        """What the air may have done to the rate, as a standard uncertainty, 1/s."""
        return self.u_drift_pa / (self.start_pa * self.span_s) if self.span_s else 0.0


def trace_of(given: HoldInput, limits: HoldLimits) -> Trace:
    """The held readings. Needs one at least, the first vacuum above zero once the needle's zero is taken off."""
    raw = _plain(given.held, given)
    jump = _tremble_pa(raw.vacuum_pa)
    trembles = jump > 1.5 * raw.coarsest_pa
    step = np.maximum(raw.step_pa, _ROOT_12 * jump / math.sqrt(6.0)) if trembles else raw.step_pa
    drift, u_drift, assumed = _drift(given, limits, raw)
    part = raw.times_s / raw.span_s if raw.span_s else raw.times_s
    return Trace(raw.times_s, raw.vacuum_pa - drift * part, step, drift, u_drift, assumed, trembles)


def blank_trace(given: HoldInput) -> Trace:
    """The readings of the plugged rig, on the same gauge."""
    return _plain(given.blank, given)


def _plain(readings: Sequence[TimedReading], given: HoldInput) -> Trace:
    times = np.array([reading.time_s for reading in readings])
    vacuum = np.array([given.true_pa(reading) for reading in readings])
    step = np.array([given.step_pa(reading) for reading in readings])
    return Trace(times - times[0], vacuum, step)


def _tremble_pa(vacuum: Vector) -> float:
    """How far readings lie off the line between their neighbours, as a standard deviation of that distance, Pa.

    Twenty by twenty, the worst counts: a file's first stretches hold fewer samples than its last. The median is taken,
    so that one misread point is no trembling; of a fall that is rounded it is one step at most. Too few show none.
    """
    if len(vacuum) < _ENOUGH_TO_TREMBLE:
        return 0.0
    off = np.abs(vacuum[:-2] - 2.0 * vacuum[1:-1] + vacuum[2:])
    return 1.4826 * max(float(np.median(part)) for part in np.array_split(off, max(1, len(off) // 20)))


def _drift(given: HoldInput, limits: HoldLimits, raw: Trace) -> tuple[float, float, bool]:
    """What the air did to the vacuum by the end, its standard uncertainty (Pa), and whether that is assumed.

    Both ends noted: taken off, with half a last digit of each either way. Not noted: nothing in a short hold, in a long
    one an assumed drift either way (rectangular).
    """
    air, long = given.air, raw.span_s > limits.long_s
    inside = max(0.0, air.outside_pa - raw.start_pa)
    warmer, up = air.warmer_k, air.barometer_up_pa
    u_warmer = _u_difference(air.ambient, air.ambient_end) if warmer is not None else long * limits.drift_k / _ROOT_3
    u_up = _u_difference(air.barometer, air.barometer_end) if up is not None else long * limits.drift_pa / _ROOT_3
    drift = sealed_change_pa(inside, air.temperature_k, warmer or 0.0, up or 0.0)
    u_drift = math.hypot(inside * u_warmer / air.temperature_k, u_up)
    return drift, u_drift, long and (warmer is None or up is None)


def _u_difference(before: Quantity | None, after: Quantity | None) -> float:
    """Standard uncertainty of a difference of two quantities, each good to its last digit."""
    steps = (each.step_si for each in (before, after) if each is not None)
    return math.hypot(*steps) / _ROOT_12
