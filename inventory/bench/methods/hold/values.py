"""Input, limits and results of a vacuum hold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from inventory.bench.methods.hold.decay import LawFit
from inventory.bench.methods.rig_proof import RigProof
from inventory.bench.quantities.air import ROOM_K, STANDARD_PRESSURE_PA, standard_pressure_pa
from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import TimedReading
from inventory.bench.quantities.units import Quantity
from inventory.bench.verdicts import Verdict

__all__ = ["Air", "Blank", "HoldInput", "HoldLimits", "HoldResult", "Rig"]


@dataclass(frozen=True)
class HoldLimits:
    """The rule: at least `share` of the vacuum (0 to 1) is left after `time_s` seconds, from a nominal start.

    `nominal_pa` is the lowest and highest vacuum that the rule can mean, Pa; a start within the share `near` of it
    counts as nominal. The others are workshop judgement: in a hold longer than `long_s` temperature and barometer may
    drift by `drift_k` and `drift_pa` either way; fewer than `few_strokes` (a share) of the usual strokes are too few; a
    hose longer than `long_hose_m` slows the needle; volumes are known to `volume_share`; a hold of `better_s` is better
    proof; a reading timed by hand may be `timing_s` early or late, and more than `by_hand` readings were not taken by
    hand.
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
    timing_s: float
    by_hand: int

    @property
    def time_constant_s(self) -> float:
        """The time constant in seconds of an exponential that just meets the rule, to a millisecond."""
        return round(-self.time_s / math.log(self.share), 3)

    def is_near_nominal(self, start_pa: float) -> bool:
        """Whether a start counts as nominal; the trade names no unit, so both 50 kPa and 50 cmHg do."""
        low, high = self.nominal_pa
        return low * (1 - self.near) <= start_pa <= high * (1 + self.near)

    def is_past_nominal(self, start_pa: float) -> bool:
        """Whether a start is well past nominal in any unit that the rule may mean."""
        return start_pa > self.nominal_pa[1] * (1 + self.near)


@dataclass(frozen=True)
class Rig:
    """Pump, hose and gauge: `volume` without the unit; strokes taken and usual; the side of the check valve that the
    gauge is on; the hose length in metres, or `hose_long`; whether a liquid trap is in the line."""

    volume: Quantity | None = None
    strokes: float | None = None
    usual_strokes: float | None = None
    gauge_at: Literal["unit", "pump"] = "unit"
    hose_m: float | None = None
    hose_long: bool = False
    trap: bool = False

    def few_strokes(self, limits: HoldLimits) -> bool:
        """Whether it was drawn down in far fewer strokes than usual, so that the unit was probably not connected."""
        taken, usual = self.strokes, self.usual_strokes
        return taken is not None and usual is not None and taken < limits.few_strokes * usual

    def slowed_by(self, limits: HoldLimits) -> tuple[str, ...]:
        """The parts of the rig that add volume and so slow the needle."""
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
        """How much it warmed during the hold, K; None if that was not noted."""
        return None if self.ambient is None or self.ambient_end is None else self.ambient_end.si - self.ambient.si

    @property
    def barometer_up_pa(self) -> float | None:
        """How much the barometer rose during the hold, Pa; None if that was not noted."""
        if self.barometer is None or self.barometer_end is None:
            return None
        return self.barometer_end.si - self.barometer.si


