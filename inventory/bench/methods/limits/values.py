"""Input of a run of named readings: the readings, their limits, and what was noted beside them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.bench.methods.limits.leak_rig import LeakRig
from inventory.bench.quantities.repeats import SINGLE, Repeats, guard_for
from inventory.bench.quantities.uncertainty import Component, combined, effective_freedom
from inventory.bench.quantities.units import Quantity
from inventory.bench.typed_run import Pair
from inventory.bench.verdicts import GUARD
from inventory.reference.procedure import Figure, ReadingSpec

__all__ = ["Limit", "LimitsInput", "ReadValue", "ValidRange"]

_ROOT_3 = math.sqrt(3.0)


@dataclass(frozen=True)
class ValidRange:
    """The range of a condition within which a limit holds, in SI and in words."""

    condition: str
    low: float
    high: float
    says: str


@dataclass(frozen=True)
class Limit:
    """The limit of a reading; `low`, `high` and `unit_si` (one unit on file) in SI; `time_s` is the time in the name
    of a "left after" reading. `widest` are the limits as far out as they may be, if their own `doubt` (a factor) is
    more than 1."""

    spec: ReadingSpec
    low: float | None = None
    high: float | None = None
    unit_si: float = 1.0
    time_s: float = 0.0
    only: tuple[ValidRange, ...] = ()
    widest: tuple[float | None, float | None] = (None, None)
    doubt: float = 1.0


@dataclass(frozen=True)
class ReadValue:
    """One reading: a number in SI with a `half_width` (SI), `text` and `unit` as typed; or a word.

    `beyond`: above the meter's range, at least `si`. `time_s`: when it was read, for a "left after" reading. It is the
    mean of its `repeats`; `own_spread` is the standard deviation (SI) of a method that was not repeated.
    """

    name: str
    limit: Limit
    si: float = 0.0
    half_width: float = 0.0
    unit: str = ""
    unit_si: float = 1.0
    text: str = ""
    beyond: bool = False
    word: str = ""
    time_s: float = 0.0
    repeats: Repeats = SINGLE
    own_spread: float = 0.0

    @property
    def components(self) -> tuple[Component, Component, Component]:
        """Its uncertainty in SI: the largest error, the half-width of a rectangle; the repeats; the method's spread."""
        return (
            Component(self.half_width / _ROOT_3),
            Component(self.repeats.u, self.repeats.freedom),
            Component(self.own_spread),
        )

    @property
    def u(self) -> float:
        """Its standard uncertainty in SI."""
        return combined(self.components)

    @property
    def guard(self) -> float:
        """Standard uncertainties between it and a limit: more where its spread comes from few repeats."""
        return guard_for(effective_freedom(self.components)) if self.repeats.count > 1 else GUARD


@dataclass(frozen=True)
class LimitsInput:
    """A run: its readings, the limits of the procedure, the noted conditions, and the accuracy of the meter.

    `rig` is that of a leak test, None for any other test. `leads` are those subtracted from resistances; if they were
    not noted, up to `usual_leads_ohm` of a reading may be theirs.
    """

    readings: tuple[ReadValue, ...]
    limits: tuple[Limit, ...]
    noted: Mapping[str, Quantity | str] = field(default_factory=dict)
    meter: str = ""
    most_voltage: Figure | None = None
    pair: Pair | None = None
    unread: tuple[str, ...] | None = ()
    rig: LeakRig | None = None
    leads: Quantity | None = None
    usual_leads_ohm: float = 0.0
