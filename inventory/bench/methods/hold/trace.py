"""The readings of a hold for the fit: since the start of the clock, corrected for zero and for drift of the air."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from inventory.bench.methods.hold.values import HoldInput, HoldLimits
from inventory.bench.quantities.air import sealed_change_pa
from inventory.bench.quantities.readings import TimedReading
from inventory.bench.quantities.units import Quantity

__all__ = ["Trace", "blank_trace", "trace_of"]

_ROOT_3, _ROOT_12 = math.sqrt(3.0), math.sqrt(12.0)
_FEWEST_FOR_JITTER = 10


@dataclass(frozen=True)
class Trace:
    """Seconds from the first reading, vacuum and the gauge's step at each, Pa.

    `drift_pa` is the correction at the end for temperature and barometer, `u_drift_pa` its standard uncertainty,
    `assumed` whether that is assumed because nobody noted them. `noisy`: the readings jump by more than the gauge's
    step, and `step_pa` is the size of the jumps. `u_time_s` is the standard uncertainty of each time, s.
    """

    times_s: tuple[float, ...]
    vacuum_pa: tuple[float, ...]
    step_pa: tuple[float, ...]
    drift_pa: float = 0.0
    u_drift_pa: float = 0.0
    assumed: bool = False
    noisy: bool = False
    u_time_s: float = 0.0

    @property
    def start_pa(self) -> float:
        """The first vacuum, Pa."""
        return self.vacuum_pa[0]

    @property
    def span_s(self) -> float:
        """Seconds from the first reading to the last."""
        return self.times_s[-1]

    @property
    def coarsest_pa(self) -> float:
        """The coarsest step among the readings, Pa."""
        return max(self.step_pa)

    @property
    def accepted_residual_pa(self) -> float:
        """Largest accepted residual: one step, or twice the jitter of a noisy gauge; and the fall while mistimed."""
        pairs = pairwise(zip(self.times_s, self.vacuum_pa, strict=True))
        steepest = max(((high - low) / (later - at) for (at, high), (later, low) in pairs), default=0.0)
        mistimed = max(0.0, steepest) * _ROOT_3 * self.u_time_s
        return (2.0 if self.noisy else 1.0) * self.coarsest_pa + mistimed

    def u_rate_drift_per_s(self) -> float:
        """The standard uncertainty of the rate from the air's drift, 1/s."""
        return self.u_drift_pa / (self.start_pa * self.span_s) if self.span_s else 0.0

    def u_time_share(self, span_s: float) -> float:
        """The relative standard uncertainty of the time between two readings `span_s` apart."""
        return math.sqrt(2.0) * self.u_time_s / span_s if span_s else 0.0


def trace_of(given: HoldInput, limits: HoldLimits) -> Trace:
    """The readings since the start of the clock: at least one, the first above zero after subtracting the zero."""
    raw = _raw_trace(given.held, given)
    jump = _jitter_pa(raw.vacuum_pa)
    noisy = jump > 1.5 * raw.coarsest_pa
    least = _ROOT_12 * jump / math.sqrt(6.0) if noisy else 0.0
    drift, u_drift, assumed = _drift(given, limits, raw)
    span = raw.span_s or 1.0
    vacuum = [each - drift * (time / span) for time, each in zip(raw.times_s, raw.vacuum_pa, strict=True)]
    step = tuple(max(each, least) for each in raw.step_pa)
    u_time = limits.timing_s / _ROOT_3 if len(given.held) <= limits.by_hand else 0.0
    return Trace(raw.times_s, tuple(vacuum), step, drift, u_drift, assumed, noisy, u_time)


def blank_trace(given: HoldInput) -> Trace:
    """The readings of the plugged rig, on the same gauge."""
    return _raw_trace(given.blank, given)


def _raw_trace(readings: Sequence[TimedReading], given: HoldInput) -> Trace:
    start = readings[0].time_s
    times = tuple(reading.time_s - start for reading in readings)
    return Trace(times, tuple(map(given.true_pa, readings)), tuple(map(given.step_pa, readings)))


def _jitter_pa(vacuum: Sequence[float]) -> float:
    """The standard deviation of the readings' distance from the line between their neighbours, Pa.

    The worst of groups of twenty counts, since the first readings of a file average fewer samples than the last. The
    median makes it robust against one misread point; for a rounded fall it is at most one step. 0 for few readings.
    """
    if len(vacuum) < _FEWEST_FOR_JITTER:
        return 0.0
    off = [
        abs(before - 2.0 * each + after) for before, each, after in zip(vacuum, vacuum[1:], vacuum[2:], strict=False)
    ]
    groups = max(1, len(off) // 20)
    size, larger = divmod(len(off), groups)
    ends = [place * size + min(place, larger) for place in range(groups + 1)]
    return 1.4826 * max(median(off[start:end]) for start, end in pairwise(ends))


def _drift(given: HoldInput, limits: HoldLimits, raw: Trace) -> tuple[float, float, bool]:
    """The change of the vacuum through the air at the end, its standard uncertainty (Pa), and whether it is assumed.

    If both ends were noted, it is computed, uncertain by half a last digit of each. If not, it is 0, and for a long
    hold an assumed drift either way (rectangular) is its uncertainty.
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
