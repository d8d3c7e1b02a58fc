"""Input, limits and results of a vacuum hold."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from inventory.bench.methods.hold.decay import LawFit
from inventory.bench.quantities.air import ROOM_K, STANDARD_PRESSURE_PA, standard_pressure_pa
from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import TimedReading
from inventory.bench.quantities.units import Quantity
from inventory.bench.verdicts import Verdict

__all__ = ["Air", "Blank", "Found", "HoldInput", "HoldLimits", "Rig"]


@dataclass(frozen=True)
class HoldLimits:
    """The rule: at least `share` of the vacuum (0 to 1) left after `time_s` seconds, drawn to nominal.

    `nominal_pa` is the lowest and highest vacuum meant by the rule, in Pa; `near` how far from it, as a share, a start
    may lie and still count as nominal. The others are workshop judgement: a hold longer than `long_s` is one in which
    temperature (K) and barometer (Pa) may drift by so much either way; fewer than `few_strokes` (a share) of the
    usual strokes are too few; a hose longer than `long_hose_m` flatters; volumes are known to `volume_share`;
    a hold of `better_s` is better proof.
    """

    share: float
    time_s: float
    nominal_pa: tuple[float, float]
    near: float
    long_s: float
    drift_k: float
    drift_pa: float
    few_strokes: float
    long_hose_m: float
    volume_share: float
    better_s: float

    @property
    def time_constant_s(self) -> float:
        """The time constant in seconds of an exponential that just meets the rule, to a millisecond."""
        return round(-self.time_s / math.log(self.share), 3)

    def is_near_nominal(self, start_pa: float) -> bool:
        """Whether a start counts as nominal; the trade names no unit, so 50 kPa and 50 cmHg both do."""
        low, high = self.nominal_pa
        return low * (1 - self.near) <= start_pa <= high * (1 + self.near)

    def is_past_nominal(self, start_pa: float) -> bool:
        """Whether a start lies well past whatever unit the rule may mean."""
        return start_pa > self.nominal_pa[1] * (1 + self.near)


@dataclass(frozen=True)
class Rig:
    """Pump, hose and gauge: `volume` of all that is not the unit; strokes taken and usual; which side of the check
    valve the gauge is on; a hose of `hose_m` metres, or called long; a liquid trap in the line."""

    volume: Quantity | None = None
    strokes: float | None = None
    usual_strokes: float | None = None
    gauge_at: Literal["unit", "pump"] = "unit"
    hose_m: float | None = None
    hose_long: bool = False
    trap: bool = False

    def few_strokes(self, limits: HoldLimits) -> bool:
        """Whether it was drawn down in far fewer strokes than usual: then it was hardly the unit."""
        taken, usual = self.strokes, self.usual_strokes
        return taken is not None and usual is not None and taken < limits.few_strokes * usual

    def flattering(self, limits: HoldLimits) -> tuple[str, ...]:
        """What adds volume and so slows the needle."""
        long = self.hose_long or (self.hose_m is not None and self.hose_m > limits.long_hose_m)
        return tuple(name for name, there in (("the long hose", long), ("the trap", self.trap)) if there)


@dataclass(frozen=True)
class Air:
    """The air on the bench, at the start of the clock and at the end, as far as it was noted. Altitude in metres."""

    barometer: Quantity | None = None
    barometer_end: Quantity | None = None
    altitude_m: float | None = None
    ambient: Quantity | None = None
    ambient_end: Quantity | None = None

    @property
    def outside_pa(self) -> float:
        """Outside air pressure, Pa: from the barometer, else the altitude, else as at sea level."""
        if self.barometer is not None:
            return self.barometer.si
        return STANDARD_PRESSURE_PA if self.altitude_m is None else standard_pressure_pa(self.altitude_m)

    @property
    def temperature_k(self) -> float:
        """The temperature on the bench at the start, K."""
        return ROOM_K if self.ambient is None else self.ambient.si

    @property
    def warmer_k(self) -> float | None:
        """How much it warmed during the hold, K; None where that was not noted."""
        return None if self.ambient is None or self.ambient_end is None else self.ambient_end.si - self.ambient.si

    @property
    def barometer_up_pa(self) -> float | None:
        """How much the barometer rose during the hold, Pa; None where that was not noted."""
        if self.barometer is None or self.barometer_end is None:
            return None
        return self.barometer_end.si - self.barometer.si


@dataclass(frozen=True)
class HoldInput:
    """What was read: points in order of time, those of the blank, the gauge's step if given, the volume if known.

    `zero_pa` is what the needle shows with nothing drawn, `line` the gauge's corrections as calibrated, `clock_from_s`
    when the clock was started (readings before are settling). With `not_drawn` the highest reading is all there is.
    """

    readings: tuple[TimedReading, ...]
    blank: tuple[TimedReading, ...] = ()
    resolution: Quantity | None = None
    volume: Quantity | None = None
    zero_pa: float = 0.0
    zero_text: str = ""
    line: CorrectionLine | None = None
    clock_from_s: float | None = None
    not_drawn: bool = False
    rig: Rig = field(default_factory=Rig)
    air: Air = field(default_factory=Air)

    def step_pa(self, reading: TimedReading) -> float:
        """The gauge's step at one reading in Pa: as given, else one unit of the last digit written."""
        return self.resolution.si if self.resolution else reading.quantity.step_si

    def true_pa(self, reading: TimedReading) -> float:
        """The true vacuum at one reading, Pa: corrected by the calibration and the needle's zero."""
        return self._set_right(reading.quantity.si) - (self._set_right(self.zero_pa) if self.zero_text else 0.0)

    def _set_right(self, shown_pa: float) -> float:
        return shown_pa if self.line is None else shown_pa + self.line.at(shown_pa)[0]

    @property
    def apart(self) -> bool:
        """Whether the unit can be told from the rig: both volumes are known."""
        return self.volume is not None and self.rig.volume is not None

    @property
    def held(self) -> tuple[TimedReading, ...]:
        """The readings since the clock was started."""
        since = self.clock_from_s
        return self.readings if since is None else tuple(each for each in self.readings if each.time_s >= since)

    @property
    def factor(self) -> float:
        """Pa in one of the unit typed at the first reading."""
        return self.readings[0].quantity.unit_si

    @property
    def unit(self) -> str:
        """The unit typed at the first reading."""
        return self.readings[0].quantity.unit