@dataclass(frozen=True)
class HoldInput:
    """A hold as read: points in order of time, those of the blank, the gauge's step if given, the volume if known.

    `zero_pa` is what the needle shows before drawing, `line` the gauge's correction line, `clock_from_s` the start of
    the clock (earlier readings are settling). With `not_drawn` only the highest reading counts. `dial_steps`: the step
    of a usual dial by unit (lower case), Pa, where people read between figures; `proof` of the rig by other runs.
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
    dial_steps: Mapping[str, float] = field(default_factory=dict)
    proof: RigProof = field(default_factory=RigProof)

    def step_pa(self, reading: TimedReading) -> float:
        """The gauge's step at one reading in Pa: as given, else that of a usual dial, else one of the last digit."""
        if self.resolution:
            return self.resolution.si
        return self.usual_dial_pa(reading) or reading.quantity.step_si

    def usual_dial_pa(self, reading: TimedReading) -> float:
        """The step of a usual dial in the unit of a reading, Pa; 0 if it has none, or if a decimal was typed."""
        return 0.0 if self._digital else self.dial_steps.get(reading.quantity.unit.casefold(), 0.0)

    @cached_property
    def _digital(self) -> bool:
        """Whether any reading was typed with a decimal, which only a digital gauge shows."""
        return any("." in each.quantity.text or "," in each.quantity.text for each in (*self.readings, *self.blank))

    def true_pa(self, reading: TimedReading) -> float:
        """The true vacuum at one reading, Pa: corrected by the calibration and the needle's zero."""
        return self._corrected(reading.quantity.si) - (self._corrected(self.zero_pa) if self.zero_text else 0.0)

    def _corrected(self, shown_pa: float) -> float:
        return shown_pa if self.line is None else shown_pa + self.line.at(shown_pa)[0]

    @property
    def rig_separated(self) -> bool:
        """Whether the unit can be separated from the rig: both volumes are known."""
        return self.volume is not None and self.rig.volume is not None

    @property
    def held(self) -> tuple[TimedReading, ...]:
        """The readings since the clock was started."""
        since = self.clock_from_s
        return self.readings if since is None else tuple(each for each in self.readings if each.time_s >= since)

    @property
    def factor(self) -> float:
        """Pa in one of the unit typed at the first reading."""
        return self.first.quantity.unit_si

    @property
    def unit(self) -> str:
        """The unit typed at the first reading."""
        return self.first.quantity.unit

    @property
    def first(self) -> TimedReading:
        """The first reading; that of the blank, where only the rig was held."""
        return (self.readings or self.blank)[0]


@dataclass(frozen=True)
class Blank:
    """The rig alone, with its hose plugged.

    `fell_pa` is what it lost in `span_s`, `top_pa` its highest vacuum, Pa. "short": held shorter than the unit and than
    the rule's time; "low": not drawn as far; "rises": the vacuum rose. None of these three clears the rig.
    """

    state: Literal["none", "short", "low", "rises", "leaks", "tight"] = "none"
    fell_pa: float = 0.0
    span_s: float = 0.0
    top_pa: float = 0.0


@dataclass(frozen=True)
class HoldResult:
    """A hold worked out.

    `fits` are the fitted laws; if `rig_separated`, they are for the unit alone, without the rig's volume and leak.
    `direct` is the verdict from a single reading, `extrapolated` the one on which all laws agree; `laws_differ`: one
    law passes what another fails. `withheld` says why a verdict is withheld; `rig_cleared` and `cleared_by` are of a
    hold that fell short, else None and empty. `hole_law` names the law of a hole, if it fits clearly better than that
    of a fine pore.
    """

    fits: tuple[LawFit, ...]
    rig_separated: bool
    direct: Verdict
    extrapolated: Verdict
    laws_differ: bool
    near_nominal: bool
    blank: Blank
    verdict: Verdict
    withheld: Literal["", "rig", "strokes"] = ""
    rig_cleared: bool | None = None
    cleared_by: str = ""
    hole_law: Literal["", "straight", "orifice"] = ""

    @cached_property
    def exponential(self) -> LawFit | None:
        """The fitted exponential; None if it cannot fit."""
        return next((fit for fit in self.fits if fit.law == "exponential"), None)

    @cached_property
    def best(self) -> LawFit | None:
        """The law for the share kept: `hole_law`, else the exponential."""
        return next((fit for fit in self.fits if fit.law == self.hole_law), self.exponential)