@dataclass(frozen=True)
class Blank:
    """The rig alone, with its hose plugged.

    `fell_pa` is what it lost in `span_s`, `top_pa` the most it was drawn to, Pa. "short": not held as long as the unit,
    or the rule's time; "low": not drawn as far; "rises": no hold at all; all three clear nothing.
    """

    state: Literal["none", "short", "low", "rises", "leaks", "tight"] = "none"
    fell_pa: float = 0.0
    span_s: float = 0.0
    top_pa: float = 0.0


@dataclass(frozen=True)
class Found:
    """A hold worked out.

    `fits` are the laws as far as they could be fitted, of the unit alone where `apart` is true: the rig's volume and
    its own leak taken off. `direct` is what a reading by itself decides, `carried` what all laws agree on;
    `laws_differ` when one of them passes what another fails. `withheld` says what keeps a call from standing,
    `finding` which law of a hole fits clearly better than that of a fine pore.
    """

    fits: tuple[LawFit, ...]
    apart: bool
    direct: Verdict
    carried: Verdict
    laws_differ: bool
    near_nominal: bool
    blank: Blank
    verdict: Verdict
    withheld: Literal["", "rig", "strokes"] = ""
    finding: Literal["", "straight", "orifice"] = ""

    @property
    def exponential(self) -> LawFit | None:
        """The exponential, where one goes through the readings."""
        return next((fit for fit in self.fits if fit.law == "exponential"), None)

    @property
    def best(self) -> LawFit | None:
        """The law that says what is kept: that of the finding, else the exponential."""
        return next((fit for fit in self.fits if fit.law == self.finding), self.exponential)
